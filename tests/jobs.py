"""Jobs for tests of commands."""

from pathlib import Path
from typing import Any

from tests.commands import Remnants

__all__ = ["a_hall", "hold"]


def a_hall(remnants: Remnants, job: str, **changes: Any) -> Path:
    """A job file of one 30 x 12 in patch, 1 in allowance all round, pile along the 30: 14 x 32 in are cut from a piece."""
    patch = {"name": "hall", "width": 30, "length": 12, "pile": 90, "edges": "seam"} | changes
    asked = {"unit": "in", "job": job, "style": "velder loop", "allowance": {"seam": 1}, "min_part": 4}
    return remnants.file(f"{job}.json", asked | {"patches": [patch]})


def hold(remnants: Remnants, job: str, *options: str) -> str:
    """Holds the hall for a job."""
    return remnants.ok("hold", a_hall(remnants, job), "--by", "Bo", *options)
