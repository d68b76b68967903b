"""A stock file written piece by piece is the file that it was when it was written at once."""

import json
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.exchange import SentPiece, Stock, stock_json
from remnants.exchange.stock_text import stock_text
from remnants.model import Piece, Role
from remnants.model.branches import Branch, Branches
from remnants.units import Unit
from tests.stock_values import a_piece, a_stock, a_style
from tests.test_lines import any_pieces
from tests.thorough import share

BRANCHES = Branches((Branch("North"), Branch('"pieces": []')))
SENT = SentPiece(a_piece("S-1"), "", "North", date(2031, 5, 9))


def at_once(stock: Stock, role: Role) -> str:
    return json.dumps(stock_json(stock, seen_by=role), indent=1, ensure_ascii=False)


def bit_by_bit(stock: Stock, role: Role) -> str:
    return "".join(stock_text(replace(stock, pieces=()), iter(stock.pieces), seen_by=role))


@settings(max_examples=share(20), deadline=None)
@given(any_pieces(), st.sampled_from(Unit), st.sampled_from([Role.LOOK, Role.MANAGE]))
def test_bit_by_bit_it_is_the_same_text(pieces: Sequence[Piece], unit: Unit, role: Role) -> None:
    stock = Stock((a_style(),), tuple(pieces), unit, BRANCHES, (SENT,))
    assert bit_by_bit(stock, role) == at_once(stock, role)


@pytest.mark.parametrize(
    "stock",
    [
        Stock((), ()),
        Stock((a_style(),), ()),
        a_stock(a_piece("R-1", place='Bay\n "pieces": []')),
        replace(a_stock(a_piece("R-\u2028\n1"), a_piece("R-2", outline=[(0, 0), (9, 0), (0, 9)])), sent=(SENT,)),
    ],
)
def test_so_it_is_of_an_empty_stock_and_of_texts_that_look_like_the_file(stock: Stock) -> None:
    assert bit_by_bit(stock, Role.MANAGE) == at_once(stock, Role.MANAGE)
