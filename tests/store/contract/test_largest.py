"""The largest rectangle that is kept of each piece: what the step of the migrations tells is what each write tells."""

import math
from dataclasses import replace

import pytest

from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.geometry import staircase_of
from remnants.store import pieces
from remnants.store.largest import tell_largest
from tests.shapes import SHAPES
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.store.contract.stores import Store

KEPT = "SELECT tag, staircase, largest_short_mm, largest_long_mm FROM piece ORDER BY tag"


def test_it_is_told_of_each_piece_and_told_again_where_it_was_not(store: Store) -> None:
    made = [replace(a_piece(name), outline=SHAPES[name], pile_deg=37.0 * (number % 2)) for number, name in enumerate(SHAPES)]
    with store.opened(store.new()) as catalogue:
        log_pieces(catalogue, a_stock(*made), signed=SIGNED)
        before = [(tag, stairs and bytes(stairs), *sides) for tag, stairs, *sides in catalogue.execute(KEPT)]
        for (_, _, *sides), standing in zip(before, pieces.every_standing(catalogue), strict=True):
            lower = staircase_of(standing.piece.outline, standing.piece.pile_deg).lower
            assert sides == pytest.approx(sorted(max(lower, key=math.prod)), abs=0.002), standing.piece.tag
        odd = "UPDATE piece SET largest_short_mm = 0, largest_long_mm = 0{} WHERE staircase IS NOT NULL AND pile_deg = ?"
        catalogue.execute(odd.format(", staircase = NULL"), [0.0])
        catalogue.execute(odd.format(""), [37.0])
        assert verify(catalogue).faults
        with catalogue.atomic():
            tell_largest(catalogue)
        assert [(tag, stairs and bytes(stairs), *sides) for tag, stairs, *sides in catalogue.execute(KEPT)] == before
        assert verify(catalogue).faults == ()
