"""What a request has at hand: the settings, and one connection to the catalogue, closed when the request ends."""

from contextlib import ExitStack
from ipaddress import ip_address

from flask import Flask, current_app, g, request

from remnants.actions import Catalogue, open_catalogue
from remnants_web.settings import Settings

__all__ = ["address", "catalogue", "open_shop", "settings"]


def open_shop(app: Flask, given: Settings) -> None:
    """Binds the settings to the app."""
    app.extensions["remnants"] = given
    app.teardown_appcontext(_close)


def settings() -> Settings:
    """The settings of the app that serves this request."""
    found: Settings = current_app.extensions["remnants"]
    return found


def address() -> str:
    """The address that whoever asks does so from; empty where it can't be told, or what a proxy says of it is no address."""
    told = request.remote_addr or ""
    try:
        return str(ip_address(told))
    except ValueError:
        return ""


def catalogue() -> Catalogue:
    """This request's connection to the catalogue. Raises CatalogueUnusable."""
    if "open_things" not in g:
        g.open_things = ExitStack()
        opened = open_catalogue(settings().catalogue, write=True, now=settings().now, asked_from=address())
        g.catalogue = g.open_things.enter_context(opened)
    found: Catalogue = g.catalogue
    return found


def _close(error: BaseException | None) -> None:
    opened: ExitStack | None = g.pop("open_things", None)
    if opened is not None:
        opened.close()
