"""A photograph that is kept with a piece."""

from dataclasses import dataclass

__all__ = ["Picture"]


@dataclass(frozen=True)
class Picture:
    """A JPEG file of our own making, and its size in pixels."""

    jpeg: bytes
    across: int
    down: int
