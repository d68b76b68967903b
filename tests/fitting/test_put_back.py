"""Parts that had no place: a few neighbours are taken out, and all are put back where each has a place of its own."""

from collections.abc import Sequence

import pytest

from remnants.fitting.sharing import from_one_end
from remnants.fitting.sharing import put_back as put_back_module
from remnants.fitting.sharing.from_one_end import Ends, Way
from remnants.fitting.sharing.put_back import Parts, put_back
from remnants.geometry.beside import Step, barred, places
from remnants.geometry.lie import MICRONS, Ground, overlap
from remnants.geometry.outline import Outline, Ring, rectangle
from remnants.geometry.turn import moved_ring
from tests.fitting.test_from_one_end import planted

HALL = [rectangle(600, 700).ring, rectangle(1000, 300).ring, rectangle(400, 700).ring]
"""Together they fill 1000 x 1000."""


def parts_of(rings: Sequence[Ring], outline: Outline) -> Parts:
    alone = {number: here for number, ring in enumerate(rings) if (here := places(Ground(outline), ring))}
    return Parts(rings, alone, lambda laid, part: barred(rings[laid], rings[part]))


def moved(rings: Sequence[Ring], laid: dict[int, Step]) -> list[Ring]:
    return [moved_ring(rings[number], (x / MICRONS, y / MICRONS)) for number, (x, y) in sorted(laid.items())]


def test_a_part_in_the_middle_is_put_to_an_end_so_that_two_more_have_a_place() -> None:
    """The foot lies across the middle, and leaves 350 mm on either side of it for two parts of 700."""
    *_, most = put_back(parts_of(HALL, rectangle(1000, 1000)), {1: (0, 350_000)})
    lies = moved(HALL, most)
    assert len(lies) == 3
    assert not any(overlap(one, two) for number, one in enumerate(lies) for two in lies[:number])


def test_nothing_is_tried_where_all_are_laid_or_what_is_missing_has_no_place_anyhow() -> None:
    corners = {1: (0, 0), 0: (0, 300_000), 2: (600_000, 300_000)}
    assert list(put_back(parts_of(HALL, rectangle(1000, 1000)), corners)) == []
    assert list(put_back(parts_of([*HALL, rectangle(1100, 10).ring], rectangle(1000, 1000)), corners)) == []


def test_no_fewer_are_told_than_were_laid(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two of 600 x 600 have no place on 1000 x 1000 together, however they are put back."""
    monkeypatch.setattr(put_back_module, "LOOKS", 900)
    rings = [rectangle(600, 600).ring] * 2
    told = [len(laid) for laid in put_back(parts_of(rings, rectangle(1000, 1000)), {0: (0, 0)})]
    assert told == [1, 1], "one each 400 looks"


@pytest.mark.parametrize(("seed", "parts", "without"), [(0, 14, 2), (7, 14, 2)])
def test_what_the_ends_leave_over_is_laid(seed: int, parts: int, without: int, monkeypatch: pytest.MonkeyPatch) -> None:
    rings, outline = planted(seed, parts, without=without)
    way = Way(3, 0.1, 1e-4)
    *_, all_of_them = Ends(rings, outline).laid(way)
    assert len(all_of_them) == len(rings)
    monkeypatch.setattr(from_one_end, "put_back", lambda _parts, _laid: iter(()))
    *_, most = Ends(rings, outline).laid(way)
    assert len(most) < len(rings)
