"""Which place is meant by its words where several branches have one of that name."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.branch_people import set_role_at
from remnants.actions.branches import put_branch, put_van
from remnants.actions.change_piece import move_piece
from remnants.actions.dock import Found, look_up
from remnants.actions.log_pieces import log_pieces
from remnants.actions.own_branch import choose_branch, own_branch
from remnants.actions.places import place_meant, the_place, unmistaken
from remnants.errors import BadInput, NotFound
from remnants.model import Person, Role
from remnants.model.branches import Van
from remnants.store import people, pieces
from tests.stock_values import SIGNED, a_piece, a_stock, a_style

PLACES = {"R-1": "Bay 3", "R-2": "North Bay 3", "R-3": "Bay 4", "R-4": "North Bay 5", "R-5": "Van 3, left shelf"}


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Catalogue]:
    """Bay 3 at South and at North, Bay 4 at South alone, Bay 5 at North alone."""
    with open_catalogue(tmp_path / "stock.db", write=True, now=lambda: SIGNED.at) as catalogue:
        made = [replace(a_piece(tag), place=place) for tag, place in PLACES.items()]
        log_pieces(catalogue, a_stock(*made, styles=(a_style(),)), signed=SIGNED)
        for name in ("South", "North"):
            put_branch(catalogue, name, new=True, signed=SIGNED)
        put_van(catalogue, Van("Van 3", "Ana", "North"), signed=SIGNED)
        yield catalogue


@pytest.mark.parametrize(
    ("text", "own", "place", "there"),
    [
        ("Bay 3", "South", "Bay 3", True),
        ("bay  3", "North", "North Bay 3", True),
        ("South Bay 3", "North", "Bay 3", True),  # its branch is told: the books write it without
        ("North Bay 3", "South", "North Bay 3", True),
        ("Bay 4", "North", "North Bay 4", False),  # none of North's yet
        ("Bay 4", "", "Bay 4", True),
        ("left shelf", "Van 3", "Van 3, left shelf", True),
        ("roof", "Van 3", "Van 3 roof", False),
        ("Bay 9", "", "Bay 9", False),
        ("Bay 5", "", "Bay 5", False),  # nobody's words are the first branch's, as ever
    ],
)
def test_words_mean_the_place_of_the_branch_that_says_them(shop: Catalogue, text: str, own: str, place: str, there: bool) -> None:
    meant = place_meant(shop, text, own=own)
    assert (meant.place, meant.there, meant.asks) == (place, there, False)
    assert place_meant(shop, place, own=own).place == place or own != "South", "said again it means the same"


def test_where_no_branch_says_it_one_is_asked_which_is_meant(shop: Catalogue) -> None:
    meant = place_meant(shop, "Bay 3")
    assert meant.asks and meant.others == (("South", "Bay 3"), ("North", "North Bay 3"))
    with pytest.raises(BadInput, match="which branch is meant"):
        the_place(shop, "Bay 3")
    with pytest.raises(BadInput, match="which branch is meant"):
        move_piece(shop, "R-4", "Bay 3", own="", signed=SIGNED)
    assert pieces.count_at(shop, "Bay 3") == 1


def test_a_piece_goes_where_who_moves_it_says(shop: Catalogue) -> None:
    for own, place in (("North", "North Bay 3"), ("South", "Bay 3"), (None, "Bay 3")):
        move_piece(shop, "R-4", "Bay 3", own=own, signed=SIGNED)
        assert pieces.standings_tagged(shop, ["R-4"])["R-4"].piece.place == place


@pytest.mark.parametrize("own", ["", "South", "North"])
@pytest.mark.parametrize("place", [*PLACES.values()])
def test_words_for_a_known_place_mean_just_that_wherever_they_are_read(shop: Catalogue, place: str, own: str) -> None:
    assert the_place(shop, unmistaken(shop, place, own=own), own=own) == place


def test_a_scanned_name_of_two_places_is_asked_about(shop: Catalogue) -> None:
    asked = look_up(shop, "Bay 3")
    assert asked.found is Found.PLACES and asked.places == (("South", "Bay 3"), ("North", "North Bay 3"))
    assert look_up(shop, "Bay 3", own="North").text == "North Bay 3"
    new = look_up(shop, "Bay 4", own="North")
    assert (new.found, new.text, new.places) == (Found.PLACES, "North Bay 4", (("South", "Bay 4"),))


def test_one_works_from_where_one_chose_else_where_one_was_given_a_role(shop: Catalogue) -> None:
    def wims() -> str:
        wim = people.find_person(shop, "Wim")
        assert wim
        return own_branch(shop, wim)

    people.add_person(shop, Person("Wim", Role.WORK))
    assert wims() == ""
    set_role_at(shop, "North", "Wim", Role.WORK, signed=SIGNED)
    set_role_at(shop, "South", "Wim", Role.LOOK, signed=SIGNED)
    assert wims() == "North"
    set_role_at(shop, "South", "Wim", Role.WORK, signed=SIGNED)
    assert wims() == ""
    assert choose_branch(shop, "Wim", " van  3 ") == "Van 3" == wims()
    choose_branch(shop, "Wim", "South")
    put_branch(shop, "South", called="Harbour", signed=SIGNED)
    assert wims() == "Harbour", "it only got another name"
    choose_branch(shop, "Wim", "")
    assert wims() == ""
    with pytest.raises(BadInput, match="no branch and no van is called 'East'"):
        choose_branch(shop, "Wim", "East")
    with pytest.raises(NotFound):
        choose_branch(shop, "Bo", "South")


def test_a_shop_without_branches_is_told_each_place_as_it_stands(tmp_path: Path) -> None:
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        log_pieces(catalogue, a_stock(a_piece("R-1"), styles=(a_style(),)), signed=SIGNED)
        for text in ("bay  3", "North Bay 3", ""):
            assert the_place(catalogue, text) == unmistaken(catalogue, text) == text
