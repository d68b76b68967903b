"""Values of the trade to text, SVG and PDF. Pure: no file is touched, no clock read."""

__all__: list[str] = []
