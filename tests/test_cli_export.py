"""`remnants export`: the stock on hand as a file that is read back the same."""

import json
import tracemalloc
from collections.abc import Iterator
from pathlib import Path

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.export_stock import export_stock, stock_out
from remnants.actions.log_pieces import log_pieces
from remnants.cli import main
from remnants.cli.export import TOLD_EVERY
from remnants.ledger import Standing
from remnants.store import pieces
from remnants.units import Unit
from tests.commands import Remnants
from tests.stock_values import SIGNED, a_piece, a_stock


@pytest.mark.parametrize("name", ["stock.json", "stock.csv"])
def test_what_is_exported_is_logged_the_same(remnants: Remnants, name: str) -> None:
    remnants.log("--tag", "R-1", "--cutout", "3,3", "9,3", "9,9", "--motif", "4,7", "--worn", "1", "--place", "Bay 3")
    remnants.log("--tag", "L-1", "--kind", "laid", "--pile", "37.5")
    remnants.log("--tag", "gone")
    remnants.ok("discard", "gone")
    before = [remnants.ok("show", tag, "--json") for tag in ("R-1", "L-1")]
    assert remnants.ok("export", remnants.folder / name) == f"2 pieces in {remnants.folder / name}\n"
    other = ("--catalogue", remnants.folder / "other.db")
    remnants.ok("log", remnants.folder / name, *other)
    assert [remnants.ok("show", tag, "--json", *other) for tag in ("R-1", "L-1")] == before


def test_a_file_that_is_there_is_not_written_over(remnants: Remnants) -> None:
    remnants.log()
    remnants.file("stock.json", "mine")
    assert "is there already" in remnants.refused("export", remnants.folder / "stock.json", code=2)
    assert (remnants.folder / "stock.json").read_text() == "mine"
    remnants.ok("export", remnants.folder / "stock.json", "--force")
    assert len(json.loads((remnants.folder / "stock.json").read_text())["pieces"]) == 1
    assert "neither" in remnants.refused("export", remnants.folder / "stock.txt", code=2)


@pytest.mark.parametrize("name", ["stock.json", "stock.csv"])
def test_what_is_for_others_tells_no_cost_no_supplier_and_nothing_of_customers(remnants: Remnants, name: str) -> None:
    bought = ("--cost", "77777.77 EUR", "--supplier", "Zwielwort Mill")
    remnants.log("--tag", "R-1", *bought, "--place", "Bay 3")
    remnants.log("--tag", "L-1", "--kind", "laid", "--place", "Quern Row")
    assert remnants.ok("export", remnants.folder / name, "--for-others").startswith("1 piece in")
    written = (remnants.folder / name).read_text()
    assert "R-1" in written and "Bay 3" in written
    assert not [word for word in ("77777", "Zwielwort", "cost", "supplier", "customer", "Quern", "L-1") if word in written]
    remnants.ok("export", remnants.folder / name, "--force")
    assert "77777.77 EUR" in (remnants.folder / name).read_text()


def shop_of(path: Path, count: int) -> Path:
    with open_catalogue(path, write=True) as catalogue:
        log_pieces(catalogue, a_stock(*[a_piece(f"R-{n}", place=f"Bay {n % 7}") for n in range(count)]), signed=SIGNED)
    return path


def memory_to_export(shop: Path, file: Path) -> int:
    tracemalloc.start()
    try:
        assert main(["export", str(file), "--force", "--catalogue", str(shop)]) == 0
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def test_a_stock_ten_times_as_large_takes_hardly_more_memory_to_export(tmp_path: Path) -> None:
    """The bar keeps some of how far it was; the shortest text of a piece that could be held is some 200 bytes.

    Where Python happens to look for what may go, the room that it keeps at hand is made anew and counts too: 70 bytes a piece. So
    the least of a few times counts.
    """
    for ending in ("json", "csv"):
        peaks = []
        for count in (2, 120, 1_200):
            shop = tmp_path / f"{count}.db"
            if not shop.exists():
                shop_of(shop, count)
            peaks.append(min(memory_to_export(shop, tmp_path / f"{count}.{ending}") for _ in range(3)))
        assert peaks[2] < peaks[1] + 60 * 1_080, (ending, peaks)


def test_an_export_tells_how_far_it_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    heard: list[int] = []

    class Heard:
        def __init__(self, words: str, total: int) -> None:
            assert (words, total) == ("pieces looked at", 2 * TOLD_EVERY + 1)

        def __enter__(self) -> object:
            return heard.append

        def __exit__(self, *_: object) -> None:
            heard.append(0)

    monkeypatch.setattr("remnants.cli.export.counting", Heard)
    shop = shop_of(tmp_path / "stock.db", 2 * TOLD_EVERY + 1)
    assert main(["export", str(tmp_path / "stock.csv"), "--catalogue", str(shop), "--for-others"]) == 0
    assert heard == [TOLD_EVERY, TOLD_EVERY, 0]


@pytest.mark.parametrize("name", ["stock.json", "stock.csv"])
def test_an_export_that_is_given_up_leaves_the_file_as_it_was_and_nothing_beside(
    remnants: Remnants, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    remnants.log("--tag", "R-1")
    remnants.log("--tag", "R-2")
    remnants.file(name, "mine")
    before = {path.name for path in remnants.folder.iterdir()}
    real = pieces.on_hand

    def given_up(catalogue: Catalogue) -> Iterator[Standing]:
        yield next(iter(real(catalogue)))
        raise KeyboardInterrupt

    monkeypatch.setattr("remnants.store.pieces.on_hand", given_up)
    assert "nothing half done" in remnants.refused("export", remnants.folder / name, "--force", code=130)
    assert (remnants.folder / name).read_text() == "mine"
    assert {path.name for path in remnants.folder.iterdir()} <= before | {"stock.db-wal", "stock.db-shm"}


def test_what_is_logged_meanwhile_is_not_in_the_file(tmp_path: Path) -> None:
    shop = shop_of(tmp_path / "stock.db", 3)
    with open_catalogue(shop, write=False) as catalogue, stock_out(catalogue, unit=Unit.IN) as out:
        with open_catalogue(shop, write=True) as other:
            log_pieces(other, a_stock(a_piece("R-9")), signed=SIGNED)
        assert [piece.tag for piece in out.pieces() if piece] == ["R-0", "R-1", "R-2"]
        assert out.on_hand == 3
    with open_catalogue(shop, write=False) as catalogue:
        assert len(export_stock(catalogue, unit=Unit.IN).pieces) == 4
