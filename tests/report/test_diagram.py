"""The drawings: what they show, that nothing runs over anything else or off the page, and that the SVG is sound."""

import math
import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations
from typing import Any
from xml.etree import ElementTree

import pytest

from remnants.errors import NotFound
from remnants.geometry.outline import Point, outline_of, rectangle, round_outline
from remnants.geometry.turn import moved_ring, turned_ring
from remnants.materials.cuts import cuts_of
from remnants.model import Finish, Kind, Opening, RepairRoom, Style
from remnants.model.style import Repeat
from remnants.report.board import Paper
from remnants.report.diagram import donor_picture, drawings, file_names, write_svgs
from remnants.report.drawing import Area, Dash, Drawing, Fill, Lines, Pen, Words, box_of, points_of
from remnants.units import Unit
from tests.report.plans import FT, IN, Layout, a_joined_layout, a_layout, a_patch, a_piece, a_style

SVG = "{http://www.w3.org/2000/svg}"
STYLES = {"Velder Loop": a_style()}
PHONE = Paper(86.0, 70.0, 1.0, keyed=False, headed=False, slim=True)


def a_tiny_patch_on_a_long_donor() -> Layout:
    layout = a_layout(a_piece("R-30", rectangle(12 * IN, 30 * FT)))
    layout.whole(a_patch("burn", rectangle(6 * IN, 6 * IN).ring), "R-30", (1 * IN, 3 * IN))
    layout.whole(a_patch("second", rectangle(8 * IN, 40 * IN).ring), "R-30", (0, 20 * IN))
    return layout.whole(a_patch("third", rectangle(4 * IN, 4 * IN).ring), "R-30", (0, 12 * IN))


def odd_shapes() -> Layout:
    hall = [(0, 0), (3600, 0), (3600, 1500), (1400, 1500), (1400, 4200), (0, 4200)]
    cutout = [(200, 3600), (500, 3600), (500, 3900)]
    layout = a_layout(a_piece("R-77", outline_of(hall, [cutout]), pile_deg=90), unit=Unit.MM)
    layout.whole(a_patch("round", round_outline((0, 0), 300, outside=True).ring), "R-77", (100, 100))
    bay = ((0.0, 0.0), (900.0, 0.0), (1000.0, 400.0), (500.0, 700.0), (0.0, 500.0))
    edges = ["wall", "wall", "seam", "transition", "free"]
    layout.whole(a_patch("bay", bay, pile_deg=37, edges=edges), "R-77", (900, 50))
    return layout.none(a_patch("foyer", rectangle(5000, 5000).ring, edges="wall"))


def many_treads() -> Layout:
    layout = a_layout(a_piece("R-9", rectangle(12 * FT, 30 * FT)), unit=Unit.FT)
    for index in range(12):
        tread = a_patch(f"tread {index + 1}", rectangle(36 * IN, 20 * IN).ring, edges=["wall", "wall", "transition", "wall"])
        layout.whole(tread, "R-9", (index % 3 * 42 * IN, index // 3 * 26 * IN))
    return layout


def in_a_room() -> Layout:
    """A hallway patch at a doorway: a lane runs out of it, a bed covers a corner, a door that stays shut is a wall."""
    layout = a_joined_layout()
    (hall,) = layout.patches
    layout.patches = [replace(hall, wanted=replace(hall.wanted, room="hall"))]
    walls = rectangle(200 * IN, 60 * IN, (-160 * IN, 0.0)).ring
    doorways = (Opening(1, 2 * IN, 30 * IN, "stairs"), Opening(2, 0.0, 30 * IN, shut=True))
    lane = ((-100 * IN, 7 * IN), (40 * IN, 7 * IN))
    bed = rectangle(15 * IN, 40 * IN, (-5 * IN, 8 * IN)).ring
    layout.rooms = (RepairRoom("hall", walls, (Finish.WALL,) * 4, doorways, (lane,), (bed,)),)
    return layout


LAYOUTS = {
    "whole": lambda: a_layout().whole(a_patch(), "R-0142", (2 * IN, 3 * IN)),
    "joined": a_joined_layout,
    "tiny on long": a_tiny_patch_on_a_long_donor,
    "odd shapes": odd_shapes,
    "many treads": many_treads,
    "in a room": in_a_room,
}


def drawn(layout: Layout, **others: Any) -> tuple[Drawing, ...]:
    return drawings(layout.plan, layout.job, pieces=layout.pieces, styles=STYLES, **others)


def words_of(drawing: Drawing) -> list[Words]:
    return [mark for mark in drawing.marks if isinstance(mark, Words)]


def texts_of(drawing: Drawing) -> list[str]:
    return [words.text for words in words_of(drawing)]


def svgs(layout: Layout) -> dict[str, str]:
    return write_svgs(layout.plan, layout.job, pieces=layout.pieces, styles=STYLES)


@pytest.mark.parametrize("name", LAYOUTS)
@pytest.mark.parametrize("paper", [Paper(), Paper(180.0, 150.0), PHONE], ids=["screen", "narrow page", "phone"])
def test_nothing_leaves_the_picture(name: str, paper: Paper) -> None:
    for drawing in drawn(LAYOUTS[name](), paper=paper):
        for mark in drawing.marks:
            for x, y in points_of(mark):
                assert 0 <= x <= drawing.width_mm, (drawing.name, mark)
                assert 0 <= y <= drawing.height_mm, (drawing.name, mark)


@pytest.mark.parametrize("sides", [(4 * FT, 5.5 * FT), (9 * FT, 30 * IN), (12 * FT, 11 * FT), (30 * IN, 33 * IN)])
def test_on_a_phone_the_carpet_takes_the_width_or_the_height(sides: tuple[float, float]) -> None:
    """A piece of 4 ft was drawn 57 px wide on a phone 360 px across, a sixth of it."""
    layout = a_layout(a_piece("R-1", rectangle(*sides))).whole(a_patch(ring=rectangle(10 * IN, 9 * IN).ring), "R-1")
    donor, patch = drawn(layout, paper=PHONE)
    assert sides[0] / donor.scale > 0.55 * donor.width_mm or sides[1] / donor.scale > 0.9 * PHONE.tallest_mm
    assert (donor.width_mm, patch.width_mm) == (PHONE.width_mm, PHONE.width_mm)


@pytest.mark.parametrize("name", LAYOUTS)
@pytest.mark.parametrize("paper", [Paper(), PHONE], ids=["screen", "phone"])
def test_no_words_run_over_others(name: str, paper: Paper) -> None:
    for drawing in drawn(LAYOUTS[name](), paper=paper):
        for first, second in combinations(words_of(drawing), 2):
            a, b = first.box, second.box
            across, along = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
            # The box of words has air above and below: lines of text may share a third of a millimetre of it.
            assert across <= 0.01 or along <= 0.35, (drawing.name, first.text, second.text)


@pytest.mark.parametrize("name", LAYOUTS)
def test_svg_is_xml_with_a_title_and_a_telling(name: str) -> None:
    for file_name, text in svgs(LAYOUTS[name]()).items():
        root = ElementTree.fromstring(text)
        assert root.tag == f"{SVG}svg"
        assert re.fullmatch(r"[\w-]+\.svg", file_name)
        assert len(root.findtext(f"{SVG}title") or "") > 5
        assert (root.findtext(f"{SVG}desc") or "").count(".") >= 3


def test_the_room_is_drawn_lightly_behind_the_patch() -> None:
    drawing = drawn(in_a_room())[1]
    assert drawing.key[-1].endswith(
        "Of the room: doorway: a stroke at either jamb; people walk: dots and dashes; under furniture: dotted."
    )
    dashes = {mark.dash for mark in drawing.marks if isinstance(mark, Lines)}
    assert {Dash.CHAIN, Dash.DOTTED} <= dashes
    bare = drawn(a_joined_layout())[1]
    assert Dash.CHAIN not in {mark.dash for mark in bare.marks if isinstance(mark, Lines)}
    assert (bare.scale, bare.width_mm) == (drawing.scale, drawing.width_mm)  # the room takes no room


def test_there_is_one_drawing_for_each_donor_and_each_patch() -> None:
    assert list(svgs(a_joined_layout())) == ["piece-K-0031.svg", "patch-hall.svg"]
    assert [drawing.name for drawing in drawn(odd_shapes())] == ["piece R-77", "patch round", "patch bay", "patch foyer"]


def test_the_telling_names_every_cut_with_its_place_and_size() -> None:
    donor, patch = drawn(a_joined_layout())
    # Net 20 x 14 in with 1 in at seams and 3 in at wall and transition: 20 + 1 + 3 by 14 + 1 + 1, turned to lie across.
    assert "2: hall, cut 16 in × 24 in; on A, 26 in from B" in donor.told
    # 16 and 24 in: the diagonal is 28.84 in, 28 27/32, which reads 28 13/16 or 28 7/8; exactly 28.8444 = 28 13.51/16.
    assert "both diagonals 28 7/8 in" in donor.told
    assert "seam: between 1 and 2: cross seam, 14 in" in patch.told
    assert "The loops stop at this seam" in patch.told


def test_a_cut_is_drawn_to_scale_where_it_lies() -> None:
    layout = a_layout().whole(a_patch(), "R-0142", (2 * IN, 3 * IN))
    (donor, _) = drawn(layout)
    assert donor.scale == 12  # 40 x 66 in at 1 in to 1 ft is 85 x 140 mm
    areas = [mark.rings[0] for mark in donor.marks if isinstance(mark, Area)]
    outline, cut = areas[0], areas[1]
    assert size_of(outline) == pytest.approx((40 * IN / 12, 66 * IN / 12))
    assert size_of(cut) == pytest.approx((16 * IN / 12, 40 * IN / 12))  # net 14 x 38 in, 1 in seam allowance all round
    offset = (min(x for x, _ in cut) - min(x for x, _ in outline), min(y for _, y in cut) - min(y for _, y in outline))
    assert offset == pytest.approx((2 * IN / 12, 3 * IN / 12))


def size_of(ring: tuple[Point, ...]) -> tuple[float, float]:
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    return max(xs) - min(xs), max(ys) - min(ys)


def test_running_dimensions_count_from_edges_a_and_b() -> None:
    layout = a_layout().whole(a_patch(), "R-0142", (2 * IN, 3 * IN))
    texts = texts_of(drawn(layout)[0])
    # The cut runs from 2 to 18 in across and from 3 to 43 in along.
    assert {"A", "B", "2 in", "18 in", "3 in", "43 in"} <= set(texts)


def test_the_net_lies_in_the_cut_on_the_donor_whatever_the_turn() -> None:
    for cut in cuts_of(odd_shapes().plan):
        back = moved_ring(turned_ring(cut.net_on_piece, cut.part.turn_deg), cut.part.shift)
        assert all(math.dist(a, b) < 1e-6 for a, b in zip(back, cut.part.net, strict=True))


def test_cuts_are_numbered_from_the_end_that_is_unrolled_first() -> None:
    assert [(cut.number, cut.patch) for cut in cuts_of(a_tiny_patch_on_a_long_donor().plan)] == [
        (1, "burn"),  # 3 in along
        (2, "third"),  # 12 in
        (3, "second"),  # 20 in
    ]


def test_a_leftover_s_largest_rectangle_is_dashed_where_it_lies() -> None:
    (donor, *_) = drawn(odd_shapes())
    carpet = next(mark for mark in donor.marks if isinstance(mark, Area)).rings[0]
    left, bottom, right, top = box_of(carpet)
    dashed = [mark for mark in donor.marks if isinstance(mark, Area) and mark.dash.value]
    assert dashed
    for mark in dashed:
        assert all(left - 0.01 <= x <= right + 0.01 and bottom - 0.01 <= y <= top + 0.01 for x, y in mark.rings[0])


def test_lengths_follow_the_unit_asked_for() -> None:
    layout = a_layout().whole(a_patch(), "R-0142")
    metric = " ".join(text for drawing in drawn(layout, unit=Unit.MM) for text in texts_of(drawing))
    assert "1016 mm" in metric  # 40 in
    assert not re.search(r"\d in\b|\d\"", metric)


def test_edges_are_named_and_drawn_apart_by_finish() -> None:
    (_, patch) = drawn(a_joined_layout())
    assert {"seam", "transition", "wall"} <= set(texts_of(patch))
    assert any("transition: heavy and broken" in text for text in texts_of(patch))


def test_names_are_escaped_and_control_characters_marked() -> None:
    layout = a_layout(a_piece("R<1>&\x00\x1b", kind=Kind.KEPT, place='Żółć "attic"'))
    layout.whole(a_patch("burn <by> the & door"), "R<1>&\x00\x1b")
    made = svgs(layout)
    assert list(made) == ["piece-R-1.svg", "patch-burn-by-the-door.svg"]
    (donor, _) = made.values()
    root = ElementTree.fromstring(donor)
    assert (root.findtext(f"{SVG}title") or "").startswith("R<1>&\ufffd\ufffd: Velder Loop")
    assert "Żółć" in donor


def test_files_of_one_name_get_numbers() -> None:
    layout = a_layout()
    layout.whole(a_patch("hall"), "R-0142").whole(a_patch("Hall!"), "R-0142", (20 * IN, 0))
    assert file_names(drawn(layout)) == ("piece-R-0142", "patch-hall", "patch-Hall-2")


def test_a_donor_that_was_not_given_is_refused() -> None:
    layout = a_joined_layout()
    with pytest.raises(NotFound, match="K-0031"):
        write_svgs(layout.plan, layout.job, pieces={}, styles={})


def test_a_missing_style_only_leaves_out_the_rows() -> None:
    layout = a_joined_layout()
    with_rows = texts_of(drawn(layout)[0])
    without = drawings(layout.plan, layout.job, pieces=layout.pieces, styles={})
    assert "pile, rows" in with_rows
    assert "pile" in texts_of(without[0])


def test_drawing_the_same_plan_twice_gives_the_same_text() -> None:
    assert svgs(odd_shapes()) == svgs(odd_shapes())


def test_the_allowance_is_hatched_outside_the_net_only() -> None:
    layout = a_layout().whole(a_patch(), "R-0142", (2 * IN, 3 * IN))
    donor = drawn(layout)[0]
    areas = [mark.rings[0] for mark in donor.marks if isinstance(mark, Area)]
    cut, net = areas[1], areas[2]
    hatch = next(mark for mark in donor.marks if isinstance(mark, Lines) and len(mark.runs) > 20)
    for start, end in hatch.runs:
        x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
        assert inside((x, y), cut)
        assert not inside((x, y), net)


def inside(point: Point, ring: tuple[Point, ...]) -> bool:
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    return min(xs) < point[0] < max(xs) and min(ys) < point[1] < max(ys)


def test_the_knife_s_strokes_are_numbered_in_their_order_with_where_they_stop_and_what_comes_free() -> None:
    layout = a_layout(a_piece(outline=rectangle(84 * IN, 31.5 * IN)))
    layout.whole(a_patch("one", rectangle(37 * IN, 10.5 * IN).ring), "R-0142")
    layout.whole(a_patch("two", rectangle(37 * IN, 27.5 * IN).ring), "R-0142", (42 * IN, 0))
    donor = drawn(layout)[0]
    # Cuts of 39 x 12 1/2 and 39 x 29 1/2 in, from 0 and from 42 in; all that is left hangs together and is worth keeping.
    assert [line.split("\t") for line in donor.key if line.startswith("K")][:5] == [
        ["K1", "across, 12 1/2 in from B, from A to 39 in: stop at 39 in"],
        ["K2", "along, 39 in from A, from B to 12 1/2 in, edge to edge; frees 1"],
        ["K3", "along, 42 in from A, from B to 29 1/2 in: stop at 29 1/2 in"],
        ["K4", "across, 29 1/2 in from B, from 42 in to 81 in: stop at 81 in"],
        ["K5", "along, 81 in from A, from B to 29 1/2 in, edge to edge; frees 2"],
    ]
    assert {"K1", "K2", "K3", "K4", "K5"} <= set(texts_of(donor))
    bars = [mark for mark in donor.marks if isinstance(mark, Lines) and mark.pen is Pen.THICK and mark.dash is Dash.SOLID]
    assert sum(len(mark.runs) for mark in bars if all(math.dist(*run) < 5 for run in mark.runs)) == 3  # K1, K3 and K4 stop inside


def test_a_round_cut_comes_last_and_cuts_are_told_in_the_order_in_which_they_come_free() -> None:
    donor = drawn(odd_shapes())[0]
    numbers = [line.split("\t")[0] for line in donor.key if "\t" in line]
    strokes = [number for number in numbers if number.startswith("K")]
    assert strokes == [f"K{index}" for index in range(1, len(strokes) + 1)]
    (last,) = [line for line in donor.key if line.startswith(f"{strokes[-1]}\t")]
    round_one = next(line for line in donor.key if "round, cut" in line).split("\t")[0]
    assert last.split("\t")[1] == f"round cut {round_one}, by string from its centre; frees {round_one}"
    cuts = [number for number in numbers if number.isdigit()]
    assert cuts[-1] == round_one


def test_each_part_has_an_arrow_with_the_pile_and_the_words_of_its_edges() -> None:
    donor, patch = drawn(a_joined_layout())
    heads = [mark.rings[0] for mark in donor.marks if isinstance(mark, Area) and mark.fill is Fill.INK]
    assert len(heads) >= 4  # two parts, what is left over, and the large one
    assert all(head[0][1] > head[1][1] for head in heads), "the pile lies up the donor"
    assert texts_of(donor).count("wall") == 1
    assert texts_of(donor).count("transition") == 1
    assert texts_of(donor).count("seam") == 6  # two at the joint, and the two long sides of either part
    laid = [mark.rings[0] for mark in patch.marks if isinstance(mark, Area) and mark.fill is Fill.INK]
    assert len(laid) == 3
    assert all(head[0][0] > head[1][0] for head in laid), "a quarter turn clockwise lays it to the right"


def from_the_back(layout: Layout, style: Style | None = None, **others: Any) -> tuple[Drawing, Drawing]:
    """The first donor from the pile side and from the back."""
    (tag,) = layout.pieces
    styles = {"Velder Loop": style or a_style()}
    one, two = (
        donor_picture(layout.plan, tag, pieces=layout.pieces, styles=styles, unit=Unit.IN, paper=Paper(), back=back, **others)
        for back in (False, True)
    )
    return one, two


def test_from_the_back_left_and_right_change_places_and_every_figure_is_still_from_a() -> None:
    layout = a_layout(a_piece(pile_deg=90.0)).whole(a_patch(pile_deg=90.0), "R-0142", (2 * IN, 3 * IN))
    face, back = from_the_back(layout)
    (front_carpet, front_cut), (back_carpet, back_cut) = (
        [box_of(mark.rings[0]) for mark in drawing.marks if isinstance(mark, Area)][:2] for drawing in (face, back)
    )
    assert front_cut[0] - front_carpet[0] == pytest.approx(back_carpet[2] - back_cut[2])
    assert front_cut[1] - front_carpet[1] == pytest.approx(back_cut[1] - back_carpet[1])
    assert back.key[:-1] == face.key[:-1]
    places = {words.text: words.at[0] for words in words_of(back)}
    assert places["A"] > places["2 in"] > places["18 in"]
    assert "BACK UP: mirrored" in texts_of(back) and "PILE UP" in texts_of(face)
    assert "Seen from the BACK, mirrored; A is the right edge here" in back.key[-1]
    heads = [
        [mark.rings[0] for mark in drawing.marks if isinstance(mark, Area) and mark.fill is Fill.INK] for drawing in (face, back)
    ]
    assert all(head[0][0] > head[1][0] for head in heads[0]), "the pile lies to the right"
    assert all(head[0][0] < head[1][0] for head in heads[1]), "seen from the back, to the left"


def test_a_pattern_is_drawn_where_it_comes_again_and_told_in_words() -> None:
    style = replace(a_style(), repeat=Repeat(12 * IN, 18 * IN, 0.5))
    layout = a_layout(replace(a_piece(), motif=(4 * IN, 7 * IN))).whole(a_patch(), "R-0142")
    face, back = from_the_back(layout, style)
    # 40 x 66 in: across at 4, 16, 28 and 40 (on the edge); along at 7 + 18n in the first column, 9 in further in every other.
    crosses = [mark for mark in face.marks if isinstance(mark, Lines) and mark.runs and all(length(run) < 4 for run in mark.runs)]
    points = {tuple(round(sum(axis) / 2, 1) for axis in zip(*run, strict=True)) for mark in crosses for run in mark.runs}
    left, bottom, _, _ = box_of(next(mark for mark in face.marks if isinstance(mark, Area)).rings[0])
    scale = face.scale / IN
    for x, y in ((4, 7), (4, 25), (16, 16), (16, 34), (28, 43)):
        assert any(math.dist((px, py), (left + x / scale, bottom + y / scale)) < 0.2 for px, py in points), (x, y)
    (motif,) = [line for line in face.key if line.startswith("motif")]
    assert motif.startswith(
        "motif\t4 in from A, 7 in from B; repeat 12 in across the pile, 18 in along it, each next one across 9 in further along"
    )
    assert motif in back.key


def length(run: Sequence[Point]) -> float:
    return math.dist(run[0], run[-1])


def test_a_circle_is_told_by_its_centre_and_the_length_of_its_string() -> None:
    layout = a_layout().whole(a_patch("burn", round_outline((0, 0), 7 * IN, outside=True).ring), "R-0142", (3 * IN, 5 * IN))
    donor = drawn(layout)[0]
    (told,) = [line for line in donor.key if line.startswith("1\t")]
    # Net 7 in and 1 in at its seam: 8 in; 3 + 8 and 5 + 8 in from the edges, less what the polygon stands out by.
    assert "round: its centre 11 in from A, 13 in from B; string of 8 in; net radius 7 in" in told
    assert "template" not in told
    assert "K1\tround cut 1, by string from its centre; frees 1" in donor.key
