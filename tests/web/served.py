"""The pages on a real server of their own, for as long as a test asks them."""

import threading
from collections.abc import Callable
from typing import Any

from remnants_web.connections import WasLetIn, make_server
from remnants_web.hosts import url_of
from remnants_web.serving import Door

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
        listen: str = "127.0.0.1",
    ) -> None:
        super().__init__(daemon=True)
        self.server = make_server(app, Door(listen, 0).open(), was_let_in=was_let_in, threads=threads)
        self.address = url_of(listen, int(self.server.effective_port), https=False)
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
