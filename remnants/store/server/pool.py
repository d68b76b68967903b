"""Connections that a process which answers many keeps open, so that each page need not be let in anew."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import psycopg
from psycopg_pool import ConnectionPool, PoolTimeout

from remnants.store.server.server_catalogue import suited
from remnants.store.server_address import ServerAddress

__all__ = ["connected", "pooled"]

WAIT_S = 10.0
"""How long a page waits for a kept connection (s)."""

_POOLS: dict[ServerAddress, "ConnectionPool[psycopg.Connection[Any]]"] = {}


@contextmanager
def pooled(address: ServerAddress, most: int) -> Iterator[None]:
    """Within it whoever opens the catalogue at this address, in this process, shares up to `most` connections."""
    pool = ConnectionPool(
        _told(address),
        min_size=1,
        max_size=most,
        timeout=WAIT_S,
        kwargs={"autocommit": True},
        configure=suited,
        check=ConnectionPool.check_connection,
        open=True,
        name="pages",
    )
    _POOLS[address] = pool
    try:
        yield
    finally:
        del _POOLS[address]
        pool.close()


@contextmanager
def connected(address: ServerAddress) -> Iterator["psycopg.Connection[Any]"]:
    """A connection that begins no transaction by itself; closed after, or given back. Raises what psycopg does."""
    pool = _POOLS.get(address)
    shared = _shared(pool) if pool else None
    if pool and shared:
        try:
            yield shared
        finally:
            pool.putconn(shared)
        return
    with psycopg.Connection.connect(_told(address), autocommit=True) as own:
        suited(own)
        yield own


def _shared(pool: "ConnectionPool[psycopg.Connection[Any]]") -> "psycopg.Connection[Any] | None":
    """One of the pool's; None where it has none for too long: one of the page's own is then let in, or told why it isn't."""
    try:
        return pool.getconn()
    except PoolTimeout:
        return None


def _told(address: ServerAddress) -> str:
    """The address, with our name and our patience where it tells none: 10 s to be let in, 30 s for a wire that went dead."""
    ours = {"application_name": "remnants", "connect_timeout": "10", "tcp_user_timeout": "30000"}
    lacking = {name: value for name, value in ours.items() if name not in psycopg.conninfo.conninfo_to_dict(address.text)}
    return psycopg.conninfo.make_conninfo(address.text, **lacking)
