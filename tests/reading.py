"""What a text that was printed or shown says, for tests that go on with it."""

import re

__all__ = ["found"]


def found(pattern: str, text: str) -> str:
    """The first group, or the whole, of the first match; a text without one fails the test and is shown."""
    match = re.search(pattern, text)
    assert match, text
    return match[1] if match.re.groups else match[0]
