"""What is told wrong of branches, vans and people is refused in one line by every store, and leaves each row as it was."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from remnants.actions import Catalogue
from remnants.actions.branch_people import set_role_at
from remnants.actions.branches import branches_of, close_branch, close_van, put_branch, put_van
from remnants.actions.change_piece import move_piece
from remnants.actions.keep_safe import verify
from remnants.actions.loans import take_back
from remnants.actions.log_pieces import log_pieces
from remnants.actions.own_branch import choose_branch, own_branch
from remnants.actions.places import place_meant
from remnants.actions.transfers import on_the_way, send, take_in
from remnants.errors import RemnantsError
from remnants.model import Person, Role
from remnants.model.branches import Van
from remnants.store import people, pieces
from tests.stock_values import SIGNED, a_piece, a_stock, a_style
from tests.store.contract.stores import Store, contents

LOOKS = replace(SIGNED, who="Lou")


def a_shop(catalogue: Catalogue) -> None:
    """South and North with a Bay 3 each; R-1 is on the way to North, N-2 is in Van 3. Lou may look at North."""
    places = {"R-1": "Bay 3", "R-2": "Bay 3", "N-1": "North Bay 3", "N-2": "Van 3, left shelf"}
    made = [replace(a_piece(tag), place=place) for tag, place in places.items()]
    log_pieces(catalogue, a_stock(*made, styles=(a_style(),)), signed=SIGNED)
    for name in ("South", "North"):
        put_branch(catalogue, name, new=True, signed=SIGNED)
    put_van(catalogue, Van("Van 3", "Ana", "North"), signed=SIGNED)
    for name in ("Lou", "Wim"):
        people.add_person(catalogue, Person(name, Role.WORK))
    set_role_at(catalogue, "North", "Lou", Role.LOOK, signed=SIGNED)
    send(catalogue, ["R-1"], "North", signed=SIGNED)


WRONG: list[tuple[Callable[[Catalogue], object], str]] = [
    (lambda shop: put_branch(shop, " NORTH", new=True, signed=SIGNED), "is the branch North already"),
    (lambda shop: put_branch(shop, "South", called="north", signed=SIGNED), "is the branch North already"),
    (lambda shop: put_branch(shop, "South", places=["Ｖan 3"], signed=SIGNED), "is the van Van 3 already"),
    (lambda shop: put_van(shop, Van("south", "Ana"), signed=SIGNED), "is the branch South already"),
    (lambda shop: put_van(shop, Van("Van 4", "  "), signed=SIGNED), "say who answers for what lies in it"),
    (lambda shop: put_van(shop, Van("Van 4", "Ana", "East"), signed=SIGNED), "no branch is called 'East'"),
    (lambda shop: close_branch(shop, "North", signed=SIGNED), "1 piece is on the way to North"),
    (lambda shop: close_branch(shop, "South", signed=SIGNED), "South has every place that no other branch has"),
    (lambda shop: close_van(shop, "Van 3", signed=SIGNED), "1 piece lies in Van 3"),
    (lambda shop: send(shop, ["R-2"], "East", signed=SIGNED), "no branch and no van is called 'East'"),
    (lambda shop: take_in(shop, ["R-1"], "Van 3 roof", signed=SIGNED), "is a place of Van 3; this was sent to North"),
    (lambda shop: move_piece(shop, "N-1", "bay  3", own="", signed=SIGNED), "which branch is meant"),
    (lambda shop: move_piece(shop, "N-1", "North Bay 4", signed=LOOKS), "Lou may look at what lies at North"),
    (lambda shop: set_role_at(shop, "North", "Bo", Role.WORK, signed=SIGNED), "nobody here is called 'Bo'"),
    (lambda shop: choose_branch(shop, "Wim", "East"), "no branch and no van is called 'East'"),
    (lambda shop: take_back(shop, ["R-2"], "Bay 3", signed=SIGNED), "R-2 is not lent"),
]


def test_each_is_refused_in_one_line_and_nothing_is_half_done(store: Store) -> None:
    with store.opened(store.new()) as shop:
        a_shop(shop)
        before = contents(shop)
        for wrong, told in WRONG:
            with pytest.raises(RemnantsError) as refused:
                wrong(shop)
            assert told in str(refused.value) and "\n" not in str(refused.value)
            assert contents(shop) == before, told


def test_a_branch_that_is_renamed_takes_in_what_was_on_its_way(store: Store) -> None:
    with store.opened(store.new()) as shop:
        a_shop(shop)
        put_branch(shop, "North", called="Harbour", signed=SIGNED)
        (sent,) = on_the_way(shop)
        assert sent.way and (sent.way.start, sent.way.goal) == ("South", "Harbour")
        with pytest.raises(RemnantsError, match="1 piece is on the way to Harbour"):
            close_branch(shop, "Harbour", signed=SIGNED)
        (taken,) = take_in(shop, ["R-1"], "Bay 4", signed=SIGNED)
        assert taken.piece.place == "North Bay 4" and branches_of(shop).branch_of("North Bay 4") == "Harbour"
        with pytest.raises(RemnantsError, match="2 pieces lie at Harbour"):
            close_branch(shop, "Harbour", signed=SIGNED)
        assert place_meant(shop, "bay 3", own="Harbour").place == "North Bay 3", "its places are called as they were"
        for tag in ("R-1", "N-1"):
            move_piece(shop, tag, "Bay 3", signed=SIGNED)
        wim = people.find_person(shop, "Wim")
        assert wim and own_branch(shop, wim) == "" and choose_branch(shop, "Wim", "North") == "Harbour"
        close_branch(shop, "Harbour", signed=SIGNED)
        wim = people.find_person(shop, "Wim")
        assert wim and own_branch(shop, wim) == "", "where one worked is closed"
        assert branches_of(shop).branch_of("Van 3") == "South" and pieces.count_at(shop, "Van 3, left shelf") == 1
        assert verify(shop).faults == ()
