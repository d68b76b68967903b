"""Roles at branches: who may work at one changes nothing at another, by whichever door."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.branch_people import set_role_at
from remnants.actions.branches import close_branch, put_branch
from remnants.actions.change_piece import discard_piece, move_piece
from remnants.actions.count_place import book_count, count_place
from remnants.actions.fit_job import fit_job
from remnants.actions.keep_job import cut_plan, hold_job
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.transfers import call_back, not_there, send, take_in
from remnants.actions.undo import undo_last
from remnants.errors import BadInput, NotAllowed, NotFound, NotPermitted
from remnants.geometry import rectangle
from remnants.ledger import Signed
from remnants.model import Allowance, Finish, Job, Kind, Patch, Person, Role, Wanted
from remnants.store import people, pieces
from remnants.store.branches import all_branches
from tests.stock_values import IN, SIGNED, a_piece, a_stock, a_style
from tests.thorough import share

PLAIN = (a_style(repeat=None, row_mm=None),)
NORTH = Signed("Ana", SIGNED.at)
SOUTH = Signed("Wim", SIGNED.at)
MAUD = Signed("Maud", SIGNED.at)


def a_shop(catalogue: Catalogue) -> None:
    """R-1 and R-2 at South, N-1 and N-2 at North; Ana works at North, Wim at South, Maud manages."""
    places = {"R-1": "Bay 1", "R-2": "Bay 1", "N-1": "North Bay 1", "N-2": "North Bay 1"}
    made = [replace(a_piece(tag, 40, 60), place=place) for tag, place in places.items()]
    log_pieces(catalogue, a_stock(*made, styles=PLAIN), signed=MAUD)
    for name, role in (("Ana", Role.WORK), ("Wim", Role.WORK), ("Maud", Role.MANAGE)):
        people.add_person(catalogue, Person(name, role))
    for name in ("South", "North"):
        put_branch(catalogue, name, new=True, signed=MAUD)
    for branch, person in (("North", "Ana"), ("South", "Wim"), ("North", "Maud")):
        set_role_at(catalogue, branch, person, Role.WORK, signed=MAUD)


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Catalogue]:
    with open_catalogue(tmp_path / "stock.db", write=True, now=lambda: SIGNED.at) as catalogue:
        a_shop(catalogue)
        yield catalogue


def test_who_works_at_one_branch_only_looks_at_another(shop: Catalogue) -> None:
    with pytest.raises(NotPermitted, match="Ana may look at what lies at South, and not change it; nothing was done"):
        discard_piece(shop, "R-1", signed=NORTH)
    with pytest.raises(NotPermitted, match="at North"):
        move_piece(shop, "R-1", "North Bay 2", signed=SOUTH)  # it is sent, and North takes it in
    with pytest.raises(NotPermitted, match="at South"):
        log_pieces(shop, a_stock(a_piece("R-9"), styles=PLAIN), signed=NORTH)
    with pytest.raises(NotPermitted):
        book_count(shop, count_place(shop, "Bay 1", []), signed=NORTH)
    move_piece(shop, "N-1", "North Bay 2", signed=NORTH)
    discard_piece(shop, "R-1", signed=replace(NORTH, who="Maud"))  # a manager, everywhere
    discard_piece(shop, "R-2", signed=replace(NORTH, who="Somebody at the machine"))
    assert verify(shop).faults == ()


def test_a_plan_is_held_and_cut_where_one_may_work(shop: Catalogue) -> None:
    patch = Patch("hall", rectangle(30 * IN, 40 * IN).ring, 0.0, (Finish.FREE,) * 4, Wanted("Velder Loop"))
    job = Job("Alder Court 7", (patch,), Allowance(0.0), 50.0, branch="South")
    fitted = fit_job(shop, job, today=SIGNED.at.date())
    for do in (
        lambda: hold_job(shop, fitted, until=SIGNED.at.date(), signed=NORTH),
        lambda: cut_plan(shop, fitted, signed=NORTH),
    ):
        with pytest.raises(NotPermitted, match="at South"):
            do()
    assert cut_plan(shop, fitted, signed=SOUTH).donors


def test_a_piece_is_sent_by_the_one_and_taken_in_by_the_other(shop: Catalogue) -> None:
    with pytest.raises(NotPermitted, match="at South"):
        send(shop, ["R-1"], "North", signed=NORTH)
    send(shop, ["R-1", "R-2"], "North", signed=SOUTH)
    with pytest.raises(NotPermitted, match="at North"):
        take_in(shop, ["R-1"], signed=SOUTH)
    with pytest.raises(NotPermitted, match="at South"):
        call_back(shop, ["R-1"], signed=NORTH)
    take_in(shop, ["R-1"], "Bay 3", signed=NORTH)
    not_there(shop, ["R-2"], signed=NORTH)  # who expects it may say so
    move_piece(shop, "R-1", "North Bay 4", signed=NORTH)


def test_roles_are_given_and_taken_away(shop: Catalogue) -> None:
    for branch, person in (("East", "Ana"), ("North", "Bo")):
        with pytest.raises(NotFound):
            set_role_at(shop, branch, person, Role.WORK, signed=MAUD)
    assert set_role_at(shop, "north", "ana", None, signed=MAUD) == ("North", "Ana")
    discard_piece(shop, "R-1", signed=NORTH)  # with no role at any branch, her own holds everywhere
    set_role_at(shop, "North", "Ana", Role.LOOK, signed=MAUD)
    with pytest.raises(NotPermitted):
        discard_piece(shop, "N-1", signed=NORTH)
    for tag in ("N-1", "N-2"):
        move_piece(shop, tag, "Bay 1", signed=MAUD)
    close_branch(shop, "North", signed=MAUD)
    assert verify(shop).faults == ()


def test_carpet_with_customers_is_at_no_branch(shop: Catalogue) -> None:
    log_pieces(shop, a_stock(a_piece("K-1", kind=Kind.KEPT, place="attic"), styles=PLAIN), signed=NORTH)
    move_piece(shop, "K-1", "cellar", signed=NORTH)


STEPS = st.lists(
    st.tuples(
        st.sampled_from(("move", "send", "take in", "call back", "not there", "discard", "undo", "count")),
        st.sampled_from(("R-1", "R-2", "N-1", "N-2")),
        st.sampled_from(("Bay 1", "North Bay 1")),
        st.booleans(),
    ),
    max_size=12,
)


@settings(max_examples=share(15), deadline=None)
@given(STEPS)
def test_nobody_changes_what_lies_at_the_other_branch(
    tmp_path_factory: pytest.TempPathFactory, steps: list[tuple[str, str, str, bool]]
) -> None:
    """What one of them changed lay at their branch or was on the way, and lies there or is on the way now, over random days.

    A piece that never came is missing from where it lay, which who expected it may say.
    """
    with open_catalogue(tmp_path_factory.mktemp("shop") / "stock.db", write=True, now=lambda: SIGNED.at) as catalogue:
        a_shop(catalogue)
        ours = all_branches(catalogue)
        for what, tag, place, north in steps:
            signed, own = (NORTH, "North") if north else (SOUTH, "South")
            before = {each.piece.tag: each for each in pieces.every_standing(catalogue)}
            goal = "North" if place.startswith("North") else "South"
            does: dict[str, Callable[[], object]] = {
                "move": lambda: move_piece(catalogue, tag, place, signed=signed),  # noqa: B023 - done at once
                "send": lambda: send(catalogue, [tag], goal, signed=signed),  # noqa: B023
                "take in": lambda: take_in(catalogue, [tag], signed=signed),  # noqa: B023
                "call back": lambda: call_back(catalogue, [tag], signed=signed),  # noqa: B023
                "not there": lambda: not_there(catalogue, [tag], signed=signed),  # noqa: B023
                "discard": lambda: discard_piece(catalogue, tag, signed=signed),  # noqa: B023
                "undo": lambda: undo_last(catalogue, tag, signed=signed),  # noqa: B023
                "count": lambda: book_count(catalogue, count_place(catalogue, place, [tag]), signed=signed),  # noqa: B023
            }
            try:
                does[what]()
            except (NotPermitted, NotAllowed, BadInput):
                assert {each.piece.tag: each for each in pieces.every_standing(catalogue)} == before
                continue
            for after in pieces.every_standing(catalogue):
                was = before[after.piece.tag]
                if after.version != was.version and not (what == "not there" and was.way):
                    for each in (was, after):
                        assert each.way or ours.branch_of(each.piece.place) == own
