"""Taking back, moving, discarding a piece as one saw it: what a colleague did meanwhile is neither undone nor passed over."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.change_piece import discard_piece, move_piece
from remnants.actions.log_pieces import log_pieces
from remnants.actions.photos import keep_picture
from remnants.actions.show_piece import history_of, show_piece
from remnants.actions.undo import undo_last
from remnants.errors import BadInput, StockChanged
from remnants.ledger import Act, Stage
from remnants.model.picture import Picture
from tests.stock_values import SIGNED, a_piece, a_stock

BO = replace(SIGNED, who="Bo")


@pytest.fixture
def catalogue(tmp_path: Path) -> Iterator[Catalogue]:
    with open_catalogue(tmp_path / "stock.db", write=True) as opened:
        log_pieces(opened, a_stock(a_piece("R-1")), signed=SIGNED)
        yield opened


def seen_now(catalogue: Catalogue) -> int:
    return show_piece(catalogue, "R-1").standing.version


def acts(catalogue: Catalogue) -> list[Act]:
    return [entry.act for entry in history_of(catalogue, "R-1").entries]


def test_a_colleagues_discard_is_not_undone_instead_of_ones_own_move(catalogue: Catalogue) -> None:
    move_piece(catalogue, "R-1", "Bay 5", signed=SIGNED)
    seen = seen_now(catalogue)
    discard_piece(catalogue, "R-1", signed=BO)
    with pytest.raises(StockChanged, match=r"R-1 was discarded by Bo on 3 May 2031, 14:20 UTC since .* look at it again"):
        undo_last(catalogue, "R-1", seen=seen, signed=SIGNED)
    assert show_piece(catalogue, "R-1").standing.stage is Stage.DISCARDED
    undo_last(catalogue, "R-1", seen=seen_now(catalogue), signed=SIGNED)
    assert show_piece(catalogue, "R-1").standing.stage is Stage.STOCKED


def test_taking_back_twice_from_one_look_takes_back_one_thing(catalogue: Catalogue) -> None:
    move_piece(catalogue, "R-1", "Bay 5", signed=SIGNED)
    move_piece(catalogue, "R-1", "Bay 6", signed=SIGNED)
    seen = seen_now(catalogue)
    undo_last(catalogue, "R-1", seen=seen, signed=SIGNED)
    with pytest.raises(StockChanged, match="R-1 was undone by Ana"):
        undo_last(catalogue, "R-1", seen=seen, signed=SIGNED)
    assert show_piece(catalogue, "R-1").piece.place == "Bay 5"


def test_a_piece_that_a_colleague_moved_is_not_discarded_unseen(catalogue: Catalogue) -> None:
    seen = seen_now(catalogue)
    move_piece(catalogue, "R-1", "kept for the fair", signed=BO)
    with pytest.raises(StockChanged, match="R-1 was moved by Bo"):
        discard_piece(catalogue, "R-1", seen=seen, signed=SIGNED)
    assert acts(catalogue) == [Act.RECEIVED, Act.MOVED]


def test_a_move_passes_over_ones_own_moves_and_over_nobody_elses(catalogue: Catalogue) -> None:
    """Two moves told from one page, as on a phone without signal: the later says where the piece lies."""
    seen = seen_now(catalogue)
    move_piece(catalogue, "R-1", "Bay 5", seen=seen, signed=SIGNED)
    move_piece(catalogue, "R-1", "Bay 6", seen=seen, signed=SIGNED)
    assert show_piece(catalogue, "R-1").piece.place == "Bay 6"
    with pytest.raises(StockChanged, match="R-1 was moved by Ana"):
        move_piece(catalogue, "R-1", "Bay 7", seen=seen, signed=BO)


def test_a_photograph_since_stands_in_nobodys_way(catalogue: Catalogue) -> None:
    move_piece(catalogue, "R-1", "Bay 5", signed=SIGNED)
    seen = seen_now(catalogue)
    with catalogue.atomic():
        keep_picture(catalogue, "R-1", Picture(b"\xff\xd8 as good as one", 8, 8), BO)
    undo_last(catalogue, "R-1", seen=seen, signed=SIGNED)
    assert show_piece(catalogue, "R-1").piece.place == "Bay 3"


def test_a_number_that_no_look_can_have_shown_is_refused(catalogue: Catalogue) -> None:
    with pytest.raises(StockChanged, match="R-1 has no entry 99"):
        discard_piece(catalogue, "R-1", seen=99, signed=SIGNED)


def test_what_was_seen_belongs_to_what_was_asked_and_a_repeat_is_still_answered(catalogue: Catalogue) -> None:
    move_piece(catalogue, "R-1", "Bay 5", signed=SIGNED)
    seen = seen_now(catalogue)
    for _ in range(2):
        assert undo_last(catalogue, "R-1", seen=seen, signed=SIGNED, key="k") == ("R-1",)
    with pytest.raises(BadInput, match="used for another request"):
        undo_last(catalogue, "R-1", seen=seen + 1, signed=SIGNED, key="k")
    undo_last(catalogue, "R-1", signed=SIGNED, key="as before")
    assert acts(catalogue) == [Act.RECEIVED, Act.MOVED, Act.UNDONE, Act.UNDONE]
