"""Plans that somebody drew: the rooms that a drawing shows, and what else is told with them."""

__all__: list[str] = []
