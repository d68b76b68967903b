"""The door to OR-Tools, which takes longer to load than most commands take to answer.

`cp_model` and `pywraplp` are its modules of these names, loaded when they are first used.
"""

from typing import TYPE_CHECKING

from remnants.late import Late

__all__ = ["cp_model", "pywraplp"]

if TYPE_CHECKING:
    from ortools.linear_solver import pywraplp
    from ortools.sat.python import cp_model
else:
    cp_model = Late("ortools.sat.python.cp_model")
    pywraplp = Late("ortools.linear_solver.pywraplp")
