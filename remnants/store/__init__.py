"""The catalogue file, and the only user of sqlite: one module a table, each of functions that take the open `Catalogue`.

`database` opens it and says in plain words what is wrong with it; `migrations` are its tables, step by step; `rows` turns rows to
values and back. A new table is a new step at the end of the list, and a module of functions.
"""

from remnants.store.catalogue import Catalogue
from remnants.store.database import open_catalogue

__all__ = ["Catalogue", "open_catalogue"]
