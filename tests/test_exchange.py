"""Stock, job and answer files: read as the contract says, and refused with every fault in its place."""

import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remnants.errors import BadFile, BadInput, Fault
from remnants.exchange import answer_json, read_answer, read_job, read_stock, stock_json
from remnants.geometry import rectangle
from remnants.geometry.outline import area_mm2
from remnants.model import (
    Colourway,
    Finish,
    Grade,
    Kind,
    Lab,
    Leftover,
    Match,
    Part,
    PassedOver,
    PatchPlan,
    Plan,
    Seam,
    SeamKind,
    Short,
    Show,
    Sight,
    SightKind,
    Style,
    Verdict,
)
from remnants.units import Unit

IN = 25.4

STOCK = """
{"unit": "in",
 "styles": [{"name": "Velder Loop", "construction": "loop", "roll_width": 144,
             "repeat": {"across": 12, "along": 18, "drop": 0.5}, "row": 0.25}],
 "pieces": [{"tag": "R-0142", "kind": "remnant", "style": "Velder Loop", "colour": "Oatmeal", "lot": "4471-B",
             "width": 40, "length": 66, "cutouts": [[[3, 3], [9, 3], [9, 9], [3, 9]]],
             "pile": 0, "motif": [4, 7], "place": "Bay 3", "worn": 1}]}
"""

JOB = """
{"unit": "in", "job": "Alder Court 7", "style": "veldr loop", "colour": "oatmeal", "lot": "4471-B",
 "allowance": {"seam": 1, "wall": 3, "transition": 3},
 "max_parts": 2, "min_part": 6, "turns": [0],
 "patches": [{"name": "hall", "outline": [[0, 0], [38, 0], [38, 14], [0, 14]], "pile": 90,
              "edges": ["seam", "seam", "transition", "seam"], "motif": [2, 5], "count": 1}]}
"""


def a_stock(**changes: Any) -> str:
    """A stock file of one plain piece, with changes to that piece; a change to None leaves the key out."""
    piece = {"tag": "R-1", "kind": "remnant", "style": "Plain", "width": 40, "length": 60, "pile": 0} | changes
    kept = {key: value for key, value in piece.items() if value is not None}
    return json.dumps({"unit": "in", "styles": [{"name": "Plain"}], "pieces": [kept]})


def a_job(*patches: dict[str, Any], **changes: Any) -> str:
    """A job file of one 20 x 10 in patch, or of the patches given."""
    plain = {"name": "hall", "width": 20, "length": 10, "pile": 0}
    return json.dumps({"unit": "in", "patches": [plain | patch for patch in patches or ({},)]} | changes)


def faults_of(read: Any, source: Any) -> dict[str, str]:
    """The refusal's faults: place to sentence."""
    with pytest.raises(BadFile) as caught:
        read(source)
    return {fault.where: fault.what for fault in caught.value.faults}


def test_the_contracts_own_stock_file_is_read() -> None:
    stock = read_stock(STOCK)
    (style,), (piece,) = stock.styles, stock.pieces
    assert style.repeat is not None
    assert (style.roll_width_mm, style.row_mm) == (144 * IN, 0.25 * IN)
    assert (style.repeat.across_mm, style.repeat.along_mm, style.repeat.drop) == pytest.approx((12 * IN, 18 * IN, 0.5))
    assert (piece.tag, piece.kind, piece.colour, piece.lot, piece.place, piece.worn) == (
        "R-0142",
        Kind.REMNANT,
        "Oatmeal",
        "4471-B",
        "Bay 3",
        1,
    )
    assert piece.outline.bounds == pytest.approx((0, 0, 40 * IN, 66 * IN))
    assert piece.outline.usable_area_mm2 == pytest.approx((40 * 66 - 36) * IN**2)
    assert piece.motif == pytest.approx((4 * IN, 7 * IN))


def test_the_contracts_own_job_file_is_read() -> None:
    job = read_job(JOB)
    (patch,) = job.patches
    assert (job.name, job.unit) == ("Alder Court 7", Unit.IN) and job.min_part_mm == pytest.approx(6 * IN)
    assert (job.allowance.seam_mm, job.allowance.wall_mm) == pytest.approx((25.4, 76.2))
    assert (patch.wanted.style, patch.wanted.colour, patch.wanted.lot) == ("veldr loop", "oatmeal", "4471-B")
    assert patch.edges == (Finish.SEAM, Finish.SEAM, Finish.TRANSITION, Finish.SEAM)
    assert (patch.name, patch.pile_deg, patch.max_parts, patch.turns) == ("hall", 90, 2, (0.0,))


def test_lengths_may_carry_their_own_unit() -> None:
    piece = read_stock(a_stock(width="3' 2 1/2\"", length="96.5 cm", motif=["0.1m", 2])).pieces[0]
    assert piece.outline.bounds == pytest.approx((0, 0, 38.5 * IN, 965))
    assert piece.motif == pytest.approx((100, 2 * IN))


@pytest.mark.parametrize("unit", ["mm", "cm", "m", "in", "ft"])
def test_an_unmarked_number_is_in_the_files_unit(unit: str) -> None:
    per_mm = {"mm": 1, "cm": 10, "m": 1000, "in": 25.4, "ft": 304.8}[unit]
    piece = read_stock(json.dumps(json.loads(a_stock(width=2, length=3)) | {"unit": unit})).pieces[0]
    assert piece.outline.bounds == pytest.approx((0, 0, 2 * per_mm, 3 * per_mm))


def test_a_clockwise_patch_keeps_each_finish_on_its_own_edge() -> None:
    # Corners clockwise: left side (wall) first, then top (seam), right (transition), bottom (free).
    corners = [[0, 0], [0, 10], [20, 10], [20, 0]]
    patch = read_job(a_job({"width": None, "length": None, "outline": corners, "edges": ["wall", "seam", "transition", "free"]}))
    (read,) = patch.patches
    assert area_mm2(read.ring) > 0
    middles = {}
    for start, end, finish in zip(read.ring, (*read.ring[1:], read.ring[0]), read.edges, strict=True):
        middles[round((start[0] + end[0]) / 2 / IN, 6), round((start[1] + end[1]) / 2 / IN, 6)] = finish
    assert middles == {(0, 5): Finish.WALL, (10, 10): Finish.SEAM, (20, 5): Finish.TRANSITION, (10, 0): Finish.FREE}


@pytest.mark.parametrize("count", [4, 5])
def test_a_closed_ring_takes_a_finish_for_each_edge_with_or_without_the_closing_one(count: int) -> None:
    corners = [[0, 0], [20, 0], [20, 10], [0, 10], [0, 0]]
    finishes = ["wall", "seam", "free", "transition", "seam"][:count]
    (patch,) = read_job(a_job({"width": None, "length": None, "outline": corners, "edges": finishes})).patches
    assert patch.edges == (Finish.WALL, Finish.SEAM, Finish.FREE, Finish.TRANSITION)


@pytest.mark.parametrize("shape", [{"outline": {"centre": [5, 5], "radius": 4}}, {"centre": [5, 5], "radius": 4}])
def test_a_round_patch_may_only_grow_and_a_round_piece_only_shrink(shape: dict[str, Any]) -> None:
    circle = 3.141592653589793 * (4 * IN) ** 2
    (patch,) = read_job(a_job({"width": None, "length": None, **shape, "edges": "free"})).patches
    (piece,) = read_stock(a_stock(width=None, length=None, **shape)).pieces
    assert circle < area_mm2(patch.ring) < 1.01 * circle
    assert 0.99 * circle < piece.outline.usable_area_mm2 < circle
    assert set(patch.edges) == {Finish.FREE}


def test_a_patch_asked_for_several_times_stands_in_the_job_as_often() -> None:
    job = read_job(a_job({"count": 2}, {"name": "stair"}, {"name": "hall"}))
    assert [patch.name for patch in job.patches] == ["hall (1 of 3)", "hall (2 of 3)", "stair", "hall (3 of 3)"]


def test_what_a_patch_says_wins_over_the_job() -> None:
    job = read_job(a_job({}, {"name": "b", "style": "other", "max_parts": 4, "turns": [0, 180]}, style="velder", max_parts=1))
    first, second = job.patches
    assert (first.wanted.style, first.max_parts, first.turns) == ("velder", 1, (0.0,))
    assert (second.wanted.style, second.max_parts, second.turns) == ("other", 4, (0.0, 180.0))


def test_shade_wear_and_the_lowest_grade_are_read() -> None:
    asked = {
        "lab": [55, 2.5, -3],
        "illuminant": "A/2",
        "worn": 3,
        "room": "den",
        "lowest_grade": "substitute",
        "substitute": True,
    }
    first, second = (patch.wanted for patch in read_job(a_job({}, {"name": "b", "worn": 0, "lab": [1, 2, 3]}, **asked)).patches)
    assert (first.lab, first.worn, first.room) == (Lab(55, 2.5, -3, "A/2"), 3, "den")
    assert (first.lowest_grade, first.substitute) == (Grade.SUBSTITUTE, True)
    assert (second.lab, second.worn, second.room) == (Lab(1, 2, 3), 0, "den")
    text = json.loads(a_stock(lab=[55, 2.5, -3], room="closet"))
    text["styles"][0]["colours"] = [{"name": "Oatmeal", "lab": [60, 1, 2]}, {"name": "Slate"}]
    stock = read_stock(json.dumps(text))
    assert stock.styles[0].colours == (Colourway("Oatmeal", Lab(60, 1, 2)), Colourway("Slate"))
    assert (stock.pieces[0].lab, stock.pieces[0].room) == (Lab(55, 2.5, -3), "closet")
    assert read_stock(json.dumps(stock_json(stock))) == stock


def test_a_style_that_the_file_leaves_out_is_taken_from_those_known_or_made_bare_and_told() -> None:
    notes: list[Fault] = []
    text = a_stock(style="Fell Twist")
    assert [style.name for style in read_stock(text, note=notes.append).styles] == ["Plain", "Fell Twist"]
    assert "'Fell Twist' is not described" in notes[0].what
    known = Style("Fell Twist", row_mm=5.0)
    assert known in read_stock(text, known={"Fell Twist": known}).styles


def test_an_added_key_is_left_alone_but_a_misspelt_one_is_told() -> None:
    notes: list[Fault] = []
    read_stock(a_stock(shelf_label="x", colur="Oatmeal"), note=notes.append)
    read_job(a_job(allowence={"seam": 3}), note=notes.append)
    assert [(note.where, note.what) for note in notes] == [
        ("pieces[0].colur", "this key is not read; is 'colour' meant?"),
        ("allowence", "this key is not read; is 'allowance' meant?"),
    ]


BAD_PIECES: list[tuple[dict[str, Any], str, str]] = [
    ({"width": None, "length": None, "outline": [[0, 0], [9, 9], [9, 0], [0, 9]]}, "outline", "crosses"),
    ({"width": None, "length": None, "outline": [[0, 0], [9, 0], [9, 0], [0, 9]]}, "outline[2]", "no length"),
    ({"width": None, "length": None, "outline": [[0, 0], [9, 0]]}, "outline", "at least three"),
    ({"width": None, "length": None, "outline": [[0, 0], [9, 0], [9]]}, "outline[2][1]", "missing"),
    ({"width": None, "length": None, "outline": 7}, "outline", "give a list"),
    ({"width": None, "length": None, "outline": {"centre": [0, 0], "radius": 0}}, "outline.radius", "no size"),
    ({"width": None, "length": None}, "", "no size"),
    ({"length": None}, "length", "missing"),
    ({"outline": [[0, 0], [9, 0], [9, 9]]}, "", "two ways"),
    ({"width": 0}, "width", "no size"),
    ({"length": -5}, "length", "no size"),
    ({"width": "wide"}, "width", "'wide'"),
    ({"width": True}, "width", "True"),
    ({"width": [1]}, "width", "[1]"),
    ({"cutouts": [[[1, 1], [5, 5], [5, 1], [1, 5]]]}, "cutouts[0]", "crosses"),
    ({"cutouts": [[[-1, -1], [99, -1], [99, 99], [-1, 99]]]}, "cutouts", "nothing that can be used"),
    ({"tag": None}, "tag", "missing"),
    ({"tag": "  "}, "tag", "empty"),
    ({"tag": 7}, "tag", "give a text, not the number 7"),
    ({"kind": None}, "kind", "missing"),
    ({"kind": "rug"}, "kind", "'rug' is none of remnant, offcut, kept or laid"),
    ({"style": None}, "style", "missing"),
    ({"pile": None}, "pile", "missing"),
    ({"pile": "up"}, "pile", "no number"),
    ({"worn": 5}, "worn", "at most 4"),
    ({"worn": 1.5}, "worn", "whole number"),
    ({"motif": [1, 2, 3]}, "motif", "3 values"),
    ({"lab": [101, 0, 0]}, "lab[0]", "no L*"),
    ({"lab": [50, 0]}, "lab[2]", "missing"),
    ({"colour": "half \ud800"}, "colour", "surrogate"),
    ({"tag": "R-1\x00"}, "tag", "holds a character that nobody sees (U+0000, NUL): take it out, or type the text anew"),
    ({"tag": "\u202e1-R"}, "tag", "(U+202E, right-to-left override)"),
    ({"style": "Velder\u200bLoop"}, "style", "(U+200B, zero width space)"),
    ({"place": "Bay 3\nBay 4"}, "place", "(U+000A, a line break)"),
]


@pytest.mark.parametrize(("change", "place", "what"), BAD_PIECES, ids=lambda value: str(value)[:40])
def test_a_bad_piece_is_refused_with_its_place(change: dict[str, Any], place: str, what: str) -> None:
    faults = faults_of(read_stock, a_stock(**change))
    where = f"pieces[0].{place}" if place else "pieces[0]"
    assert what in faults[where]
    assert len(faults) == 1


def test_tags_that_differ_only_in_letter_case_are_one(tmp_path: Path) -> None:
    """On the floor they are the same label."""
    piece = {"kind": "remnant", "style": "Plain", "width": 40, "length": 60, "pile": 0}
    pieces = [piece | {"tag": tag} for tag in ("R-1", "r-1 ", "É-2", "é-2", "R-1")]
    with pytest.raises(BadFile) as refused:
        read_stock(json.dumps({"unit": "in", "pieces": pieces}))
    assert [str(fault) for fault in refused.value.faults] == [
        "pieces[1].tag: pieces[0] has the tag 'r-1' too, written 'R-1', which is the same tag; each piece needs its own",
        "pieces[3].tag: pieces[2] has the tag 'é-2' too, written 'É-2', which is the same tag; each piece needs its own",
        "pieces[4].tag: pieces[0] has the tag 'R-1' too; each piece needs its own",
    ]


def test_a_job_that_was_kept_is_read_whatever_is_refused_today() -> None:
    text = a_job(job="Alder\u200e Court", min_part=0)
    assert read_job(text, kept=True).name == "Alder\u200e Court"
    with pytest.raises(BadFile):
        read_job(text)


BAD_JOBS: list[tuple[str, str, str]] = [
    (a_job({"edges": ["seam", "wall"]}), "patches[0].edges", "2 finishes for 4 edges"),
    (a_job({"edges": "glue"}), "patches[0].edges", "'glue' is none of"),
    (a_job({"edges": ["seam", "seam", "seam", "glue"]}), "patches[0].edges[3]", "'glue' is none of"),
    (a_job({"count": 0}), "patches[0].count", "at least 1"),
    (a_job({"pile": None}), "patches[0].pile", "no number"),
    (a_job({"turns": []}), "patches[0].turns", "0 values"),
    (a_job(lowest_grade="any"), "lowest_grade", "'any' is none of same-lot"),
    (a_job({"substitute": 1}), "patches[0].substitute", "neither true nor false"),
    (a_job({"substitute": "yes"}), "patches[0].substitute", "'yes' is a text here: give true or false, without quotes"),
    (a_job(max_parts=5), "max_parts", "at most 4"),
    (a_job(unit="furlong"), "unit", "'furlong' is none of mm, cm, m, in or ft"),
    (a_job(unit=None), "unit", "none of"),
    (a_job(allowance={"seam": -1}), "allowance.seam", "zero or more"),
    (a_job(allowance=3), "allowance", "give an object"),
    (a_job(min_part=-1), "min_part", "zero or more"),
    (a_job(patches=[]), "patches", "no patches"),
    (a_job(patches=None), "patches", "give a list, not null"),
    ('{"unit": "in"}', "patches", "missing"),
    ("[1]", "", "a job file is a JSON object"),
]


@pytest.mark.parametrize(("text", "place", "what"), BAD_JOBS)
def test_a_bad_job_is_refused_with_its_place(text: str, place: str, what: str) -> None:
    faults = faults_of(read_job, text)
    assert what in faults[place]
    assert len(faults) == 1


def test_all_faults_of_a_file_are_told_at_once() -> None:
    bad = json.loads(a_stock())
    bad["unit"] = "leagues"
    bad["styles"] += [{"name": "Plain"}, {"construction": "knitted", "name": "K"}]
    good = bad["pieces"][0]
    bad["pieces"] += [good, good | {"tag": "R-2", "width": -1}, good | {"tag": "R-3", "pile": "n"}, 7]
    assert set(faults_of(read_stock, json.dumps(bad))) == {
        "unit",
        "styles[1].name",
        "styles[2].construction",
        "pieces[1].tag",
        "pieces[2].width",
        "pieces[3].pile",
        "pieces[4]",
    }


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("{", "line 1, column 2"),
        ("", "line 1, column 1"),
        ('{"unit": "in",\n "pieces": [}', "line 2, column 13"),
        ('{"unit": "in", "unit": "ft"}', "the key 'unit' stands twice"),
        ("[" * 100_000, "nested too deep"),
        ('{"unit": ' + "9" * 10_000 + "}", "not JSON that can be read"),
    ],
    ids=lambda value: value[:24],
)
def test_what_is_not_json_is_refused(text: str, what: str) -> None:
    assert what in faults_of(read_stock, text)[""]
    assert what in faults_of(read_job, text)[""]


def test_a_key_given_twice_is_found_in_a_large_file_too() -> None:
    """Looking for each key among all others would go on for a quarter of an hour."""
    keys = ",".join(f'"key {number}": 1' for number in range(300_000))
    assert "the key 'key 299999' stands twice" in faults_of(read_stock, f'{{{keys}, "key 299999": 2}}')[""]


def test_each_figure_that_is_none_is_refused_in_its_place() -> None:
    text = '{"unit": NaN, "b": [1, {"c": [2, -Infinity]}], "patches": [{"pile": Infinity}]}'
    for read in (read_stock, read_job):
        assert faults_of(read, text) == {
            "unit": "NaN is no figure; give a number",
            "b[1].c[1]": "-Infinity is no figure; give a number",
            "patches[0].pile": "Infinity is no figure; give a number",
        }


def test_faults_of_a_file_begin_with_its_name(tmp_path: Path) -> None:
    path = tmp_path / "job.json"
    path.write_text(a_job({"edges": "glue"}, allowance={"seam": -1}))
    assert set(faults_of(read_job, path)) == {f"{path}: patches[0].edges", f"{path}: allowance.seam"}


@pytest.mark.parametrize(
    ("corners", "told"),
    [
        ([[0, 0], [9, 9], [9, 0], [0, 9]], "the edge from corner 0 to 1 meets the edge from corner 2 to 3"),
        ([[0, 0], [9, 0], [9, 9], [4, 0], [0, 9]], "the edge from corner 0 to 1 meets the edge from corner 2 to 3"),
        ([[0, 0], [9, 0], [4, 0], [0, 9]], "the edge from corner 0 to 1 meets the edge from corner 1 to 2"),
    ],
    ids=["crossing", "touching", "turning back"],
)
def test_the_edges_that_meet_are_named_by_their_corners(corners: list[list[float]], told: str) -> None:
    fault = faults_of(read_stock, a_stock(width=None, length=None, outline=corners))["pieces[0].outline"]
    assert told in fault


def test_a_figure_too_large_for_a_float_is_refused_in_its_place() -> None:
    assert set(faults_of(read_stock, a_stock().replace("40", "1e999"))) == {"pieces[0].width"}


def test_files_that_cannot_be_read_are_named(tmp_path: Path) -> None:
    latin = tmp_path / "latin.json"
    latin.write_bytes(a_stock().encode() + b"\n\xe9")
    assert "no such file" in faults_of(read_stock, tmp_path / "none.json")[str(tmp_path / "none.json")]
    assert "folder" in faults_of(read_stock, tmp_path)[str(tmp_path)]
    assert "byte 0xe9 in line 2" in faults_of(read_stock, latin)[str(latin)]
    marked = tmp_path / "marked.json"
    marked.write_bytes(b"\xef\xbb\xbf" + a_stock().encode())
    assert read_stock(marked).pieces[0].tag == "R-1"


JUNK = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(["unit", "pieces", "tag", "pile", "x"]), inner),
    max_leaves=12,
)


@given(JUNK, st.sampled_from(["tag", "kind", "width", "outline", "cutouts", "pile", "motif", "worn", "lot", "centre"]))
def test_no_value_under_any_key_escapes_as_anything_but_a_refusal(junk: Any, key: str) -> None:
    raw = json.loads(a_stock())
    raw["pieces"][0][key] = junk
    for text in (json.dumps(raw), json.dumps(junk)):
        try:
            read_stock(text)
        except BadFile as error:
            assert error.faults
            assert all(fault.what for fault in error.faults)


@pytest.mark.parametrize("unit", Unit)
def test_stock_written_and_read_back_is_the_same(unit: Unit) -> None:
    raw = json.loads(STOCK)
    raw["pieces"].append({"tag": "L", "kind": "laid", "style": "Velder Loop", "pile": 37.5, "outline": [[0, 0], [9, 0], [0, 7]]})
    stock = read_stock(json.dumps(raw))
    again = read_stock(json.dumps(stock_json(stock.__class__(stock.styles, stock.pieces, unit))))
    for one, other in zip(stock.pieces, again.pieces, strict=True):
        assert (one.tag, one.kind, one.colour, one.worn, one.pile_deg) == (
            other.tag,
            other.kind,
            other.colour,
            other.worn,
            other.pile_deg,
        )
        for a, b in zip(one.outline.ring, other.outline.ring, strict=True):
            assert a == pytest.approx(b, abs=0.001)
        assert one.outline.usable_area_mm2 == pytest.approx(other.outline.usable_area_mm2, rel=1e-5)


def a_plan() -> Plan:
    """A joined hall, in inches."""
    net, other = rectangle(10 * IN, 14 * IN).ring, rectangle(5 * IN, 14 * IN, (10 * IN, 0)).ring
    parts = (Part("R-1", net, net, 90.0, (254.0, -25.4), ("seam",) * 4), Part("R-2", other, other, 0.0, (0.0, 0.0)))
    seam = Seam(SeamKind.CROSS, ((254.0, 0.0), (254.0, 14 * IN)), 14 * IN, (0, 1), Show.CLEARLY, "It shows.")
    patch = PatchPlan("hall", Verdict.JOINED, parts, (seam,), "Why.", Match(Grade.OTHER_LOT, 1, "Another lot.", 1.25))
    leftover = Leftover("R-1", rectangle(254, 508), (254.0, 508.0), (0.0, 0.0), usable=False)
    return Plan(
        job="Alder Court 7",
        verdict=Verdict.PARTLY,
        patches=(patch, PatchPlan("den", Verdict.NONE)),
        leftovers=(leftover,),
        passed_over=(PassedOver("R-9", '11 1/2" short along the pile'),),
        short=(Short("den", "nothing is wide enough", "R-9", 50.8),),
        unit=Unit.IN,
        more_passed=12,
    )


def test_an_answer_speaks_the_jobs_unit_and_is_read_back_the_same() -> None:
    answer = answer_json(a_plan())
    part = answer["patches"][0]["parts"][0]
    assert (part["turn"], part["shift"]) == (90, [10, -1])
    assert part["net"] == [[0, 0], [10, 0], [10, 14], [0, 14]]
    assert answer["patches"][0]["seams"][0]["line"] == [[10, 0], [10, 14]]
    assert answer["leftovers"][0]["largest"] == {"width": 10, "length": 20, "at": [0, 0]}
    assert answer["short"] == [{"patch": "den", "reason": "nothing is wide enough", "nearest": "R-9", "missing": 2}]
    again = read_answer(json.dumps(answer))
    assert answer_json(again) == answer
    assert (answer["passed_over_more"], again.more_passed) == (12, 12)
    assert again.patches[0].match == a_plan().patches[0].match


def test_which_seam_runs_between_two_parts_is_a_value_and_files_from_before_it_are_read_by_the_sentence() -> None:
    line = ((0.0, 0.0), (254.0, 0.0))
    sights = (
        Sight(SightKind.SHADE, "hall", 0, 1, "Seam inside the patch is not what this is"),
        Sight(SightKind.SEAM, "hall", 1, 1, "Seam with the floor, 10 in: hard to find.", line),
        Sight(SightKind.SEAM, "hall", 1, 1, "Seam inside the patch, 10 in: hard to find.", line, inside=True),
    )
    told = answer_json(replace(a_plan(), sights=sights))
    assert [sight.get("inside") for sight in told["sights"]] == [None, False, True]
    told["sights"][1]["sentence"], told["sights"][2]["sentence"] = "anything", "else"
    assert [sight.inside for sight in read_answer(json.dumps(told)).sights] == [False, False, True]
    before = answer_json(replace(a_plan(), sights=sights[1:]))
    for sight in before["sights"]:
        del sight["inside"]
    assert [sight.inside for sight in read_answer(json.dumps(before)).sights] == [False, True]


AT_ONCE = """
import sys
from concurrent.futures import ThreadPoolExecutor
from remnants.exchange import read_stock
with ThreadPoolExecutor(16) as readers:
    stocks = list(readers.map(read_stock, [sys.argv[1]] * 16))
assert len(stocks) == 16 and all(stock.pieces == stocks[0].pieces for stock in stocks)
"""


def test_the_first_stocks_of_a_process_can_be_read_at_the_same_time() -> None:
    done = subprocess.run([sys.executable, "-c", AT_ONCE, STOCK], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize(
    "told", [{"radius": 7}, {"diameter": 14}, {"centre": [7, 7], "diameter": 14}, {"outline": {"diameter": "14 in"}}]
)
def test_a_circle_is_told_by_its_radius_or_by_how_far_it_is_across(told: dict[str, Any]) -> None:
    job = {"unit": "in", "patches": [{"name": "burn", "pile": 0, **told}]}
    usual = {"unit": "in", "patches": [{"name": "burn", "pile": 0, "centre": [7, 7], "radius": 7}]}
    assert read_job(job).patches[0].ring == read_job(usual).patches[0].ring


def test_a_circle_is_not_told_twice() -> None:
    with pytest.raises(BadInput, match="give one of them"):
        read_job({"unit": "in", "patches": [{"name": "burn", "pile": 0, "radius": 7, "diameter": 14}]})
    with pytest.raises(BadInput, match="radius: this is missing"):
        read_job({"unit": "in", "patches": [{"name": "burn", "pile": 0, "centre": [7, 7]}]})
