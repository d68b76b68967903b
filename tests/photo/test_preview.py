"""The repair seen before it is made: carpet at its true scale and turn, where the plan lays it, and nothing changed elsewhere."""

import io
import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from remnants.errors import NotMeasured
from remnants.geometry import rectangle
from remnants.geometry.turn import moved_ring, turned_point, turned_ring
from remnants.model import Kind, Lab, Part, PatchPlan, Piece, Verdict
from remnants.model.sight import Sight, SightKind
from remnants.photo.flattened import Flattened, flattened
from remnants.photo.overhead import Overhead, overhead_of, overhead_told, with_scale
from remnants.photo.preview import Donor, Frame, Preview, previewed, ring_mask
from remnants.photo.seams_drawn import disc_px, grade_text, seam_marks, seam_sights, seams_drawn
from remnants.photo.view import view_of
from tests.photo.photographs import Laid, Shot, as_jpeg, photographed

Floats = NDArray[np.float64]

STRIPE_MM, STRIPE_DEG = 24.0, 30.0
"""Of the donor: how far apart its stripes are, and their bearing (clockwise from the page's up)."""

PIECE = (-420.0, -330.0)
"""Where the lower left corner of the donor lies (mm, from the middle of the page on it)."""
WIDE, LONG = 840.0, 640.0

HALL = Shot(width=1280, height=960, tilt_deg=12.0, away=1100.0, looks_at=(120.0, 20.0), shade=0.3)
RACK = Shot(width=1280, height=960, tilt_deg=9.0, away=1250.0, looks_at=(0.0, 0.0), pages=(Laid(page=9),), seed=2)


def stripes(x: Floats, y: Floats) -> Floats:
    """Stripes by their bearing, and a dark spot in the donor's upper right, 60 mm from two of its edges."""
    way = math.radians(STRIPE_DEG)
    across = x * math.cos(way) - y * math.sin(way)
    bright = 110.0 + 45.0 * np.cos(2 * np.pi * across / STRIPE_MM)
    spot = np.hypot(x - (PIECE[0] + WIDE - 60.0), y - (PIECE[1] + LONG - 60.0)) < 18.0
    return np.asarray(np.where(spot, 10.0, bright))


@cache
def flats() -> tuple[Flattened, Flattened]:
    """The hall and the donor, made flat, once for all tests."""
    hall, rack = (as_jpeg(each) for each in (photographed(HALL), photographed(RACK, woven=stripes)))
    return flattened(view_of(hall, lambda _: 150.0)), flattened(view_of(rack, lambda _: 150.0))


def floor(at: tuple[float, float, float] = (1000.0, 800.0, 0.0)) -> Overhead:
    """The hall, whose page lies there in the room."""
    return overhead_of(flats()[0], at)


def donor(tag: str = "R-1", *, pictured: bool = True, lab: Lab | None = None) -> Donor:
    own = flats()[1]
    piece = Piece(
        tag, Kind.REMNANT, "Harrow", "", "", rectangle(WIDE, LONG), photo_digest=own.digest if pictured else "", lab=lab
    )
    shown = overhead_of(own, (-PIECE[0], -PIECE[1], 0.0), (WIDE, LONG))
    return Donor(piece, 5.0, None, shown if pictured else None)


def part(turn_deg: float, corner: tuple[float, float], side: float = 200.0, *, tag: str = "R-1", at: tuple[float, float]) -> Part:
    """A square cut with its middle at `corner` of the donor, laid with its middle `at` a place in the room."""
    x, y = turned_point(corner, turn_deg)
    shift = at[0] - x, at[1] - y
    cut = moved_ring(rectangle(side, side).ring, (corner[0] - side / 2, corner[1] - side / 2))
    return Part(tag, moved_ring(turned_ring(cut, turn_deg), shift), cut, turn_deg, shift)


def plan(*parts: Part) -> PatchPlan:
    return PatchPlan("hall", Verdict.WHOLE, parts)


def bearing_and_spacing(made: Preview, middle: tuple[float, float], half: float) -> tuple[float, float]:
    """The stripes in a square of the room: their bearing (degrees clockwise from up), and how far apart they are (mm)."""
    left, bottom = made.frame.corner_mm
    top = bottom + made.colours.shape[0] / made.frame.px_per_mm
    column, row = (middle[0] - left) * made.frame.px_per_mm, (top - middle[1]) * made.frame.px_per_mm
    reach = int(half * made.frame.px_per_mm)
    seen = made.colours[int(row) - reach : int(row) + reach, int(column) - reach : int(column) + reach].mean(axis=2)
    seen = (seen - seen.mean()) * np.outer(np.hanning(len(seen)), np.hanning(len(seen)))
    many = 2048
    power = np.abs(np.fft.fftshift(np.fft.fft2(seen, (many, many))))
    down, across = np.unravel_index(int(power.argmax()), power.shape)
    u, v = (across - many // 2) / many * made.frame.px_per_mm, -(down - many // 2) / many * made.frame.px_per_mm
    # The stripes run square to the way their brightness goes: (cos, -sin) of their bearing.
    return math.degrees(math.atan2(-v, u)) % 180.0, 1.0 / math.hypot(u, v)


@pytest.mark.parametrize(("turn", "page_turn"), [(0.0, 0.0), (90.0, 0.0), (180.0, 90.0), (17.0, 0.0)])
def test_stripes_of_the_donor_lie_as_the_plan_turns_them_at_their_true_spacing(turn: float, page_turn: float) -> None:
    place = (1000.0 + 220.0, 800.0) if not page_turn else (1000.0, 800.0 - 220.0)
    made = previewed(floor((1000.0, 800.0, page_turn)), plan(part(turn, (690.0, 320.0), at=place)), {"R-1": donor()})
    bearing, spacing = bearing_and_spacing(made, place, 85.0)
    assert spacing == pytest.approx(STRIPE_MM, rel=0.02)
    off = (bearing - (STRIPE_DEG + turn) + 90.0) % 180.0 - 90.0
    assert abs(off) < 1.5, "turned the other way, or mirrored, they would lie elsewhere"
    assert made.notes == ()


def test_what_is_cut_where_comes_to_lie_where_the_plan_lays_it() -> None:
    at = (1230.0, 820.0)
    laid = part(90.0, (WIDE - 110.0, LONG - 110.0), at=at)
    made = previewed(floor(), plan(laid), {"R-1": donor()})
    top = made.frame.corner_mm[1] + made.colours.shape[0] / made.frame.px_per_mm
    rows, columns = np.nonzero(made.colours.mean(axis=2) < 40)
    x, y = made.frame.corner_mm[0] + columns / made.frame.px_per_mm, top - rows / made.frame.px_per_mm
    near = np.hypot(x - at[0], y - at[1]) < 130.0
    # The spot lies 50 mm right of and above the middle of the cut; a quarter turn clockwise brings it right and below.
    assert (x[near].mean(), y[near].mean()) == pytest.approx((at[0] + 50.0, at[1] - 50.0), abs=4.0)


def test_outside_its_parts_nothing_of_the_floor_is_changed_and_inside_all_is() -> None:
    one = plan(part(0.0, (690.0, 320.0), at=(1220.0, 800.0)))
    made, other = (previewed(floor(), one, {"R-1": each}) for each in (donor(), _dark()))
    mask = ring_mask(one.parts[0].net, made.frame.matrix, made.colours.shape[1::-1])
    apart = (made.colours != other.colours).any(axis=2)
    assert not apart[mask == 0].any() and apart[mask == 255].mean() > 0.99


def _dark() -> Donor:
    shown = donor().picture
    assert shown is not None
    out = io.BytesIO()
    Image.fromarray((shown.colours() // 4).astype(np.uint8)).save(out, "JPEG", quality=95)
    return replace(donor(), picture=replace(shown, jpeg=out.getvalue(), pages=()))


def test_carpet_under_the_marker_page_is_taken_from_beside_it_and_said() -> None:
    middle = (-PIECE[0], -PIECE[1])
    made = previewed(floor(), plan(part(0.0, middle, 120.0, at=(1220.0, 800.0))), {"R-1": donor()})
    assert made.notes == ("R-1: where the marker page lay on it, its colour alone is shown",), "no way beside it is long enough"
    aside = (middle[0] - 170.0, middle[1])
    made = previewed(floor(), plan(part(0.0, aside, 200.0, at=(1220.0, 800.0))), {"R-1": donor()})
    assert made.notes == ("R-1: where the marker page lay on it, carpet from beside the page is shown",)
    place = ring_mask(
        plan(part(0.0, aside, 190.0, at=(1220.0, 800.0))).parts[0].net, made.frame.matrix, made.colours.shape[1::-1]
    )
    assert made.colours[place == 255].max() < 220, "no white paper lies on the floor"


def test_of_a_donor_without_a_picture_its_colour_and_its_rows_are_shown_and_said() -> None:
    bare = donor("R-2", pictured=False, lab=Lab(40.0, 0.0, 0.0))
    parts = part(0.0, (690.0, 320.0), 100.0, at=(1180.0, 800.0)), part(0.0, (690.0, 320.0), 100.0, tag="R-2", at=(1280.0, 800.0))
    made = previewed(floor(), plan(*parts), {"R-1": donor(), "R-2": bare})
    assert made.notes == ("R-2: its own colour, no texture: it has no picture to scale",)


def test_it_is_refused_where_nothing_can_be_shown() -> None:
    one = plan(part(0.0, (690.0, 320.0), at=(1220.0, 800.0)))
    with pytest.raises(NotMeasured, match="R-1 has no picture to scale: log it by a photograph"):
        previewed(floor(), one, {"R-1": donor(pictured=False, lab=Lab(40.0, 0.0, 0.0))})
    with pytest.raises(NotMeasured, match="R-2 has no picture to scale, and no colour that is known"):
        two = plan(*one.parts, part(0.0, (690.0, 320.0), tag="R-2", at=(1420.0, 800.0)))
        previewed(floor(), two, {"R-1": donor(), "R-2": donor("R-2", pictured=False)})
    with pytest.raises(NotMeasured, match="does not show where hall is"):
        previewed(floor((90_000.0, 0.0, 0.0)), one, {"R-1": donor()})
    with pytest.raises(NotMeasured, match="hall is not filled"):
        previewed(floor(), plan(), {})


def test_a_piece_cut_since_or_measured_anew_is_not_shown_by_its_old_picture() -> None:
    own = donor()
    assert own.shown is not None
    assert replace(own, piece=replace(own.piece, outline=rectangle(WIDE - 100, LONG))).shown is None
    assert replace(own, piece=replace(own.piece, photo_digest="")).shown is None


def test_a_picture_tells_its_scale_by_itself_at_any_size_and_nothing_else() -> None:
    shown = donor().picture
    assert shown is not None
    jpeg = with_scale(shown)
    told = overhead_told(jpeg)
    assert told is not None and told.px_per_mm == pytest.approx(shown.px_per_mm)
    assert (told.corner_mm, told.at, told.size_mm, told.digest, told.pages) == (
        shown.corner_mm,
        shown.at,
        shown.size_mm,
        shown.digest,
        shown.pages,
    )
    with Image.open(io.BytesIO(jpeg)) as image:
        comment, half = image.info["comment"], image.resize((image.width // 2, image.height // 2))
        assert not image.getexif()
    out = io.BytesIO()
    half.convert("RGB").save(out, "JPEG")
    smaller = overhead_told(out.getvalue(), comment)
    assert smaller is not None and smaller.px_per_mm == pytest.approx(shown.px_per_mm / 2, rel=0.001)
    corner = np.array([0.0, 0.0, 1.0])
    assert smaller.to_pixels() @ corner == pytest.approx(shown.to_pixels() @ corner / 2, abs=1.0)


@pytest.mark.parametrize(
    "comment",
    [b"", b"a holiday", b'{"kind": "remnants picture from above"}', b'{"kind": "remnants picture from above", "px_per_mm": NaN}'],
)
def test_a_comment_that_tells_no_scale_is_none(comment: bytes) -> None:
    out = io.BytesIO()
    Image.new("RGB", (40, 30)).save(out, "JPEG")
    assert overhead_told(out.getvalue(), comment) is None
    assert overhead_told(b"no picture", comment) is None


def test_seams_are_drawn_where_they_lie_with_their_grades_in_discs_and_nowhere_else() -> None:
    plain = np.full((400, 500, 3), 128, np.uint8)
    inner = Sight(SightKind.SEAM, "hall", 1, 3, "", ((100.0, 100.0), (400.0, 100.0)), inside=True)
    rim = Sight(SightKind.SEAM, "hall", 2, 2, "", ((100.0, 300.0), (100.0, 100.0)))
    others = (Sight(SightKind.SEAM, "bath", 3, 3, "", inner.line), Sight(SightKind.SHADE, "hall", 0, 0, ""))
    sights = seam_sights((inner, *others, rim), "hall")
    assert sights == (inner, rim) and [grade_text(each) for each in sights] == ["1-3", "2"]
    frame = Frame((500, 400), 1.0, (0.0, 0.0))
    drawn = seams_drawn(plain, seam_marks(sights, frame), radius=disc_px(frame))
    rows, columns = np.nonzero((drawn != plain).any(axis=2))
    assert (plain == 128).all() and (columns.min(), columns.max()) == pytest.approx((100 - disc_px(frame), 400), abs=3)
    assert (400 - rows.max(), 400 - rows.min()) == pytest.approx((100 - disc_px(frame), 300), abs=3)
    assert drawn[400 - 100, 250 + 11].min() > 230, "the disc stands half way along the seam"
    untouched = np.hypot(np.arange(500)[None, :] - 300, (400 - np.arange(400))[:, None] - 250) < 90
    assert (drawn[untouched] == 128).all()
