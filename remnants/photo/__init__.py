"""What can be measured in a photograph that shows a marker page, and how far off it may be.

Pictures come in as arrays, or as bytes that are decoded; the library that finds the marks comes with the extra `photo` and is
loaded where there is a picture to look at.
"""

__all__: list[str] = []
