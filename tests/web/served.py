"""The pages on a real server of their own, for as long as a test asks them."""

import socket
import threading
from collections.abc import Callable
from typing import Any

from remnants_web.connections import WasLetIn, make_server

__all__ = ["Served"]


class Served(threading.Thread):
    """A server on a free port of the loopback, at work until it is ended."""

    def __init__(
        self,
        app: Callable[..., Any],
        *,
        threads: int,
        was_let_in: WasLetIn = lambda _secret: True,
        break_off: Callable[[], None] = lambda: None,
    ) -> None:
        super().__init__(daemon=True)
        opened = socket.create_server(("127.0.0.1", 0))
        self.server = make_server(app, opened, was_let_in=was_let_in, threads=threads)
        self.address = f"http://127.0.0.1:{self.server.effective_port}"
        self._break_off = break_off
        self.start()

    def run(self) -> None:
        """Answers until it is ended, and finishes then; `break_off` is called for what doesn't end by itself."""
        self.server.run()
        self.server.finish(self._break_off)
        self.server.close()

    def end(self) -> None:
        """Stops answering."""
        self.server.stop()
        self.join(60)
