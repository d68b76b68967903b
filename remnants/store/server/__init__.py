"""The catalogue on a PostgreSQL server: the second store under the contract of `remnants.store.catalogue`.

`tables` are its tables at the step where servers began; `dialect` turns our statements and later steps into the server's words;
`server_catalogue` is the open catalogue, `opening` opens it, `refusals` tells in plain words what a server refuses, `pool` keeps
connections for pages, `soundness` proves the tables.
"""

__all__: tuple[str, ...] = ()
