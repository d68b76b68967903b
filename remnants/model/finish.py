"""How the edges of patches and rooms end."""

from enum import StrEnum

__all__ = ["Finish"]


class Finish(StrEnum):
    """How an edge of a patch ends."""

    SEAM = "seam"
    WALL = "wall"
    TRANSITION = "transition"
    FREE = "free"
