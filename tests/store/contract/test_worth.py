"""What the store sums up of cost and worth is what going over the pieces one by one comes to, whatever happened in the shop."""

import math
import random
from datetime import date, timedelta

import pytest

from remnants.actions import Catalogue
from remnants.geometry import staircase_of
from remnants.ledger import Act, Standing
from remnants.ledger.over_time import AGES
from remnants.ledger.states import ON_HAND
from remnants.ledger.worth import By
from remnants.model import Kind
from remnants.rules import KeepRule, LeastSizes
from remnants.store import ledger, pieces
from remnants.store.worth import worth_sums
from tests.happenings import Shop, log
from tests.stock_values import SIGNED
from tests.store.contract.stores import Store

CAME, STEPS = 24, 12
KEEP = KeepRule(25 * 25.4, 35 * 25.4)
LEAST = LeastSizes(KeepRule(35 * 25.4, 35 * 25.4), (("Velder Loop", KEEP), ("None Such", KeepRule(0, 0))))


def key_of(catalogue: Catalogue, by: By, standing: Standing, today: date) -> str:
    piece = standing.piece
    if by is not By.AGE:
        return {By.STYLE: piece.style, By.BRANCH: piece.place, By.SUPPLIER: piece.supplier}[by]
    received = [entry.signed.at for entry in ledger.entries_of(catalogue, piece.tag) if entry.act is Act.RECEIVED]
    days = (today - (piece.received_on or received[-1].date())).days
    return str(next(index for index, age in enumerate(AGES) if days < age.under_days or not age.under_days))


def walked(catalogue: Catalogue, by: By, today: date) -> dict[tuple[str, str], list[float]]:
    """Pieces, area, cost and worth by key and currency."""
    found: dict[tuple[str, str], list[float]] = {}
    for standing in pieces.every_standing(catalogue):
        piece = standing.piece
        if piece.kind not in (Kind.REMNANT, Kind.OFFCUT) or standing.stage not in ON_HAND:
            continue
        sides, cost = max(staircase_of(piece.outline, piece.pile_deg).lower, key=math.prod), piece.cost
        minor = cost.minor if cost else 0
        worth = minor if LEAST.of(piece.style).worth_keeping(*sides) else 0
        sums = found.setdefault((key_of(catalogue, by, standing, today), cost.currency if cost else ""), [0, 0, 0, 0])
        for at, value in enumerate((1, piece.outline.usable_area_mm2, minor, worth)):
            sums[at] += value
    return found


@pytest.mark.parametrize("seed", [71, 72])
def test_sums_of_cost_and_worth_are_what_the_pieces_one_by_one_come_to(store: Store, seed: int) -> None:
    today = SIGNED.at.date() + timedelta(days=95)
    with store.opened(store.new()) as catalogue:
        shop = Shop(catalogue, random.Random(seed))
        for _ in range(CAME):
            log(shop)
        for _ in range(STEPS):
            shop.step()
        paid, kept, sums = 0.0, 0.0, worth_sums(catalogue, LEAST, today=today)
        for by in By:
            told = {(each.key, each.currency): each for each in sums[by]}
            assert len(told) == len(sums[by]), "each key and currency once"
            should = walked(catalogue, by, today)
            assert told.keys() == should.keys()
            for key, (count, area_mm2, cost, worth) in should.items():
                mine = told[key]
                assert (mine.pieces, mine.cost_minor, mine.worth_minor) == (count, cost, worth), (by, key)
                assert mine.area_mm2 == pytest.approx(area_mm2)
                paid, kept = paid + cost, kept + worth
        assert 0 < kept < paid, "some must be worth something, and others nothing"
