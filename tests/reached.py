"""Runs the tests and keeps which lines they reach: `python -m tests.reached FILE` and what pytest is given.

As `python -m slipcover -m pytest` does, but that the process which hands the tests out is not asked itself: it runs none of them,
and the others wait the ten seconds that being asked takes it at the start, and again at the end.
"""

import os
import shutil
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

__all__ = ["reached_by"]

ASKED = {"SLIPCOVER_ENABLED": "1", "SLIPCOVER_BRANCH": "1", "SLIPCOVER_SOURCE": "remnants,web/remnants_web"}
"""How slipcover's plugin is told (1.1) what it asks in the processes that pytest starts."""


def reached_by(words: Sequence[str], told: Path) -> int:
    """pytest's exit code, run with these words and at least `-n 1`; what its processes reached stands in the file `told`."""
    os.environ.update(ASKED)
    code = pytest.main(list(words))
    folder = Path(os.environ["SLIPCOVER_COVERAGE_DIR"])
    if (merged := folder / "merged.json").exists():  # not where pytest was stopped
        shutil.move(merged, told)
    shutil.rmtree(folder)
    return int(code)


if __name__ == "__main__":
    sys.exit(reached_by(sys.argv[2:], Path(sys.argv[1])))
