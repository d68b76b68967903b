"""What a server needs to know. There is no secret among it: sessions live in the catalogue, so nothing is signed."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime

from remnants.actions import CatalogueAt
from remnants.limits import FORM_BYTES, SENT_BYTES

__all__ = ["Settings", "utc_now"]


def utc_now() -> datetime:
    """The time, in UTC."""
    return datetime.now(UTC)


@dataclass(frozen=True)
class Settings:
    """`hosts` are the names under which the server may be asked, `reached` the addresses at which phones reach it.

    `https` says that browsers reach it encrypted.

    `proxies` is how many proxies in front add their word on who asks (X-Forwarded-For and -Proto); 0 believes none.
    """

    catalogue: CatalogueAt
    hosts: tuple[str, ...] = ("localhost", "127.0.0.1", "[::1]")
    reached: tuple[str, ...] = ()
    https: bool = False
    proxies: int = 0
    shop: str = "Remnants"
    demo: bool = False
    largest_body: int = SENT_BYTES
    largest_form: int = FORM_BYTES
    now: Callable[[], datetime] = utc_now

    @property
    def paper_note(self) -> str:
        """What stands small on everything that is printed: in an invented shop, that it is one."""
        return "Invented data, to try things out" if self.demo else ""
