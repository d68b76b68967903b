"""Rectangles on a strip: a quick start, search, bounds and an exact model."""

__all__: list[str] = []
