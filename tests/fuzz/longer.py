"""Damages files for as long as is wished, and keeps those that are neither read nor refused in our own words, or take too long.

python -m tests.fuzz.longer --minutes 10 [--seed 1] [--kind racks.xlsx]
"""

import argparse
import random
import sys
import time
import traceback
import warnings
from pathlib import Path

from tests.fuzz.mutations import KINDS, damaged, refused

TOO_LONG_S = 10.0
"""Reading any of these small files takes some milliseconds; a busy machine may take a second."""


def main() -> int:
    """Tells what it found, and ends with 1 when it found anything."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--minutes", type=float, default=10)
    options.add_argument("--seed", type=int, default=0)
    options.add_argument("--kind", choices=[kind.name for kind in KINDS])
    options.add_argument("--keep", type=Path, default=Path(".cache/fuzz"))
    chosen = options.parse_args()
    warnings.simplefilter("error")
    kinds = [kind for kind in KINDS if chosen.kind in (None, kind.name)]
    chance, ends, tries, found = random.Random(chosen.seed), time.monotonic() + 60 * chosen.minutes, 0, 0
    while time.monotonic() < ends:
        kind = kinds[tries % len(kinds)]
        data, began = damaged(kind, chance), time.monotonic()
        tries += 1
        try:
            refused(kind, data)
            told = "took too long" if time.monotonic() - began > TOO_LONG_S else ""
        except Exception:
            told = "".join(traceback.format_exc().splitlines(keepends=True)[-6:])
        if told:
            found += 1
            chosen.keep.mkdir(parents=True, exist_ok=True)
            path = chosen.keep / f"{found}-{kind.name}"
            path.write_bytes(data)
            print(path, told, sep="\n", flush=True)
    print(f"{tries} files, {found} found")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
