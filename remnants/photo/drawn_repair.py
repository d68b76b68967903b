"""A repair that was drawn before it was made, as a file that tells which plan it shows, and where its seams lie in it.

That stands in the JPEG's comment: figures and the plan's SHA-256 alone.
"""

from __future__ import annotations

import io
import json
import math
from dataclasses import dataclass

from PIL import Image

from remnants.photo.preview import Frame

__all__ = ["DrawnRepair", "repair_told", "with_repair"]

_KIND = "remnants repair drawn"
_COMMENT_BYTES = 1000
MOST_SIDE = 10_000
MOST_FIGURE = 1e6


@dataclass(frozen=True, slots=True)
class DrawnRepair:
    """Which plan is shown, by its digest, which of its patches, counted from 0, and what of the floor."""

    plan: str
    patch: int
    frame: Frame


def with_repair(jpeg: bytes, drawn: DrawnRepair) -> bytes:
    """The JPEG with what it shows in its comment; the pixels stay as they are."""
    frame = drawn.frame
    told = {
        "kind": _KIND,
        "plan": drawn.plan,
        "patch": drawn.patch,
        "px_per_mm": frame.px_per_mm,
        "corner": list(frame.corner_mm),
    }
    comment = json.dumps(told).encode("ascii")
    return jpeg[:2] + b"\xff\xfe" + (len(comment) + 2).to_bytes(2, "big") + comment + jpeg[2:]


def repair_told(jpeg: bytes) -> DrawnRepair | None:
    """What a JPEG of ours tells to show; None for any other picture."""
    try:
        with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as image:
            size, comment = image.size, image.info.get("comment", b"")
    except (OSError, SyntaxError, ValueError):
        return None
    if not isinstance(comment, bytes) or len(comment) > _COMMENT_BYTES or _KIND.encode() not in comment:
        return None
    try:
        told = json.loads(comment)
        scale, x, y = (float(each) for each in (told["px_per_mm"], *told["corner"]))
        plan, patch = bytes.fromhex(told["plan"]).hex(), int(told["patch"])
    except (ValueError, TypeError, KeyError, RecursionError):
        return None
    sound = all(math.isfinite(each) and abs(each) <= MOST_FIGURE for each in (scale, x, y)) and scale > 0
    if not sound or len(plan) != 64 or patch < 0 or max(size) > MOST_SIDE:
        return None
    return DrawnRepair(plan, patch, Frame(size, scale, (x, y)))
