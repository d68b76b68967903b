"""Ports of the loopback for servers that a test starts."""

import random
import socket

__all__ = ["free_port"]

BELOW = range(20_000, 32_000)
"""Below those that the system hands out (Linux: 32768 and up): else whoever connects to anything might get one meanwhile."""

_chance = random.SystemRandom()


def free_port() -> int:
    """A port that nothing listens at, nor is likely to until the server that is told it does."""
    while True:
        port = _chance.choice(BELOW)
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)):
                return port
