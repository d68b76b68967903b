"""How do many patches share the donors? Search, places made free, many parts nested on one, an exact solver for small jobs."""

__all__: list[str] = []
