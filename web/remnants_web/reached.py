"""At which addresses a phone reaches what this page shows: never one that leads the phone to itself."""

from urllib.parse import urlsplit

from flask import request

from remnants_web.hosts import is_loopback
from remnants_web.shop import settings

__all__ = ["address_for_others", "for_others"]


def for_others() -> tuple[str, ...]:
    """Addresses of the pages, for other devices: the one asked under first. None where only this machine reaches them."""
    own = request.host_url.rstrip("/")
    asked = () if is_loopback(urlsplit(own).hostname or "") else (own,)
    return tuple(dict.fromkeys((*asked, *settings().reached)))


def address_for_others(path: str) -> str:
    """The address of a path of ours for another device; where none can reach it, the one that this browser asked under."""
    return next(iter(for_others()), request.host_url.rstrip("/")) + path
