"""Which stock an order takes: what shortens the roll first, then what spares worth. Sums are worked by hand, no trims."""

from dataclasses import replace

import pytest

from remnants.estimating import ROLL, Laid, OrderPlan, OrderRules, Per, Price, Stairs, amount_of
from remnants.estimating.stock import calmer
from remnants.model import Grade, Show
from remnants.rules import KeepRule
from tests.estimating.floors import PLAIN, a_door, a_remnant, a_roll, a_room, order

LARGE_KEPT = replace(PLAIN, keep=KeepRule(600.0, 1000.0))
"""What is less than 0.6 x 1 m is waste."""

EUROS = replace(PLAIN, prices=(Price("EUR", amount_of("10", "EUR"), Per.M2, 0.25),))


def sources(plan: OrderPlan) -> dict[str, str]:
    return {each.cut.room: each.source for each in plan.placed}


def test_at_the_same_roll_length_a_scrap_is_used_and_a_good_remnant_spared() -> None:
    # The closet of 0.5 x 1.5 m lies beside the room of 3 x 4 m: 4 m of roll either way. Off the roll it takes 0.75 m2 of a
    # leftover of 4 m2; a scrap 0.55 m wide is not worth keeping, so it spares all of that; a remnant of 2 x 2 m spares none.
    asked = (a_room("3 m", "4 m", pile_deg=0.0), a_room("0.5 m", "1.5 m", name="Closet", hidden=True, pile_deg=0.0))
    scrap, good = a_remnant("R-1", "0.55 m", "1.6 m"), a_remnant("R-2", "2 m", "2 m")
    for stock, source, worth in (([scrap], "R-1", 4.0), ([good], ROLL, 3.25), ([good, scrap], "R-1", 4.0)):
        plan = order(*asked, roll=a_roll("4 m"), rules=LARGE_KEPT, stock=stock)
        assert (plan.ordered_mm, sources(plan)["Closet"]) == (4000, source)
        assert (plan.kept_mm2 - plan.spent_mm2) / 1e6 == pytest.approx(worth)


def test_the_piece_worth_least_is_cut() -> None:
    # 2.2 m2, but too narrow to be kept, goes before 1.6 m2 that is worth keeping
    closet = a_room("0.5 m", "1.5 m", name="Closet", hidden=True, pile_deg=0.0)
    stock = [a_remnant("R-1", "1 m", "1.6 m"), a_remnant("R-2", "0.55 m", "4 m")]
    plan = order(closet, roll=a_roll("4 m"), rules=LARGE_KEPT, stock=stock)
    assert sources(plan) == {"Closet": "R-2"}
    assert plan.spent_mm2 == 0.0


def test_what_a_cut_piece_loses_is_charged_at_the_share_that_leftovers_are_credited() -> None:
    # all from the roll: 4 + 2 m = 24 m2 = 240.00, 2 x 2 m left, credited 4 x 10 x 0.25 = 10.00
    # the closet from 2 x 3 m: 16 m2 = 160.00; the piece keeps 2 x 1 m, so it loses 4 m2 = 10.00
    asked = (a_room("4 m", "4 m", pile_deg=0.0), a_room("2 m", "2 m", name="Closet", hidden=True, pile_deg=0.0))
    plans = [order(*asked, roll=a_roll("4 m"), rules=EUROS, stock=stock) for stock in ((), (a_remnant("R-1", "2 m", "3 m"),))]
    told = [[money.plain for money in (each.roll, each.credit, each.stock, each.net)] for plan in plans for each in plan.sums]
    assert told == [["240.00", "10.00", "0.00", "230.00"], ["160.00", "0.00", "10.00", "170.00"]]


def test_roll_that_must_be_ordered_anyway_is_not_saved_by_stock() -> None:
    """Sold by 6 m, the closet's 2 m cost nothing: the remnant stays whole."""
    asked = (a_room("4 m", "4 m", pile_deg=0.0), a_room("2 m", "2 m", name="Closet", hidden=True, pile_deg=0.0))
    plan = order(*asked, roll=a_roll("4 m", step_mm=6000.0), stock=[a_remnant("R-1", "2 m", "2 m")])
    assert sources(plan) == {"Lounge": ROLL, "Closet": ROLL}
    plan = order(*asked, roll=a_roll("4 m", step_mm=1000.0), stock=[a_remnant("R-1", "2 m", "2 m")])
    assert (plan.ordered_mm, sources(plan)["Closet"]) == (4000, "R-1")


def test_a_piece_goes_to_the_small_room_where_the_large_one_saves_less() -> None:
    # One piece of 2 x 2.5 m. The den (2 x 2.5 m) lies beside the study (2 x 2.5 m) off the roll, which saves nothing; the nook
    # (1.9 x 2.4 m) lies alone. Taking the largest first would spend the piece on the den or the study.
    asked = [a_room("2 m", "2.5 m", name=name, pile_deg=0.0) for name in ("Den", "Study")]
    nook = a_room("1.9 m", "2.4 m", name="Nook", pile_deg=0.0)
    plan = order(*asked, nook, roll=a_roll("4 m"), stock=[a_remnant("R-1", "2 m", "2.5 m")])
    assert (plan.ordered_mm, plan.tags) == (2500, ("R-1",))


def test_more_ways_to_use_stock_than_can_be_listed_are_searched_with_a_bound() -> None:
    """Twelve steps and a fill may each come from the roll's own lot: 13 options, and two pieces that give three of them."""
    stairs = Stairs("Stairs", 12, 1000, 250, 250, laid=Laid.STEPS)
    stock = [
        a_remnant("R-1", "2 m", "0.5 m", grade=Grade.SAME_LOT),
        a_remnant("R-2", "1 m", "4 m", grade=Grade.SAME_LOT),
    ]
    asked = (a_room("5 m", "4 m", pile_deg=0.0), stairs)
    # R-2 gives the fill; twelve steps lie four across: 4 + 3 x 0.5 m. With the two steps of R-1 too it is three rows again, and
    # where R-2 gives eight steps instead, the fill takes 4 m more.
    plan = order(*asked, roll=a_roll("4 m", lot="77"), stock=stock)
    assert plan.ordered_mm == pytest.approx(5500) and plan.tags == ("R-2",)
    assert plan.stock_bound_mm == pytest.approx(4000)  # if all of the fill and the steps came from stock


def test_a_join_at_which_two_lots_meet_out_of_view_says_so() -> None:
    door = a_door("3 m", "1 m", "3 m", "1.8 m", to="Closet")
    closet = a_room("1 m", "2 m", name="Closet", hidden=True)
    asked = (a_room("3.9 m", "4 m", pile_deg=0.0, doorways=(replace(door, start=(3900, 1000), end=(3900, 1800)),)), closet)
    plain, plan = (order(*asked, roll=a_roll("4 m"), stock=stock) for stock in ((), (a_remnant("R-1", "1.1 m", "2.1 m"),)))
    assert sources(plan)["Closet"] == "R-1"
    shown = [(seam.to, seam.seam.show, seam.faults) for each in (plain, plan) for seam in each.seams]
    assert shown == [("Closet", Show.HARDLY, ()), ("Closet", Show.SLIGHTLY, ("meets another lot",))]
    assert "the carpet beyond it is of another lot" in plan.seams[0].seam.sentence


def cuts_of(plan: OrderPlan, room: str) -> list[tuple[float, float, str]]:
    return [(round(each.cut.width_mm), round(each.cut.length_mm), each.source) for each in plan.placed if each.cut.room == room]


def test_a_room_that_a_piece_gives_whole_is_not_cut_in_strips() -> None:
    """On a roll of 12 ft two strips of the bedroom fill gaps beside the lounge; from R-1 they are only seams more."""
    asked = (a_room(), a_room("8 ft", "9.5 ft", name="Bed"))
    bare = order(*asked, rules=OrderRules())
    plan = order(*asked, rules=OrderRules(), stock=[a_remnant("R-1", "11 ft", "10 ft")])
    assert {seam.room for seam in bare.seams} == {"Lounge", "Bed"}
    assert {seam.room for seam in plan.seams} == {"Lounge"}
    assert sorted(cuts_of(plan, "Bed")[0][:2]) == [2438, 2896] and cuts_of(plan, "Bed")[0][2] == "R-1"
    assert plan.ordered_mm == pytest.approx(28 * 304.8)


def test_of_two_pieces_alike_the_one_of_the_rolls_own_lot_gives_the_room() -> None:
    asked = (a_room(), a_room("8 ft", "9.5 ft", name="Bed"))
    stock = [a_remnant("R-1", "11 ft", "10 ft"), a_remnant("R-2", "11 ft", "10 ft", lot="8", grade=Grade.SAME_LOT)]
    for each in (stock, stock[::-1]):
        assert order(*asked, roll=a_roll(lot="8"), rules=OrderRules(), stock=each).tags == ("R-2",)


def test_fewer_seams_are_looked_for_only_so_often_however_many_lots_there_are(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, looked = (a_room(), a_room("8 ft", "9.5 ft", name="Bed")), []
    stock = [a_remnant(f"R-{number}", "11 ft", "10 ft", lot=f"{number}") for number in range(20)]
    monkeypatch.setattr(calmer, "lay_on_stock", lambda *asked: looked.append(asked))
    monkeypatch.setattr(calmer, "MOST_LOTS", 15)
    monkeypatch.setattr(calmer, "MOST_LOOKS", 20)
    plan = order(*asked, rules=OrderRules(), stock=stock)
    assert len(cuts_of(plan, "Bed")) == 2 and len(plan.tags) == 1
    assert len(looked) == 20, "it stopped there, and kept the seams"
