"""How can one room, or rooms run through as one, be laid? Layings at each pile bearing, and what their seams weigh."""

__all__: list[str] = []
