"""A look at a catalogue on a server that changes nothing in it. Times are UTC."""

from datetime import datetime

from remnants.errors import CatalogueUnusable
from remnants.store.looked_at import LookedAt
from remnants.store.migrations import MIGRATIONS
from remnants.store.rows import time_of
from remnants.store.server.opening import settled, steps_there
from remnants.store.server.pool import connected
from remnants.store.server.refusals import in_server_words
from remnants.store.server.server_catalogue import ServerCatalogue
from remnants.store.server_address import ServerAddress

__all__ = ["look_at_server"]

_NEWEST = "SELECT max(at) FROM (SELECT max(done_at) AS at FROM migration UNION ALL SELECT max(at) FROM entry) AS every"


def look_at_server(address: ServerAddress, *, now: datetime) -> LookedAt | str:
    """What is seen of the catalogue at `address`, or why nothing is. A newer program's is looked at too."""
    try:
        with in_server_words(address), connected(address) as connection:
            settled(connection, write=False)
            catalogue = ServerCatalogue(connection, address)
            step = steps_there(catalogue)
            if not step:
                return "there is no catalogue in this database yet"
            (newest,) = catalogue.execute(_NEWEST).fetchone()
            (waiting,) = catalogue.execute("SELECT count(*) FROM unsent WHERE ends_at > ?", [now.isoformat()]).fetchone()
            (size,) = catalogue.execute("SELECT pg_database_size(current_database())").fetchone()
            (hidden,) = catalogue.execute(
                "SELECT coalesce(bool_or(ssl), false) FROM pg_stat_ssl WHERE pid = pg_backend_pid()"
            ).fetchone()
            return LookedAt(
                step,
                len(MIGRATIONS),
                time_of(newest) if newest else None,
                int(waiting),
                size_bytes=int(size),
                server=connection.info.parameter_status("server_version") or "",
                open_wire=not hidden and not connection.info.host.startswith("/"),
            )
    except CatalogueUnusable as error:
        return str(error).removeprefix(f"{address}: ")
