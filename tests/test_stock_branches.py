"""Branches, vans and what is on the way in a stock file: written, read back the same, and put into a catalogue again."""

import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.actions import open_catalogue
from remnants.actions.branches import put_branch, put_van
from remnants.actions.export_stock import export_stock
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.log_stock import log_stock
from remnants.actions.transfers import send
from remnants.errors import BadInput
from remnants.exchange import SentPiece, Stock, read_stock, stock_json
from remnants.model.branches import Branch, Branches, Van, pair_of
from remnants.model.distance import read_distance
from remnants.units import Unit
from tests.stock_values import SIGNED, a_piece, a_stock, a_style
from tests.thorough import share

NAMES = st.lists(st.text("abcdeé 12", min_size=1, max_size=6).map(str.strip).filter(bool), unique_by=str.casefold, max_size=8)


def shop_of(names: list[str], figure: float, late: date) -> Stock:
    """A shop whose branches, their words, vans and ways are called by `names`, in turn."""
    own = [" ".join(name.split()) for name in names]
    own = list({name.casefold(): name for name in own}.values())
    branches = tuple(Branch(name, (f"{name} unit {name}",) if number % 2 else ()) for number, name in enumerate(own[:4]))
    vans = tuple(Van(f"van {name}", "Ana", branches[0].name) for name in own[4:])
    pairs = {pair_of(one.name, other.name) for one in branches for other in branches if one != other}
    ours = Branches(
        branches, tuple(sorted(vans, key=lambda van: van.name)), dict.fromkeys(pairs, read_distance(f"{figure} miles", "--away"))
    )
    goals = [branch.name for branch in branches[1:]] + [van.name for van in vans]
    sent = tuple(SentPiece(a_piece(f"S-{number}"), "", goal, late) for number, goal in enumerate(goals))
    return Stock((a_style(repeat=None, row_mm=None),), (a_piece("R-1"),), Unit.MM, ours, sent)


@settings(max_examples=share(40), deadline=None)
@given(NAMES, st.integers(1, 1_200_000).map(lambda cents: cents / 100), st.dates(date(2000, 1, 1), date(2099, 1, 1)))
def test_what_is_written_is_read_back_the_same(names: list[str], figure: float, late: date) -> None:
    stock = shop_of(names, figure, late)
    assert read_stock(json.dumps(stock_json(stock))) == stock


def test_a_shop_goes_through_a_file_and_nothing_is_lost(tmp_path: Path) -> None:
    with open_catalogue(tmp_path / "one.db", write=True, now=lambda: SIGNED.at) as catalogue:
        made = [replace(a_piece(tag), place=place) for tag, place in (("R-1", "Bay 3"), ("R-2", "Bay 4"), ("N-1", "North 1"))]
        log_pieces(catalogue, a_stock(*made, styles=(a_style(),)), signed=SIGNED)
        put_branch(catalogue, "South", new=True, signed=SIGNED)
        put_branch(catalogue, "North", new=True, places=["Unit 12"], away=[("South", "25 miles")], signed=SIGNED)
        put_van(catalogue, Van("Van 3", "Ana", "North"), signed=SIGNED)
        send(catalogue, ["R-1"], "North", signed=SIGNED)
        send(catalogue, ["N-1"], "Van 3", signed=SIGNED)
        out = export_stock(catalogue, unit=Unit.IN)
    assert [(each.piece.tag, each.piece.place, each.goal) for each in out.sent] == [
        ("N-1", "North 1", "Van 3"),
        ("R-1", "Bay 3", "North"),
    ]
    text = json.dumps(stock_json(out))
    with open_catalogue(tmp_path / "other.db", write=True, now=lambda: SIGNED.at) as catalogue:
        assert log_stock(catalogue, read_stock(text), signed=SIGNED, key="k") == ("R-2", "N-1", "R-1")
        assert log_stock(catalogue, read_stock(text), signed=SIGNED, key="k") == ("R-2", "N-1", "R-1"), (
            "sent twice it counts once"
        )
        assert json.dumps(stock_json(export_stock(catalogue, unit=Unit.IN))) == text
        assert verify(catalogue).faults == ()


def test_a_shop_without_branches_has_no_new_key() -> None:
    assert list(stock_json(Stock((a_style(),), (a_piece("R-1"),)))) == ["unit", "styles", "pieces"]


WRONG: list[tuple[dict[str, Any], str]] = [
    ({"branches": [{"name": "North"}, {"name": " NORTH"}]}, r"branches\[1\]: .*the branch North already"),
    (
        {"branches": [{"name": "North", "places": ["Bay"]}], "vans": [{"name": "bay", "custodian": "Ana"}]},
        r"vans\[0\]: .*already",
    ),
    ({"branches": [{"name": " "}]}, r"branches\[0\].name"),
    ({"vans": [{"name": "Van 3"}]}, r"vans\[0\].custodian: this is missing"),
    ({"vans": [{"name": "Van 3", "custodian": "Ana", "branch": "East"}]}, r"vans\[0\].branch: no branch of this file is called"),
    ({"branches": [{"name": "North", "away": {"East": "3 km"}}]}, r"branches\[0\].away: no other branch of this file"),
    ({"branches": [{"name": "S"}, {"name": "N", "away": {"S": "far"}}]}, r"branches\[1\].away: 'far' is no distance"),
    ({"branches": "North"}, "branches: give a list"),
    ({"on_the_way": [{"sent_to": "North", "expected": "soon"}]}, r"on_the_way\[0\]"),
]


@pytest.mark.parametrize(("told", "fault"), WRONG)
def test_what_is_wrong_is_told_with_its_place(told: dict[str, Any], fault: str) -> None:
    with pytest.raises(BadInput, match=fault):
        read_stock({"unit": "in", "pieces": [], **told})


def test_what_can_not_be_put_in_leaves_all_as_it_was(tmp_path: Path) -> None:
    sent = SentPiece(replace(a_piece("S-1"), place="Bay 3"), "", "North", date(2031, 5, 3))
    whole = Stock((a_style(),), (a_piece("R-1"),), branches=Branches((Branch("South"), Branch("North"))), sent=(sent,))
    with open_catalogue(tmp_path / "stock.db", write=True, now=lambda: SIGNED.at) as catalogue:
        put_van(catalogue, Van("North", "Ana"), signed=SIGNED)
        before = export_stock(catalogue, unit=Unit.MM)
        for wrong, told in (
            (whole, r"branches\[1\]: 'North' is the van North already"),
            (replace(whole, branches=Branches(), sent=(replace(sent, goal="East"),)), r"on_the_way\[0\].sent_to: no branch"),
            (replace(whole, branches=Branches((), (Van("", "Ana"),))), r"vans\[0\]"),
        ):
            with pytest.raises(BadInput, match=told):
                log_stock(catalogue, wrong, signed=SIGNED)
            assert export_stock(catalogue, unit=Unit.MM) == before
        log_pieces(catalogue, a_stock(a_piece("S-1"), styles=(a_style(),)), signed=SIGNED)
        with pytest.raises(BadInput, match=r"on_the_way\[0\].piece.tag: the catalogue has a piece 'S-1' already"):
            log_stock(catalogue, replace(whole, branches=Branches()), signed=SIGNED)
