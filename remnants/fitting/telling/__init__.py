"""What is told of a plan? Parts, sights and reasons, what is missing and by how much, and the ways beside it."""

__all__: list[str] = []
