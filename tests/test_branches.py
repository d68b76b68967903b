"""Whose a place is: branches, the words that their places begin with, vans, and how far it is between branches."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remnants.actions import open_catalogue
from remnants.actions.branches import branches_of, put_branch, put_van
from remnants.actions.log_pieces import log_pieces
from remnants.actions.rack import Whereabouts, place_shares
from remnants.errors import BadInput
from remnants.model.branches import NO_BRANCHES, Branch, Branches, Van, alike, pair_of
from remnants.model.distance import read_distance
from tests.stock_values import SIGNED, a_piece, a_stock, a_style

SHOP = Branches(
    (Branch("South"), Branch("North", ("Unit 12", "Bay 1"))),
    (Van("Van 3", "Ana", "North"), Van("Old van", "Maud")),
    {pair_of("South", "North"): read_distance("40 km", "--away")},
)


@pytest.mark.parametrize(
    ("place", "branch"),
    [
        ("Bay 3", "South"),  # nobody's words: the first branch's, as before there were any
        ("South Bay 3", "South"),
        ("north  BAY 3", "North"),
        ("North", "North"),
        ("North, rack 2", "North"),
        ("Northern wall", "South"),  # a word is not broken
        ("Unit 12 rack 4", "North"),
        ("Unit 120", "South"),
        ("Bay 1", "North"),
        ("Bay 10", "South"),
        ("Van 3, left shelf", "North"),
        ("Old van", "South"),  # of no branch that was told: the first one's
        ("", "South"),
    ],
)
def test_a_place_is_the_branchs_whose_words_it_begins_with(place: str, branch: str) -> None:
    assert SHOP.branch_of(place) == branch


def test_a_van_is_a_place_with_somebody_who_answers_for_it() -> None:
    van = SHOP.van_of("van 3, left shelf")
    assert van is not None and van.custodian == "Ana"
    assert SHOP.van_of("Van 30") is None


def test_the_longest_words_win() -> None:
    """`Van 3` is North's van; the shop calls a shed at South `Van 3 shed`."""
    shop = Branches((Branch("South", ("Van 3 shed",)), Branch("North")), (Van("Van 3", "Ana", "North"),))
    assert shop.branch_of("Van 3 shed, left") == "South"
    assert shop.van_of("Van 3 shed, left") is None


def test_a_shop_without_branches_has_none_anywhere() -> None:
    assert not NO_BRANCHES
    assert (NO_BRANCHES.branch_of("Bay 3"), NO_BRANCHES.van_of("Van 3")) == ("", None)


@given(st.text(max_size=12), st.text(max_size=12))
def test_every_place_is_of_one_branch_however_it_is_written(start: str, rest: str) -> None:
    """Letter case and blanks change nothing, and what begins with a branch's name is its own."""
    place = f"{start} {rest}"
    assert SHOP.branch_of(place) in ("South", "North")
    assert SHOP.branch_of(place) == SHOP.branch_of(f"  {alike(place)} ")
    assert SHOP.branch_of(f"North {place}") == "North"


@pytest.mark.parametrize(
    ("text", "km", "words"),
    [
        ("40", 40, "40 km"),
        ("40 KM", 40, "40 km"),
        ("25 miles", 40.2336, "25 miles"),
        ("1 mi", 1.609344, "1 mile"),
        ("2,5km", 2.5, "2.5 km"),
    ],
)
def test_how_far_it_is_by_road_is_told_in_km_or_miles(text: str, km: float, words: str) -> None:
    """25 miles are 25 x 1.609344 km."""
    told = read_distance(text, "--away")
    assert told.km == pytest.approx(km)
    assert told.words == words


@pytest.mark.parametrize("text", ["", "far", "0", "-3", "40 m", "30000 km", "1e3", "nan"])
def test_what_is_no_distance_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match=r"--away: .*(no distance|out of bounds)"):
        read_distance(text, "--away")


def test_what_the_shop_tells_is_read_back_as_it_was_told(tmp_path: Path) -> None:
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        put_branch(catalogue, "South", new=True, signed=SIGNED)
        put_branch(catalogue, "North", new=True, places=["Unit 12", "Bay 1"], away=[("south", "40 km")], signed=SIGNED)
        put_van(catalogue, Van("Van 3", "Ana", "north"), signed=SIGNED)
        put_van(catalogue, Van("Old van", "Maud"), signed=SIGNED)
        found = branches_of(catalogue)
    assert found.branches == (Branch("South"), Branch("North", ("Bay 1", "Unit 12")))
    assert found.vans == (Van("Old van", "Maud"), Van("Van 3", "Ana", "North"))
    assert found.distances == SHOP.distances


def test_a_van_that_is_told_stands_with_the_vans_whatever_it_is_called(tmp_path: Path) -> None:
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        log_pieces(catalogue, a_stock(replace(a_piece("R-1"), place="Blue Bess, left"), styles=(a_style(),)), signed=SIGNED)
        assert [share.where for share in place_shares(catalogue)] == [Whereabouts.STORE]
        put_van(catalogue, Van("Blue Bess", "Ana"), signed=SIGNED)
        assert [share.where for share in place_shares(catalogue)] == [Whereabouts.VAN]
