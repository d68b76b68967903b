"""Passphrases: long enough, hard to guess, kept only as argon2id."""

from functools import cache
from threading import Semaphore

from argon2 import PasswordHasher
from argon2.exceptions import VerificationError
from zxcvbn import zxcvbn

from remnants.errors import BadInput, Fault
from remnants.limits import PASSPHRASE_CHARACTERS

__all__ = ["SHORTEST_PASSPHRASE", "checked", "hashed", "is_right"]

SHORTEST_PASSPHRASE = 12
"""Characters. OWASP ASVS 4.0.3, 2.1.1."""

_LEAST_STRENGTH = 3
_READ_BY_METER = 72
_AT_ONCE = Semaphore(2)
_hasher = PasswordHasher()


def checked(passphrase: str, *, name: str) -> str:
    """The passphrase, if it is long and hard to guess. Any character is welcome. Raises BadInput at `passphrase`."""
    length = len(passphrase)
    if not SHORTEST_PASSPHRASE <= length <= PASSPHRASE_CHARACTERS:
        told = f"it has {length} characters; give {SHORTEST_PASSPHRASE} to {PASSPHRASE_CHARACTERS}, such as four or five words"
        raise BadInput([Fault("passphrase", told)])
    strength = zxcvbn(passphrase[:_READ_BY_METER], user_inputs=[name, "remnants", "carpet"])
    if strength["score"] < _LEAST_STRENGTH:
        why = strength["feedback"]["warning"] or "It is among the first that somebody would try."
        told = f"too easy to guess. {why.rstrip('.')}. Take four or five words that don't belong together"
        raise BadInput([Fault("passphrase", told)])
    return passphrase


def hashed(passphrase: str) -> str:
    """The argon2id string of a passphrase, with its own salt (RFC 9106, low-memory figures). Two at once: each takes 64 MiB."""
    with _AT_ONCE:
        return _hasher.hash(passphrase)


def is_right(stored: str | None, passphrase: str) -> bool:
    """True when the passphrase made the stored string. Takes as long when there is none, so that names stay secret.

    One longer than any that can be set is never right: nothing of it is cut off to make it so.
    """
    possible = stored if len(passphrase) <= PASSPHRASE_CHARACTERS else None
    with _AT_ONCE:
        try:
            _hasher.verify(possible or _nobodys(), passphrase[:PASSPHRASE_CHARACTERS])
        except VerificationError:
            return False
    return possible is not None


@cache
def _nobodys() -> str:
    return _hasher.hash("a passphrase that is nobody's")
