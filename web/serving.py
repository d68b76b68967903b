"""Starts the pages on waitress, and prints what a person needs to come in."""

import socket
from collections.abc import Callable
from pathlib import Path

import waitress

from remnants.actions import open_catalogue, people
from web.app import create_app
from web.settings import Settings, utc_now

__all__ = ["THREADS", "host_names", "serve"]

THREADS = 8


def serve(
    catalogue: Path,
    *,
    listen: str = "127.0.0.1",
    port: int = 8080,
    hosts: tuple[str, ...] = (),
    https: bool = False,
    proxies: int = 0,
    demo: bool = False,
    say: Callable[[str], None] = print,
) -> None:
    """Serves until stopped. Where nobody has been let in yet, says the first manager's one-time link.

    `https` is for a server behind something that encrypts: addresses and cookies are then made for it. The port 0 takes any
    free one. Raises CatalogueUnusable; OSError when the port is taken.
    """
    settings = Settings(catalogue, hosts=host_names(listen, hosts), https=https, proxies=proxies, demo=demo)
    with open_catalogue(catalogue, write=True) as opened:
        secret = people.first_manager_link(opened, now=utc_now())
    family = socket.AF_INET6 if ":" in listen else socket.AF_INET
    door = socket.create_server((listen, port), family=family)
    server = waitress.create_server(create_app(settings), sockets=[door], threads=THREADS, ident=None)
    address = _address(settings, listen, door.getsockname()[1])
    say(f"serving {catalogue} at {address}/ (Ctrl-C stops it)")
    if secret:
        say(f"nobody has come in yet; the first manager opens this once, within three days:\n  {address}/link/{secret}")
    try:
        server.run()
    finally:
        server.close()
        door.close()


def host_names(listen: str, more: tuple[str, ...]) -> tuple[str, ...]:
    """The names that the server answers to: this machine's own, the address that it listens on, and those given."""
    own = ("localhost", "127.0.0.1", "[::1]")
    every = (socket.gethostname(),) if listen in ("0.0.0.0", "::", "") else (listen,)
    return tuple(dict.fromkeys((*more, *own, *every)))


def _address(settings: Settings, listen: str, port: int) -> str:
    name = settings.hosts[0] if settings.hosts[0] != "localhost" or listen in ("127.0.0.1", "localhost", "::1") else listen
    if settings.https:
        return f"https://{name}"
    return f"http://{name}:{port}"
