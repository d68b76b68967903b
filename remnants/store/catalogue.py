"""The open catalogue, as the modules of the store and the actions hand it on."""

import secrets
from collections.abc import Generator
from contextlib import contextmanager

from sqlite_utils import Database

__all__ = ["Catalogue"]


class Catalogue(Database):
    """An open catalogue. Every change stands in `with catalogue.atomic():`, which holds the one writer's place from its start."""

    @contextmanager
    def atomic(self) -> Generator["Catalogue", None, None]:
        """One transaction: all of it or nothing. Blocks may nest; an inner one that fails is undone alone."""
        inner = self.conn.in_transaction
        name = f"inner_{secrets.token_hex(8)}"
        self.conn.execute(f"SAVEPOINT {name}" if inner else "BEGIN IMMEDIATE")
        try:
            yield self
            self.conn.execute(f"RELEASE {name}" if inner else "COMMIT")
        except BaseException:
            if self.conn.in_transaction:
                self.conn.execute(f"ROLLBACK TO {name}" if inner else "ROLLBACK")
                if inner:
                    self.conn.execute(f"RELEASE {name}")
            raise
