"""What the store sums up of cost and worth is what going over the pieces one by one comes to, whatever happened in the shop."""

import math
import random
from dataclasses import replace
from datetime import date, timedelta

import pytest

from remnants.actions import Catalogue
from remnants.actions.change_piece import correct_piece, discard_piece
from remnants.actions.keep_job import cut_plan
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.shop_rules import change_rules
from remnants.actions.style_sizes import change_sizes
from remnants.actions.undo import undo_last
from remnants.geometry import staircase_of
from remnants.ledger import Act, Standing
from remnants.ledger.over_time import AGES
from remnants.ledger.states import ON_HAND
from remnants.ledger.worth import By
from remnants.model import Kind
from remnants.model.money import Money
from remnants.rules import KeepRule, LeastSizes
from remnants.store import ledger, pieces
from remnants.store.prove_worth import worth_faults
from remnants.store.unshared import tags_unshared
from remnants.store.worth import worth_sums
from remnants.store.worth_kept import kept_least, put_in_sums, tell_least, tell_least_where_far
from remnants.units import Unit
from tests.happenings import STYLES, Shop, log
from tests.harmed import fitted
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.store.contract.stores import Store
from tests.unshared_cut import cut_half_off

CAME, STEPS = 24, 12
KEEP = KeepRule(25 * 25.4, 35 * 25.4)
LEAST = LeastSizes(KeepRule(35 * 25.4, 35 * 25.4), (("None Such", KeepRule(0, 0)), ("Velder Loop", KEEP)))


def key_of(catalogue: Catalogue, by: By, standing: Standing, today: date) -> str:
    piece = standing.piece
    if by is not By.AGE:
        return {By.STYLE: piece.style, By.BRANCH: piece.place, By.SUPPLIER: piece.supplier}[by]
    received = [entry.signed.at for entry in ledger.entries_of(catalogue, piece.tag) if entry.act is Act.RECEIVED]
    days = (today - (piece.received_on or received[-1].date())).days
    return str(next(index for index, age in enumerate(AGES) if days < age.under_days or not age.under_days))


def walked(catalogue: Catalogue, by: By, least: LeastSizes, today: date) -> dict[tuple[str, str], list[float]]:
    """Pieces, area, cost and worth by key and currency."""
    found: dict[tuple[str, str], list[float]] = {}
    for standing in pieces.every_standing(catalogue):
        piece = standing.piece
        if piece.kind not in (Kind.REMNANT, Kind.OFFCUT) or standing.stage not in ON_HAND:
            continue
        sides, cost = max(staircase_of(piece.outline, piece.pile_deg).lower, key=math.prod), piece.cost
        minor = cost.minor if cost else 0
        worth = minor if least.of(piece.style).worth_keeping(*sides) else 0
        sums = found.setdefault((key_of(catalogue, by, standing, today), cost.currency if cost else ""), [0, 0, 0, 0])
        for at, value in enumerate((1, piece.outline.usable_area_mm2, minor, worth)):
            sums[at] += value
    return found


def holds(catalogue: Catalogue, least: LeastSizes, today: date) -> tuple[float, float]:
    """What was paid and what is worth it by one of the sums; each of them is what the pieces come to."""
    paid, kept, sums = 0.0, 0.0, worth_sums(catalogue, least, today=today)
    for by in By:
        told = {(each.key, each.currency): each for each in sums[by]}
        assert len(told) == len(sums[by]), "each key and currency once"
        should = walked(catalogue, by, least, today)
        assert told.keys() == should.keys()
        for key, (count, area_mm2, cost, worth) in should.items():
            mine = told[key]
            assert (mine.pieces, mine.cost_minor, mine.worth_minor) == (count, cost, worth), (by, key)
            assert mine.area_mm2 == pytest.approx(area_mm2, abs=count)
            paid, kept = paid + cost, kept + worth
    return paid, kept


@pytest.mark.parametrize("seed", [71, 72])
def test_sums_of_cost_and_worth_are_what_the_pieces_one_by_one_come_to(store: Store, seed: int) -> None:
    """After each thing that happens; by the least sizes that the sums go by, and by others; once what was told is in the sums."""
    today = SIGNED.at.date() + timedelta(days=95)
    with store.opened(store.new()) as catalogue:
        shop = Shop(catalogue, random.Random(seed))
        for _ in range(CAME):
            log(shop)
        for step in range(STEPS):
            shop.step()
            assert not list(worth_faults(catalogue)), shop.done
            if step == STEPS // 2:
                tell_least(catalogue, LEAST)
                assert kept_least(catalogue) == LEAST and list(worth_faults(catalogue)) == []
        for least in (LeastSizes(), LeastSizes(KEEP), LEAST):
            paid, kept = holds(catalogue, least, today)
        assert 0 < kept < paid, "some must be worth something, and others nothing"
        (waits,) = catalogue.execute("SELECT count(*) FROM worth_change").fetchone()
        put_in_sums(catalogue)
        assert waits and catalogue.execute("SELECT count(*) FROM worth_change").fetchone()[0] == 0
        assert holds(catalogue, least, today) == (paid, kept) and list(worth_faults(catalogue)) == []
        (least_pieces,) = catalogue.execute("SELECT min(pieces) FROM worth_sum").fetchone()
        assert least_pieces > 0, "of what is gone nothing stays, no name either"


def test_sums_are_held_against_the_pieces(store: Store) -> None:
    with store.opened(store.new()) as catalogue:
        piece = a_piece("R-1", 100, 100, cost=Money(12050, "EUR"), supplier="Invented Mill")
        log_pieces(catalogue, a_stock(piece, a_piece("R-2")), signed=SIGNED)
        put_in_sums(catalogue)
        catalogue.execute("UPDATE worth_sum SET cost_minor = cost_minor + 7 WHERE by_what = 'supplier' AND currency = 'EUR'")
        catalogue.execute("DELETE FROM worth_sum WHERE by_what = 'style' AND currency = ''")
        told = [str(fault) for fault in verify(catalogue).faults]
        assert told == [
            "worth by 'style', 'Velder Loop', in '': the sums kept are off what the pieces come to by -1 pieces, -1548384 mm²",
            "worth by 'supplier', 'Invented Mill', in 'EUR': the sums kept are off what the pieces come to by +7 paid in whole"
            " minor units",
        ]


def test_a_rule_that_is_changed_and_a_usual_patch_that_is_far_off_have_the_sums_go_by_it(store: Store) -> None:
    with store.opened(store.new()) as catalogue:
        small = a_piece("R-1", 20, 20, cost=Money(950, "EUR"))
        log_pieces(catalogue, a_stock(small, styles=STYLES[:1]), signed=SIGNED)
        change_rules(catalogue, {"keep_short": "25 in", "keep_long": "25 in"}, unit=Unit.IN, signed=SIGNED)
        assert kept_least(catalogue) == LeastSizes(KeepRule(635, 635))
        change_sizes(catalogue, small.style, {"keep_short": "15 in"}, unit=Unit.IN, signed=SIGNED)
        assert kept_least(catalogue).of(small.style) == KeepRule(381, 635)
        near = LeastSizes(KeepRule(640, 650), ((small.style, KeepRule(381, 635)),))
        tell_least_where_far(catalogue, near)
        assert kept_least(catalogue) != near
        tell_least_where_far(catalogue, LeastSizes(KeepRule(640, 661)))
        assert kept_least(catalogue) == LeastSizes(KeepRule(640, 661)) and verify(catalogue).faults == ()


def test_what_is_left_of_a_cut_that_handed_no_cost_on_is_told_until_its_cost_is_corrected_or_the_cut_undone(store: Store) -> None:
    with store.opened(store.new()) as catalogue:
        some = [a_piece(f"R-{number}", 100, 100, cost=Money(12050, "EUR")) for number in (1, 2, 3)]
        log_pieces(catalogue, a_stock(*some, a_piece("R-4"), styles=STYLES[:1]), signed=SIGNED)
        for tag in ("R-1", "R-2", "R-3", "R-4"):
            cut_half_off(catalogue, tag, SIGNED)
        assert tags_unshared(catalogue) == (("R-1", "120.50 EUR"), ("R-2", "120.50 EUR"), ("R-3", "120.50 EUR"))
        undo_last(catalogue, "R-2", signed=SIGNED)
        for tag in ("R-2", "R-4"):
            discard_piece(catalogue, tag, signed=SIGNED)
        cut_plan(catalogue, fitted(catalogue, "Alder Court 7", 9, 9, "Velder Loop"), signed=SIGNED)
        share = pieces.standings_tagged(catalogue, ["R-1", "R-3"])
        now = {tag: standing.piece.cost.written for tag, standing in share.items() if standing.piece.cost}
        assert tags_unshared(catalogue) == tuple(now.items()), "a share of too much is too much"
        for standing in share.values():
            correct_piece(catalogue, replace(standing.piece, colour="ochre"), expected=standing.version, signed=SIGNED)
        assert tags_unshared(catalogue) == tuple(now.items())
        first = pieces.standings_tagged(catalogue, ["R-1"])["R-1"]
        correct_piece(catalogue, replace(first.piece, cost=Money(5000, "EUR")), expected=first.version, signed=SIGNED)
        assert [tag for tag, _ in tags_unshared(catalogue)] == ["R-3"]
        assert list(worth_faults(catalogue)) == []
        catalogue.execute("DELETE FROM cut_unshared WHERE tag = 'R-3'")
        (fault,) = worth_faults(catalogue)
        assert fault.what == "is a cut that handed no cost on, and is not told as one"
