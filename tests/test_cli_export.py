"""`remnants export`: the stock on hand as a file that is read back the same."""

import json

import pytest

from tests.commands import Remnants


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
