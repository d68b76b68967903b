"""What fitting reads thousands of: each piece is read once, and again only when its row was written since."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.bring_back import restore
from remnants.actions.change_piece import correct_piece, move_piece
from remnants.actions.customers import forget_customer
from remnants.actions.keep_safe import back_up
from remnants.actions.log_pieces import log_pieces
from remnants.geometry import Staircase, staircase_of
from remnants.model import Kind
from remnants.model.customer import Customer
from remnants.store import customers, pieces, shelf
from remnants.store.shelf import on_shelf
from tests.stock_values import SIGNED, a_piece, a_stock, a_style

L_SHAPE = ((0, 0), (40, 0), (40, 30), (20, 30), (20, 60), (0, 60))


def stocked(catalogue: Catalogue) -> None:
    odd = a_piece("R-2", outline=L_SHAPE, pile_deg=90)
    log_pieces(
        catalogue,
        a_stock(a_piece("R-1"), odd, a_piece("R-3", style="Other"), styles=(a_style(), a_style("Other"))),
        signed=SIGNED,
    )


def test_the_shelf_holds_what_is_on_hand_of_the_styles_in_the_order_of_tags(tmp_path: Path) -> None:
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        stocked(catalogue)
        assert [each.standing for each in on_shelf(catalogue)] == list(pieces.on_hand(catalogue))
        assert [each.standing.piece.tag for each in on_shelf(catalogue, ["Velder Loop"])] == ["R-1", "R-2"]


def test_an_odd_piece_has_its_staircase_and_a_rectangle_none(tmp_path: Path) -> None:
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        stocked(catalogue)
        plain, odd, _ = on_shelf(catalogue)
        assert plain.staircase is None
        assert odd.staircase is not None
        known = Staircase.unpack(odd.staircase)
        assert known == staircase_of(odd.standing.piece.outline, 90)
        # the pile runs along the piece's x: an L of 40 x 30 and 20 x 60 in holds 30 x 40 and 60 x 20 (across x along), by hand
        assert known.lower == ((762.0, 1016.0), (1524.0, 508.0))


def test_only_what_was_written_since_is_read_again(tmp_path: Path) -> None:
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        stocked(catalogue)
        before = on_shelf(catalogue)
        move_piece(catalogue, "R-2", place="Bay 9", signed=SIGNED)
        after = on_shelf(catalogue)
        assert after[0] is before[0]
        assert after[2] is before[2]
        assert after[1].standing.piece.place == "Bay 9"


def test_past_the_most_kept_the_first_half_is_let_go_and_all_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shelf, "MOST_KEPT", 4)
    monkeypatch.setattr(shelf, "_KEPT", {})
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        log_pieces(catalogue, a_stock(*(a_piece(f"R-{number}") for number in range(1, 8))), signed=SIGNED)
        for _ in range(3):
            assert [each.standing.piece.tag for each in on_shelf(catalogue)] == [f"R-{number}" for number in range(1, 8)]
            assert len(shelf._KEPT) <= 4


def test_what_was_forgotten_of_a_customer_is_not_told_from_memory(tmp_path: Path) -> None:
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        customers.put(catalogue, Customer("C-1", "Invented Person"))
        laid = a_piece("L-1", kind=Kind.LAID, place="Alder Court 7", room="hall", customer="C-1")
        log_pieces(catalogue, a_stock(laid), signed=SIGNED)
        assert on_shelf(catalogue)[0].standing.piece.room == "hall"
        forget_customer(catalogue, "C-1", signed=SIGNED)
        assert on_shelf(catalogue)[0].standing.piece.room == ""


def test_a_copy_brought_back_is_what_the_shelf_then_holds(tmp_path: Path) -> None:
    path, copy = tmp_path / "stock.db", tmp_path / "copy.db"
    with open_catalogue(path, write=True) as catalogue:
        stocked(catalogue)
        back_up(catalogue, copy)
        move_piece(catalogue, "R-1", place="Bay 8", signed=SIGNED)
        assert on_shelf(catalogue)[0].standing.piece.place == "Bay 8"
    restore(copy, path, now=datetime(2031, 6, 1, tzinfo=UTC), older=True)
    with open_catalogue(path, write=True) as catalogue:
        assert on_shelf(catalogue)[0].standing.piece.place == "Bay 3"
        move_piece(catalogue, "R-1", place="Bay 9", signed=SIGNED)  # the same entry number as the move to Bay 8
        assert on_shelf(catalogue)[0].standing.piece.place == "Bay 9"


def test_the_mark_of_the_names_changes_with_a_name_and_not_with_a_place(tmp_path: Path) -> None:
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        stocked(catalogue)
        before = pieces.names_mark(catalogue)
        move_piece(catalogue, "R-1", place="Bay 9", signed=SIGNED)
        moved = on_shelf(catalogue)[0].standing
        assert pieces.names_mark(catalogue) == before
        correct_piece(catalogue, replace(moved.piece, colour="Slate"), expected=moved.version, signed=SIGNED)
        assert pieces.names_mark(catalogue) != before
