"""The pages on a real server of their own, for as long as a test asks them."""

import socket
import threading
from collections.abc import Callable
from typing import Any

from remnants_web.connections import WasLetIn, make_server

__all__ = ["Served"]


class Served(threading.Thread):
    """A server on a free port of the loopback, at work until it is ended."""

    def __init__(self, app: Callable[..., Any], *, threads: int, was_let_in: WasLetIn = lambda _secret: True) -> None:
        super().__init__(daemon=True)
        opened = socket.create_server(("127.0.0.1", 0))
        self.server = make_server(app, opened, was_let_in=was_let_in, threads=threads)
        self.address = f"http://127.0.0.1:{self.server.effective_port}"
        self.ended = False
        self.start()

    def run(self) -> None:
        """Answers until it is ended: its sockets are then closed under it, which it may notice while it waits at them."""
        try:
            self.server.run()
        except OSError:
            if not self.ended:
                raise

    def end(self) -> None:
        """Stops answering."""
        self.ended = True
        self.server.close()
        self.join(5)
