"""The door to OR-Tools, which takes longer to load than most commands take to answer: it is loaded where it is first used.

`cp_model` and `pywraplp` are its modules of these names, to be used as if they had been imported. A module that names their types
in annotations or builds on their classes keeps both from being looked up while it is itself imported.
"""

from functools import cache
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.linear_solver import pywraplp
    from ortools.sat.python import cp_model

__all__ = ["cp_model", "pywraplp"]


@cache
def _loaded(name: str) -> ModuleType:
    return import_module(name)


class _AtFirstUse:
    """Stands for a module, and loads it when something of it is asked for."""

    def __init__(self, name: str) -> None:
        self._name = name

    def __getattr__(self, attribute: str) -> object:
        return getattr(_loaded(self._name), attribute)


if not TYPE_CHECKING:
    cp_model = _AtFirstUse("ortools.sat.python.cp_model")
    pywraplp = _AtFirstUse("ortools.linear_solver.pywraplp")
