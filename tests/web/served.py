"""The pages on a real server of their own, for as long as a test asks them."""

import threading

import waitress
from flask import Flask

__all__ = ["Served"]


class Served(threading.Thread):
    """A server on a free port of the loopback, at work until it is ended."""

    def __init__(self, app: Flask, *, threads: int, **more: object) -> None:
        super().__init__(daemon=True)
        self.server = waitress.create_server(app, host="127.0.0.1", port=0, threads=threads, **more)
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
