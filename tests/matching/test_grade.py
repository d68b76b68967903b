"""Which pieces match what a job asks for, and what is said about them."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from remnants.errors import BadInput
from remnants.geometry.outline import rectangle
from remnants.matching.grade import Graded, grade_pieces
from remnants.model import Colourway, Construction, Finish, Grade, Job, Kind, Lab, Patch, Piece, Style, Wanted

STYLES = {
    name: Style(name, construction)
    for name, construction in (
        ("Velder Loop", Construction.LOOP),
        ("Velder Twist", Construction.CUT),
        ("Marsh Loop", Construction.LOOP),
    )
}
OATMEAL = Lab(72.0, 2.0, 14.0)


def a_piece(tag: str = "R-1", style: str = "Velder Loop", colour: str = "Oatmeal", lot: str = "4471-B", **more: Any) -> Piece:
    piece = Piece(tag, Kind.REMNANT, style, colour, lot, rectangle(1000, 2000))
    return replace(piece, **more)


def graded(wanted: Wanted, *pieces: Piece, styles: Mapping[str, Style] = STYLES) -> Graded:
    patch = Patch("hall", ((0, 0), (500, 0), (500, 500), (0, 500)), 0.0, (Finish.SEAM,) * 4, wanted)
    return grade_pieces(Job("a job", (patch,)), pieces, styles)[0]


def grade_of(wanted: Wanted, piece: Piece, **more: Mapping[str, Style]) -> tuple[Grade, str]:
    found = graded(replace(wanted, substitute=wanted.substitute), piece, **more)
    if found.candidates:
        return found.candidates[0].match.grade, found.candidates[0].match.sentence
    return Grade.NO_MATCH, found.refused[0].reason


ASKED = Wanted("veldr loop", "oatmeal", "4471-B")


def test_a_misspelled_style_is_taken_and_the_answer_says_so() -> None:
    grade, sentence = grade_of(ASKED, a_piece())
    assert grade is Grade.SAME_LOT
    assert "style: taken as 'Velder Loop' (1 letter differs)" in sentence


def test_a_near_style_is_no_match() -> None:
    for typed in ("velder loop", "veldr loop", "vldr lp", "velderloop"):
        grade, sentence = grade_of(Wanted(typed), a_piece(style="Velder Twist"))
        assert grade is Grade.NO_MATCH
        assert "another style ('Velder Twist', asked 'Velder Loop')" in sentence


def test_a_style_that_is_not_there_names_the_nearest() -> None:
    found = graded(Wanted("velder plush"), a_piece())
    assert found.candidates == ()
    assert "no style 'velder plush' in stock" in found.refusal
    assert "'Velder Loop'" in found.refusal
    assert found.refused[0].reason == found.refusal


def test_a_style_that_could_be_two_is_neither() -> None:
    found = graded(Wanted("velder"), a_piece(), a_piece("R-2", "Velder Twist"))
    assert found.candidates == ()
    assert found.refusal == "style 'velder' could be 'Velder Loop' or 'Velder Twist': type more of the name"


def test_another_lot_is_accepted_with_a_plain_warning_unless_forbidden() -> None:
    other = a_piece(lot="4502-A")
    grade, sentence = grade_of(ASKED, other)
    assert grade is Grade.OTHER_LOT
    assert "lot 4502-A instead of 4471-B: dye lots differ" in sentence
    assert grade_of(replace(ASKED, lowest_grade=Grade.SAME_LOT), other)[0] is Grade.NO_MATCH


@pytest.mark.parametrize(("asked", "lot", "same"), [
    ("4471-B", "4471 b", True), ("4471-8", "4471-B", True), ("44l1-O", "4411-0", True), ("S12", "512", True),
    ("4471-B", "4472-B", False), ("4471-B", "4471", False), ("4471-B", "", False),
])  # fmt: skip
def test_lots_are_the_same_only_when_read_the_same(asked: str, lot: str, same: bool) -> None:
    other = Grade.OTHER_LOT if lot else Grade.LOT_NOT_KNOWN
    assert grade_of(replace(ASKED, lot=asked), a_piece(lot=lot))[0] is (Grade.SAME_LOT if same else other)


def test_a_lot_that_is_there_as_written_is_not_confused_with_one_that_reads_alike() -> None:
    found = graded(replace(ASKED, lot="4471-8"), a_piece("R-1", lot="4471-B"), a_piece("R-2", lot="4471-8"))
    assert [(each.piece.tag, each.match.grade) for each in found.candidates] == [
        ("R-2", Grade.SAME_LOT), ("R-1", Grade.OTHER_LOT)]  # fmt: skip


def test_an_empty_wish_asks_for_any() -> None:
    found = graded(Wanted(), a_piece(), a_piece("R-2", "Velder Twist", "Slate"))
    assert [each.match.grade for each in found.candidates] == [Grade.LOT_NOT_KNOWN, Grade.LOT_NOT_KNOWN]


def test_another_colour_passes_only_when_measured_close() -> None:
    sand = a_piece(colour="Sand")
    assert grade_of(ASKED, sand)[0] is Grade.NO_MATCH
    near = replace(sand, lab=Lab(72.5, 2.2, 14.6))
    grade, sentence = grade_of(
        replace(ASKED, lab=OATMEAL),
        near,
    )
    assert grade is Grade.CLOSE_SHADE
    assert "shade measured close (ΔE00 0.6" in sentence
    far = replace(sand, lab=Lab(60.0, 8.0, 20.0))
    assert "shade measured apart" in grade_of(replace(ASKED, lab=OATMEAL), far)[1]
    other_light = replace(near, lab=Lab(72.5, 2.2, 14.6, "A/10"))
    assert grade_of(replace(ASKED, lab=OATMEAL), other_light)[0] is Grade.NO_MATCH


def test_the_colourways_shade_stands_in_for_the_pieces() -> None:
    loop = replace(STYLES["Velder Loop"], colours=(Colourway("Oatmeal", OATMEAL), Colourway("Sand", Lab(72.4, 2.1, 14.2))))
    assert grade_of(ASKED, a_piece(colour="Sand"), styles={**STYLES, "Velder Loop": loop})[0] is Grade.CLOSE_SHADE


def test_a_substitute_is_taken_only_where_allowed_and_of_the_same_construction() -> None:
    wanted = replace(ASKED, lab=OATMEAL)
    marsh = a_piece(style="Marsh Loop", colour="Fog", lab=Lab(72.0, 2.0, 16.0))
    stock = a_piece()
    assert [each.piece.tag for each in graded(wanted, stock, replace(marsh, tag="R-2")).candidates] == ["R-1"]
    found = graded(
        replace(wanted, substitute=True), stock, replace(marsh, tag="R-2"), replace(marsh, tag="R-3", style="Velder Twist")
    )
    assert [each.match.grade for each in found.candidates] == [Grade.SAME_LOT, Grade.SUBSTITUTE]
    assert "construction cut, asked loop" in found.refused[0].reason


def test_colour_names_stand_in_for_a_measurement_and_the_answer_says_so() -> None:
    """By the list, oat is near oatmeal and charcoal is not."""
    wanted = replace(ASKED, substitute=True)
    oat, dark = a_piece("R-2", "Marsh Loop", "Oat"), a_piece("R-3", "Marsh Loop", "Charcoal")
    found = graded(wanted, a_piece(), oat, dark)
    assert [each.piece.tag for each in found.candidates] == ["R-1", "R-2"]
    assert "by the colours' names, not measured" in found.candidates[1].match.sentence
    assert "shade apart" in found.refused[0].reason


def test_a_colour_a_letter_off_is_believed_within_one_lot_only() -> None:
    assert grade_of(ASKED, a_piece(colour="Oatmeel"))[0] is Grade.SAME_LOT
    stock = (a_piece(), a_piece("R-2", colour="Oatmeel", lot="9"))
    assert [each.piece.tag for each in graded(ASKED, *stock).candidates] == ["R-1"]


def test_a_worn_hall_prefers_worn_carpet_and_carpet_from_the_same_room() -> None:
    wanted = replace(ASKED, worn=2, room="hall closet")
    new, worn = a_piece("R-1"), a_piece("R-2", worn=2)
    closet = a_piece("R-3", kind=Kind.LAID, worn=1, room="Hall closet")
    found = graded(wanted, new, worn, closet)
    assert [(each.piece.tag, each.match.wear_steps) for each in found.candidates] == [("R-2", 0), ("R-3", 0), ("R-1", 2)]
    assert "piece new, room worn: 2 steps newer, will show" in found.candidates[-1].match.sentence


def test_styles_written_by_many_hands_are_one() -> None:
    many = {**STYLES, "Velder Lp": Style("Velder Lp"), "velderloop": Style("velderloop")}
    stock = [a_piece(f"R-{style}", style) for style in ("VELDER LOOP", "Velder Lp", "velderloop", "Vldr Loop")]
    assert len(graded(Wanted("Velder Loop"), *stock, styles=many).candidates) == 4


def test_a_style_a_letter_off_is_believed_within_one_lot_only() -> None:
    many = {**STYLES, "Veldee Loop": Style("Veldee Loop")}
    same, other = a_piece("R-2", "Veldee Loop"), a_piece("R-3", "Veldee Loop", lot="9")
    found = graded(replace(ASKED, style="Velder Loop"), a_piece(), same, other, styles=many)
    assert [each.piece.tag for each in found.candidates] == ["R-1", "R-2"]
    assert "same style (written 'Veldee Loop')" in found.candidates[1].match.sentence
    assert "another style ('Veldee Loop', asked 'Velder Loop')" in found.refused[0].reason


@pytest.mark.parametrize("typed", ["x'; DROP TABLE pieces; --", '"loop" OR *', "%", "\x00", "🧶"])
def test_words_of_another_language_find_nothing(typed: str) -> None:
    assert graded(Wanted(typed), a_piece()).candidates == ()


def test_ten_thousand_characters_are_refused() -> None:
    with pytest.raises(BadInput, match="10,000 characters"):
        graded(Wanted("x" * 10_000), a_piece())


@pytest.mark.parametrize("lab", [(-1, 0, 0), (101, 0, 0), (float("nan"), 0, 0), (50, 200, 0), (50, 0, float("inf"))])
def test_a_colour_that_cannot_be_is_refused(lab: tuple[float, float, float]) -> None:
    with pytest.raises(BadInput):
        Lab(*lab)


def house_grades(*pieces: Piece, lot: str = "", lowest: Grade | None = None) -> dict[str, tuple[Grade, str]]:
    """Grades of what matches, for a job at Alder Court 7 that tells no lot unless one is given."""
    wanted = Wanted("Velder Loop", "Oatmeal", lot, lowest_grade=lowest)
    patch = Patch("hall", rectangle(300.0, 300.0).ring, 0.0, (Finish.SEAM,) * 4, wanted)
    job = Job("Alder Court 7, hall", (patch,))
    (found,) = grade_pieces(job, pieces, {"Velder Loop": Style("Velder Loop")})
    return {each.piece.tag: (each.match.grade, each.match.sentence) for each in found.candidates}


CLOSET = a_piece("L-1", kind=Kind.LAID, place="Alder Court 7, closet", lot="7703")


def test_a_lot_that_nobody_told_is_not_known() -> None:
    grade, sentence = house_grades(a_piece("R-1", lot="7703"))["R-1"]
    assert grade is Grade.LOT_NOT_KNOWN and "lot not known: the job tells none" in sentence and "same lot" not in sentence
    grade, sentence = house_grades(a_piece("R-1", lot=""), lot="7703")["R-1"]
    assert grade is Grade.LOT_NOT_KNOWN and "lot not known: the piece tells none" in sentence


def test_the_lot_of_this_houses_carpet_is_taken_for_the_rooms_and_told_as_this_houses() -> None:
    found = house_grades(CLOSET, a_piece("R-1", lot="7703"), a_piece("R-2", lot="7710"), a_piece("R-3", lot=""))
    assert {tag: grade for tag, (grade, _) in found.items()} == {
        "L-1": Grade.THIS_HOUSE, "R-1": Grade.THIS_HOUSE, "R-2": Grade.OTHER_LOT, "R-3": Grade.LOT_NOT_KNOWN,
    }  # fmt: skip
    assert "this house's lot 7703" in found["R-1"][1] and "same lot" not in found["R-1"][1]
    assert "lot 7710 instead of this house's 7703" in found["R-2"][1]


@pytest.mark.parametrize(
    "beside",
    [
        a_piece("L-2", kind=Kind.LAID, place="Alder Court 7, landing", lot="7710"),  # two lots in the house
        a_piece("K-9", kind=Kind.KEPT, place="attic", lot="7710"),  # taken for this house's
    ],
)
def test_two_lots_in_a_house_tell_nothing_of_the_room(beside: Piece) -> None:
    assert house_grades(CLOSET, beside, a_piece("R-1", lot="7703"))["R-1"][0] is Grade.LOT_NOT_KNOWN


def test_carpet_of_another_house_style_or_colour_tells_nothing_of_the_room() -> None:
    for place, colour in (("Finch Row 12, closet", "Oatmeal"), ("Alder Court 7, closet", "Slate")):
        other = a_piece("L-2", kind=Kind.LAID, place=place, lot="7710", colour=colour)
        assert house_grades(CLOSET, other, a_piece("R-1", lot="7703"))["R-1"][0] is Grade.THIS_HOUSE
        assert house_grades(other, a_piece("R-1", lot="7710"))["R-1"][0] is Grade.LOT_NOT_KNOWN


def test_a_job_that_tells_no_lot_and_wants_the_same_takes_what_comes_nearest() -> None:
    assert "R-1" in house_grades(a_piece("R-1", lot="7703"), lowest=Grade.SAME_LOT)
    found = house_grades(CLOSET, a_piece("R-1", lot="7703"), a_piece("R-2", lot=""), lowest=Grade.SAME_LOT)
    assert set(found) == {"L-1", "R-1"}
