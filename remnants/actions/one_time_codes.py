"""Codes by time (TOTP, RFC 6238: SHA-1, 6 digits, steps of 30 s) and recovery codes. Pure, but for what is drawn at random."""

import hashlib
import secrets
from collections.abc import Iterable
from datetime import datetime
from hmac import compare_digest

import pyotp

__all__ = [
    "address_of",
    "code_at",
    "digests_of",
    "fitting_step",
    "fresh_codes",
    "fresh_secret",
    "spent_code",
    "step_of",
]

_STEP_S = 30
"""Seconds of a time step: RFC 6238, 5.2."""

_STEPS_OFF = (0, -1, 1)
"""Time steps by which a phone's clock may be off: one either way (RFC 6238, 5.2 and 6)."""

_DIGITS, _CODES, _GROUPS, _LETTERS = 6, 10, 4, "abcdefghjkmnpqrstuvwxyz23456789"
"""A recovery code has 16 of 31 letters and figures that nobody mistakes for another: 79 bits, salted."""


def fresh_secret() -> str:
    """A new secret of 160 bits (RFC 4226, 4, R6), in base 32."""
    return str(pyotp.random_base32())


def address_of(secret: str, name: str, shop: str) -> str:
    """What the code to scan holds: `otpauth://totp/...`, as programs that reckon codes read it."""
    return str(pyotp.TOTP(secret).provisioning_uri(name=name, issuer_name=shop))


def step_of(now: datetime) -> int:
    """The number of the time step, from the start of 1970."""
    return int(now.timestamp()) // _STEP_S


def code_at(secret: str, step: int) -> str:
    """The code of a time step: a TOTP is the HOTP of its number (RFC 6238, 4.2)."""
    return str(pyotp.HOTP(secret, digits=_DIGITS).at(step))


def _plain(typed: str) -> str:
    """A code as it was meant: without blanks and dashes, in small letters."""
    return "".join(sign for sign in typed[:80].lower() if sign.isalnum())


def fitting_step(secret: str, typed: str, *, now: datetime, after: int) -> int | None:
    """The time step that the code is of, of those that are taken now, and after the last one used; None for none."""
    here = step_of(now)
    fits = [here + off for off in _STEPS_OFF if _same(code_at(secret, here + off), _plain(typed))]
    return next((step for step in fits if step > after), None)


def fresh_codes() -> tuple[str, ...]:
    """Ten recovery codes such as `k7pq-2mxd-9wtz-h4ce`."""
    size = 16 // _GROUPS
    return tuple("-".join("".join(secrets.choice(_LETTERS) for _ in range(size)) for _ in range(_GROUPS)) for _ in range(_CODES))


def digests_of(codes: Iterable[str]) -> tuple[str, ...]:
    """What is kept of recovery codes: of each a salt of its own, and SHA-256 of both."""
    return tuple(f"{salt}:{_salted(salt, code)}" for code in codes for salt in [secrets.token_hex(16)])


def spent_code(digests: tuple[str, ...], typed: str) -> tuple[str, ...] | None:
    """The digests that are left once a recovery code is used; None when it is none of them."""
    fits = [kept for kept in digests if _same(kept.partition(":")[2], _salted(kept.partition(":")[0], typed))]
    return tuple(kept for kept in digests if kept not in fits) if fits else None


def _salted(salt: str, code: str) -> str:
    return hashlib.sha256(f"{salt}{_plain(code)}".encode()).hexdigest()


def _same(one: str, other: str) -> bool:
    return compare_digest(one.encode(), other.encode())
