"""What a server's refusals mean to a person, and what to do. No value and no password is ever repeated."""

import re
from collections.abc import Iterator
from contextlib import contextmanager

import psycopg

from remnants.errors import CatalogueUnusable
from remnants.store.server_address import ServerAddress

__all__ = ["in_server_words"]

_AWAY = "the server can't be reached; nothing was changed: see that it runs and that the address is right"
_LOST = (
    "the server went away meanwhile. What was being done was kept wholly or not at all: look whether it is there"
    " before you do it again"
)
_DOOR = (
    "the server doesn't let this user in; nothing was changed. Put the password into ~/.pgpass, or into PGPASSWORD,"
    " and see that the server's pg_hba.conf has a line for the user"
)
_CROWDED = (
    "the server takes no more connections just now; nothing was changed: try again, or raise its max_connections, or the limit"
    " that the user or the database has"
)
_NOT_AS_MADE = "the tables are not as this program made them; nothing was changed: `remnants verify` tells which"
_BY_STATE = {
    "42P01": _NOT_AS_MADE,
    "42703": _NOT_AS_MADE,
    "42883": _NOT_AS_MADE,
    "55P03": "another program is writing to the catalogue and did not finish in time; nothing was changed, try again",
    "40001": "another program holds the catalogue; nothing was changed, try again",
    "40P01": "another program holds the catalogue; nothing was changed, try again",
    "53100": "the server's disk is full; nothing was changed: make room there and try again",
    "53200": "the server has no memory left; nothing was changed: try again, or ask its keeper",
    "53300": _CROWDED,
    "57014": "the server broke it off; nothing was changed: its keeper may have set a statement_timeout that is too short",
    "25006": "the catalogue may not be written to; nothing was changed: where the server only follows another, name that one",
    "42501": "this user may not do that in the database; nothing was changed: have the database belong to the user",
    "3D000": "there is no such database on the server; make it with createdb, as the guide to servers tells",
    "58030": "the server's disk failed to read or write; nothing was changed: tell its keeper",
}
_BY_CLASS = {
    "08": _LOST,
    "28": _DOOR,
    "53": "the server has come to a limit of its own; nothing was changed: ask its keeper",
    "57": _LOST,
    "XX": "the database is damaged; nothing was changed: tell the server's keeper, who brings back the last copy",
}
_BY_WORDS = (
    (r"password|authentication|pg_hba|role .* does not exist|Peer", _DOOR),
    (r"database .* does not exist", _BY_STATE["3D000"]),
    (r"too many (clients|connections)|connection slots", _CROWDED),
    (r"not currently accepting", "the database lets nobody in just now; nothing was changed: ask the server's keeper"),
    (r"starting up|shutting down|recovery", "the server is just starting or stopping; nothing was changed: try again soon"),
)
"""Of refusals before one is let in, of which psycopg tells no state."""

_MOST_TOLD = 160


@contextmanager
def in_server_words(address: ServerAddress) -> Iterator[None]:
    """The server's refusals as CatalogueUnusable. What tells of a fault of ours goes on as it is."""
    try:
        yield
    except psycopg.Error as error:
        told = _meaning(error)
        if not told:
            raise
        raise CatalogueUnusable(f"{address}: {told} ({_short(error)})") from None


def _meaning(error: psycopg.Error) -> str:
    state = error.sqlstate or ""
    if state:
        return _BY_STATE.get(state) or _BY_CLASS.get(state[:2], "")
    if isinstance(error, psycopg.DataError) and "NUL" in str(error):
        return "a text has the sign NUL in it, which a server can't keep; nothing was changed: take it out"
    if not isinstance(error, psycopg.OperationalError):
        return ""
    text = str(error)
    if not re.match(r"connection (failed|timeout)|connection is bad: connection to|could not|\[Errno|failed to resolve", text):
        return _LOST
    return next((meaning for words, meaning in _BY_WORDS if re.search(words, text)), _AWAY)


def _short(error: psycopg.Error) -> str:
    """The server's own first line, which names no value of a row."""
    first = error.diag.message_primary or str(error).partition("\n")[0].rpartition("FATAL:")[2]
    return " ".join(first.split())[:_MOST_TOLD] or type(error).__name__
