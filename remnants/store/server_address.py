"""Where a catalogue is: a file, or a database on a PostgreSQL server, told as `postgresql://user@host/database`."""

import re
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import parse_qsl, unquote, urlsplit

from remnants.errors import BadInput, CatalogueUnusable

__all__ = ["CatalogueAt", "ServerAddress", "in_a_file", "read_catalogue_at"]

_SCHEMES = ("postgresql", "postgres")
_SECRETS = {"password", "sslpassword"}
_KEPT_OUT = (
    "a password is in the address of the catalogue, where others may see it: take it out and, if it was seen, change it."
    " Put it into ~/.pgpass, or a file that PGPASSFILE names, or into PGPASSWORD"
)


@dataclass(frozen=True, slots=True)
class ServerAddress:
    """A database on a server. `text` is its whole address, as libpq reads it; never with a password."""

    text: str

    def __post_init__(self) -> None:
        """Raises BadInput for an address with a password, without a database, or that can't be read; it is not repeated."""
        try:
            parts = urlsplit(self.text)
            told = parse_qsl(parts.query, keep_blank_values=True, strict_parsing=bool(parts.query))
        except ValueError:
            raise BadInput("the catalogue's address can't be read; write it as postgresql://user@host/database") from None
        if parts.password is not None or any(name.lower() in _SECRETS for name, _ in told):
            raise BadInput(_KEPT_OUT)
        if parts.scheme not in _SCHEMES:
            raise BadInput("the catalogue's address begins with postgresql://, as in postgresql://user@host/database")
        if not self.database or "/" in self.database:
            raise BadInput("the catalogue's address names no database; write it as postgresql://user@host/database")
        if re.search(r"[\x00-\x20\x7f]", self.text):
            raise BadInput("the catalogue's address has a blank or a control sign in it; write a blank as %20")

    @property
    def database(self) -> str:
        """The name of the database."""
        return unquote(urlsplit(self.text).path.removeprefix("/"))

    @property
    def stem(self) -> str:
        """As of a file: what files that are made of it are called by."""
        return re.sub(r"[^A-Za-z0-9_.]+", "-", self.database).strip("-.") or "stock"

    def exists(self) -> bool:
        """As of a file: whether it may be asked what is in it. Of a server that is told by asking."""
        return True

    def is_file(self) -> bool:
        """As of a file: it is none."""
        return False

    def __str__(self) -> str:
        return self.text


CatalogueAt = Path | ServerAddress
"""Where a catalogue is."""


def in_a_file(at: CatalogueAt, *, instead: str) -> Path:
    """The file, for what only a file can be asked. Raises CatalogueUnusable with what to do `instead` where it is on a server."""
    if isinstance(at, Path):
        return at
    raise CatalogueUnusable(f"{at}: this is done with a catalogue in a file, and yours is on a server; {instead}")


def read_catalogue_at(text: str) -> CatalogueAt:
    """What somebody named as the catalogue. Raises BadInput as ServerAddress does, also for an address of another kind."""
    return ServerAddress(text) if re.match(r"[A-Za-z][A-Za-z0-9+.-]+://", text) else Path(text)
