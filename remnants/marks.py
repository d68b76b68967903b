r"""Characters that nobody sees: by them two tags that look the same differ, or a name reads backwards on a label.

They are control characters (NUL, line breaks), marks of direction (U+202E and its like), blanks of no width, and letters that are
drawn as nothing. A joiner between letters beyond ASCII is none of them: Persian, Hindi and others are spelled with it.
"""

import re
import unicodedata

__all__ = ["unseen", "visible"]

_CONTROLS = "\x00-\x1f\x7f-\x9f\u2028\u2029"
_FORMATS = (
    "\xad\u061c\u180e\u200b\u200e\u200f\u202a-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb"
    "\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0001\U000e0020-\U000e007f"
)
_BLANK_LETTERS = "\u115f\u1160\u3164\uffa0"
_JOINERS = "(?<![^\x00-\x7f])[\u200c\u200d]|[\u200c\u200d](?![^\x00-\x7f])"
_UNSEEN = re.compile(f"[{_CONTROLS}{_FORMATS}{_BLANK_LETTERS}]|{_JOINERS}")
_BREAKS = re.compile(f"\\s*[{_CONTROLS}]+\\s*")
_CALLED = {"\t": "a tab", "\n": "a line break", "\r": "a line break", "\x00": "NUL"}


def unseen(text: str) -> str:
    """The first character that nobody sees, in words such as `U+202E, right-to-left override`; empty where all are seen."""
    found = None if text.isascii() and text.isprintable() else _UNSEEN.search(text)
    if not found:
        return ""
    mark = found[0]
    called = _CALLED.get(mark) or unicodedata.name(mark, "a control character").lower()
    return f"U+{ord(mark):04X}, {called}"


def visible(text: str) -> str:
    """The text without what nobody sees: a blank stands for line breaks and other controls, nothing for the rest."""
    if text.isascii() and text.isprintable():
        return text
    return _UNSEEN.sub("", _BREAKS.sub(" ", text)).strip() if _UNSEEN.search(text) else text
