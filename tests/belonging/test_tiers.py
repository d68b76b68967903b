"""Whose carpet is it, and may the job use it?"""

from typing import Any

import pytest

from remnants.belonging import Tier, needed_for, taken_for_ours, tier_of, why_left_alone
from remnants.geometry import rectangle
from remnants.model import Finish, Job, Kind, MayUse, Patch, Piece

PATCH = Patch("hall", rectangle(300.0, 300.0).ring, 0.0, (Finish.SEAM,) * 4)


def a_job(name: str = "Row 1, hall", **told: Any) -> Job:
    return Job(name, (PATCH,), **told)


def a_piece(kind: Kind, place: str = "", **told: Any) -> Piece:
    return Piece("P-1", kind, "Velder Loop", "", "", rectangle(900.0, 900.0), place=place, **told)


@pytest.mark.parametrize(
    ("kind", "place", "told", "tier"),
    [
        (Kind.REMNANT, "Bay 3", {}, Tier.SHELF),
        (Kind.OFFCUT, "Row 2, van", {}, Tier.SHELF),  # the shop's own, wherever it lies
        (Kind.KEPT, "Row 1, attic", {}, Tier.SHELF),
        (Kind.KEPT, " row  1 , attic", {"customer": "C-9"}, Tier.SHELF),  # the place decides where it names a house
        (Kind.LAID, "Row 1, hall closet", {}, Tier.HIDDEN_FLOOR),
        (Kind.LAID, "Row 1", {"room": "under the stairs"}, Tier.HIDDEN_FLOOR),
        (Kind.LAID, "Row 1, living room", {"hidden": True}, Tier.HIDDEN_FLOOR),
        (Kind.KEPT, "Row 12, attic", {}, Tier.ANOTHERS),  # Row 12 isn't Row 1
        (Kind.KEPT, "Row 12, attic", {"customer": "C-1"}, Tier.ANOTHERS),
        (Kind.KEPT, "Row 12", {"room": "attic"}, Tier.ANOTHERS),
        (Kind.KEPT, "attic", {"customer": "C-9"}, Tier.ANOTHERS),
        (Kind.REMNANT, "", {"customer": "C-9"}, Tier.ANOTHERS),
        (Kind.KEPT, "attic", {"customer": "c-1"}, Tier.SHELF),
        (Kind.LAID, "Row 12, closet", {}, Tier.SEEN_FLOOR),
        (Kind.LAID, "Row 1, living room", {}, Tier.SEEN_FLOOR),
        (Kind.LAID, "Row 1, closet", {"hidden": False}, Tier.SEEN_FLOOR),
        (Kind.LAID, "Wardrobe Lane 3, hall", {}, Tier.SEEN_FLOOR),
    ],
)
def test_a_piece_costs_a_shelf_a_floor_or_somebody_elses_carpet(kind: Kind, place: str, told: dict[str, Any], tier: Tier) -> None:
    assert tier_of(a_piece(kind, place, **told), a_job(customer="C-1")) is tier


def test_the_house_is_the_jobs_name_up_to_its_first_comma_unless_it_is_told() -> None:
    attic = a_piece(Kind.KEPT, "Row 1, attic")
    assert tier_of(attic, a_job("Row 1, hall, second visit")) is Tier.SHELF
    assert tier_of(attic, a_job("visit 40", house="Row 1")) is Tier.SHELF
    assert tier_of(attic, a_job("Row 1, hall", house="Row 2")) is Tier.ANOTHERS


def test_what_nobody_says_whose_it_is_is_taken_for_this_houses() -> None:
    attic = a_piece(Kind.KEPT, "attic")
    assert tier_of(attic, a_job()) is Tier.SHELF and taken_for_ours(attic, a_job())
    assert not taken_for_ours(a_piece(Kind.KEPT, "Row 1, attic"), a_job())
    assert not taken_for_ours(a_piece(Kind.REMNANT, "Bay 3"), a_job())


@pytest.mark.parametrize(
    ("piece", "needed"),
    [
        (a_piece(Kind.KEPT, "Row 2, attic"), MayUse.OTHER_CUSTOMERS),
        (a_piece(Kind.LAID, "Row 2, closet"), MayUse.OTHER_HOUSES),
        (a_piece(Kind.LAID, "Row 1, living room"), MayUse.IN_VIEW),
        (a_piece(Kind.REMNANT, "Bay 3"), None),
    ],
)
def test_what_is_left_alone_may_be_allowed_and_is_told_without_a_name(piece: Piece, needed: MayUse | None) -> None:
    assert needed_for(piece, a_job()) is needed
    if needed is not None:
        assert f'"may_use": ["{needed}"]' in why_left_alone(piece, a_job())
        assert "Row" not in why_left_alone(piece, a_job())
        assert why_left_alone(piece, a_job(may_use=frozenset({needed}))) == ""
        assert why_left_alone(piece, a_job(may_use=frozenset(MayUse) - {needed})) != ""


def test_what_the_job_avoids_is_left_alone_whatever_it_is() -> None:
    assert why_left_alone(a_piece(Kind.REMNANT), a_job(avoid=("p-1",))) == "the job says to avoid it"
