"""Readers of option values; each refuses in the words that the command line shows."""

import argparse

__all__ = ["at_least_one"]


def at_least_one(text: str) -> int:
    """A whole number from 1 up."""
    if not text.isascii() or not text.isdigit() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"{text!r} is no count: give a whole number, at least 1")
    return int(text)
