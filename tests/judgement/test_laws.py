"""Laws of the choice over random small stocks: names and order decide nothing, more carpet never makes it worse."""

import random
from dataclasses import replace

import pytest

from remnants.model import Kind, Merit, Piece
from tests.judgement.shop import Answered, ask, patch, piece
from tests.thorough import some

SEEDS = some(range(24))
"""One in three of the stocks, where not all is asked for."""


def stock(rng: random.Random, count: int) -> list[Piece]:
    """Pieces of every kind, lot and wear, some too small, in this house and in others."""
    places = {
        Kind.REMNANT: ("Bay 1", "Bay 2"),
        Kind.OFFCUT: ("Bay 1", "Bay 3"),
        Kind.KEPT: ("Alder Court 7, attic", "Fennel Row 12, attic"),
        Kind.LAID: ("Alder Court 7, closet", "Alder Court 7, living room", "Fennel Row 12, closet"),
    }
    found = []
    for number in range(count):
        kind = rng.choice(list(places))
        made = piece(
            f"P-{number}",
            rng.choice((16, 20, 24, 33, 40, 70)),
            rng.choice((24, 30, 43, 60, 100)),
            kind=kind,
            place=rng.choice(places[kind]),
            lot=rng.choice(("L1", "L1", "L2", "")),
            worn=rng.choice((0, 0, 1, 2)),
        )
        found.append(made)
    return found


def merit(answer: Answered) -> Merit:
    found = answer.fitted.plan.merit
    assert found is not None
    return found


def asked(pieces: list[Piece], seed: int) -> Answered:
    return ask(*pieces, patches=(patch(worn=seed % 3, edges=("wall", "seam", "wall", "seam")),))


@pytest.mark.parametrize("seed", SEEDS)
def test_other_tags_and_another_order_change_nothing(seed: int) -> None:
    rng = random.Random(seed)
    pieces = stock(rng, 9)
    first = asked(pieces, seed)
    names = [f"Q-{number}" for number in range(len(pieces))]
    rng.shuffle(names)
    renamed = [replace(each, tag=name) for each, name in zip(pieces, names, strict=True)]
    rng.shuffle(renamed)
    again = asked(renamed, seed)
    assert merit(again).key == merit(first).key
    assert again.verdict == first.verdict


@pytest.mark.parametrize("seed", SEEDS)
def test_one_more_piece_of_the_shop_never_makes_it_worse(seed: int) -> None:
    rng = random.Random(1000 + seed)
    pieces = stock(rng, 7)
    before = merit(asked(pieces, seed))
    more = piece("X-1", rng.choice((20, 33, 40)), rng.choice((30, 43, 60)), lot=rng.choice(("L1", "L2")), worn=rng.choice((0, 1)))
    assert merit(asked([*pieces, more], seed)).key <= before.key


@pytest.mark.parametrize("seed", SEEDS)
def test_a_piece_as_good_in_every_term_and_better_in_one_is_not_passed_over(seed: int) -> None:
    """The twin of a whole patch's donor, of the right lot and as worn as the room, is taken; else both are alike."""
    rng = random.Random(2000 + seed)
    first = asked(stock(rng, 8), seed)
    if first.verdict != "whole":
        return
    (tag,) = first.chosen
    donor = first.fitted.pieces[tag]
    twin = replace(donor, tag="A-0", kind=Kind.REMNANT, place="Bay 1", customer="", lot="L1", worn=seed % 3)
    again = asked([*first.fitted.pieces.values(), twin], seed)
    assert merit(again).key <= merit(first).key
    as_good = (donor.lot, donor.worn, donor.kind in (Kind.REMNANT, Kind.OFFCUT, Kind.KEPT)) == ("L1", seed % 3, True)
    assert as_good or again.chosen == {"A-0"}


@pytest.mark.parametrize("seed", SEEDS)
def test_carpet_of_another_house_or_in_view_never_appears_unless_asked_for(seed: int) -> None:
    pieces = stock(random.Random(3000 + seed), 10)
    answer = asked(pieces, seed)
    barred = {each.tag for each in pieces if "Fennel" in each.place or "living room" in each.place}
    for plan in (answer.fitted.plan, *(way.plan for way in answer.fitted.ways)):
        assert not barred & {part.piece for made in plan.patches for part in made.parts}


@pytest.mark.parametrize("seed", SEEDS)
def test_no_way_is_beaten_by_another_in_every_term(seed: int) -> None:
    ways = [way.plan.merit for way in asked(stock(random.Random(4000 + seed), 12), seed).fitted.ways]
    for number, one in enumerate(ways):
        for two in (*ways[:number], *ways[number + 1 :]):
            assert one is not None and two is not None
            better = (one.look < two.look, one.trouble < two.trouble, one.spent < two.spent)
            assert any(better), "each way is better than each other in something"


def whole_merits(pieces: list[Piece], seed: int) -> list[tuple[object, ...]]:
    """Each piece by itself, answered alone in a stock of one: the exhaustive search of whole patches, by the same preference."""
    alone = [ask(each, patches=(patch(worn=seed % 3, edges=("wall", "seam", "wall", "seam"), parts=1),)) for each in pieces]
    return [merit(answer).key for answer in alone if answer.verdict == "whole"]


@pytest.mark.parametrize("seed", SEEDS)
def test_the_best_whole_patch_is_the_best_of_each_piece_by_itself(seed: int) -> None:
    pieces = [each for each in stock(random.Random(5000 + seed), 10) if each.kind is not Kind.KEPT]
    answer = ask(*pieces, patches=(patch(worn=seed % 3, edges=("wall", "seam", "wall", "seam"), parts=1),))
    assert merit(answer).key == min(whole_merits(pieces, seed), default=merit(answer).key)
