"""The catalogue, in a file or on a server, and the only user of their databases: one module a table, each of functions that take
the open `Catalogue`.

`catalogue` is the contract that every store keeps; `file_catalogue` and the package `server` are the two. `database` opens either
and says in plain words what is wrong with a file; `migrations` are the tables, step by step; `rows` turns rows to values and
back. A new table is a new step at the end of the list, and a module of functions.
"""

from remnants.store.catalogue import Catalogue
from remnants.store.database import open_catalogue

__all__ = ["Catalogue", "open_catalogue"]
