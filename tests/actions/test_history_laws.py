"""Laws over random histories of a shop: what its rows say is what its entries add up to, and the chain of entries is whole.

Many, by hand: `REMNANTS_HISTORIES=10000 REMNANTS_SEED=1 python -m pytest -s -n 0 tests/actions/test_history_laws.py`. A history
that breaks a law is told with its seed; `REMNANTS_HISTORIES=1` with that seed does it again.
"""

import os
import random
import tempfile
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.keep_safe import verify
from remnants.ledger import replay
from remnants.store import ledger, pieces
from tests.happenings import Shop
from tests.thorough import share

HISTORIES = int(os.environ.get("REMNANTS_HISTORIES", share(48)))
SEED = int(os.environ.get("REMNANTS_SEED", "1"))
STEPS = 25


def a_history(seed: int, path: Path) -> Shop:
    with open_catalogue(path, write=True) as catalogue:
        shop = Shop(catalogue, random.Random(seed))
        for _ in range(STEPS):
            shop.step()
        assert [str(fault) for fault in verify(catalogue).faults] == []
        for tag, entries in ledger.every_history(catalogue):
            assert replay(entries).standing == pieces.find_standing(catalogue, tag)
    return shop


def test_whatever_happened_rows_are_what_the_entries_add_up_to_and_the_chain_is_whole() -> None:
    broken = []
    for seed in range(SEED, SEED + HISTORIES):
        with tempfile.TemporaryDirectory() as folder:
            try:
                a_history(seed, Path(folder) / "stock.db")
            except (AssertionError, LookupError, TypeError, ValueError) as error:
                broken.append((seed, error))
        if broken and len(broken) > 3:
            break
    print(f"{HISTORIES} histories of {STEPS} steps from seed {SEED}")
    assert not broken, broken
