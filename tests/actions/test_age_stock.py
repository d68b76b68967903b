"""What may not be worth its shelf: the list is what looking at every piece by itself comes to."""

import math
from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.age_stock import Ground, age_stock
from remnants.actions.booking import book
from remnants.actions.log_pieces import log_pieces
from remnants.actions.show_piece import history_of
from remnants.fitting import FitRules
from remnants.geometry import staircase_of
from remnants.ledger import Held, Received
from remnants.ledger.states import ON_HAND
from remnants.model import Kind
from remnants.store import pieces, sizes
from tests.shapes import SHAPES
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.thorough import share

NOW = SIGNED.at + timedelta(days=1000)
MADE = st.lists(
    st.tuples(
        st.sampled_from(sorted(SHAPES)),
        st.sampled_from([0.0, 90.0, 180.0, 37.0]),
        st.sampled_from([Kind.REMNANT, Kind.REMNANT, Kind.OFFCUT, Kind.LAID]),
        st.sampled_from([0, 620, 634, 635, 636, 905, 910, 911, 999]),
        st.sampled_from([None, None, 0, -1]),
        st.sampled_from(["", "", "F-7"]),
    ),
    max_size=9,
)


def stocked(catalogue: Catalogue, made: Iterable[tuple[Any, ...]]) -> None:
    """Pieces R-100 and on: shape, pile, kind, day on which it came in, in how many days from NOW a hold of it ends, and which
    customer has it."""
    for number, (shape, pile_deg, kind, day, hold, whose) in enumerate(made, 100):
        piece = replace(a_piece(f"R-{number}"), outline=SHAPES[shape], pile_deg=pile_deg, kind=kind, customer=whose)
        log_pieces(catalogue, a_stock(piece), signed=replace(SIGNED, at=SIGNED.at + timedelta(days=day)))
        if hold is not None:
            book(catalogue, [(piece.tag, Held("hall", (NOW + timedelta(days=hold)).date()))], SIGNED)


def by_hand(catalogue: Catalogue, rules: FitRules) -> dict[str, tuple[float, float, tuple[Ground, ...], datetime]]:
    """Area, worth, grounds and day of coming in by tag, from each piece and its entries."""
    found = {}
    for standing in pieces.every_standing(catalogue):
        piece = standing.piece
        width_mm, length_mm = max(staircase_of(piece.outline, piece.pile_deg).lower, key=math.prod)
        held = standing.hold is not None and standing.hold.binds(NOW.date())
        if standing.stage not in ON_HAND or piece.kind is Kind.LAID or held or piece.customer:
            continue
        came = max(entry.signed.at for entry in history_of(catalogue, piece.tag).entries if isinstance(entry.change, Received))
        small = not rules.worth_keeping(piece.style, width_mm, length_mm)
        told = ((NOW - came > timedelta(days=365), Ground.OLD), (small, Ground.SMALL))
        grounds = tuple(ground for holds, ground in (*told, (NOW - came > timedelta(days=90), Ground.UNASKED)) if holds)
        if grounds:
            area_mm2 = piece.outline.usable_area_mm2
            found[piece.tag] = (area_mm2, rules.value_mm2(area_mm2, width_mm * length_mm), grounds, came)
    return found


@given(made=MADE, most=st.integers(1, 4), some=st.sampled_from([1, 3, 30_000]))
@settings(max_examples=share(90), deadline=None)
def test_the_list_is_what_looking_at_each_piece_comes_to(made: list[tuple[Any, ...]], most: int, some: int) -> None:
    rules = FitRules()
    with TemporaryDirectory() as folder, open_catalogue(Path(folder) / "stock.db", write=True) as catalogue:
        stocked(catalogue, made)
        expected = by_hand(catalogue, rules)
        aged = age_stock(catalogue, now=NOW, days=365, rules=rules)
        assert {each.standing.piece.tag for each in aged.listed} == set(expected)
        for each in aged.listed:
            area_mm2, worth_mm2, grounds, came = expected[each.standing.piece.tag]
            assert (each.grounds, each.since) == (grounds, came)
            assert (each.area_mm2, each.worth_mm2) == pytest.approx((area_mm2, worth_mm2), rel=1e-6)
            assert each.standing == pieces.find_standing(catalogue, each.standing.piece.tag)
        order = [(each.worth_mm2, each.standing.piece.tag) for each in aged.listed]
        assert order == sorted(order)
        assert aged.count == len(expected)
        sums = [sum(column) for column in zip(*((area, worth) for area, worth, *_ in expected.values()), strict=True)]
        assert [aged.area_mm2, aged.worth_mm2] == pytest.approx(sums or [0, 0], rel=1e-6)
        with patch.object(sizes, "_SOME", some):  # few are told from one look, of many the first look tells where to look
            first = age_stock(catalogue, now=NOW, days=365, rules=rules, most=most)
        worth = first.area_mm2, first.worth_mm2
        assert worth == pytest.approx((aged.area_mm2, aged.worth_mm2), rel=1e-9)
        all_of_them = replace(aged, listed=aged.listed[:most], area_mm2=worth[0], worth_mm2=worth[1])
        assert first == all_of_them, "the first of them, and what all come to"
