"""Libraries that are slow to load, loaded where they are first used and not where a module that may use them is imported.

    if TYPE_CHECKING:
        import numpy as np
    else:
        np = Late("numpy")

The type checker reads the first, the program the second; either way `np.array` is what it is. What is looked up while the
module is itself imported (a base class, a default, an annotation without `from __future__ import annotations`) loads the library
at once. `tests/test_start.py` holds which command may load what.
"""

from importlib import import_module

__all__ = ["Late"]


class Late:
    """Stands for the module of a name. What is asked of it the first time is looked up there, and kept."""

    def __init__(self, name: str) -> None:
        self.__name__ = name

    def __getattr__(self, attribute: str) -> object:
        found: object = getattr(import_module(self.__name__), attribute)
        setattr(self, attribute, found)
        return found
