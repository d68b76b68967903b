"""Rectangles on many donors: fillings made, counted, searched and chosen, and how few donors would do."""

__all__: list[str] = []
