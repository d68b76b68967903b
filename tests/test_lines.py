"""Spreadsheets as shops really have them, and as we write them."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remnants.errors import BadFile, BadInput
from remnants.exchange.headings import FIELDS, guess_headings
from remnants.exchange.lines import Lines, pieces_in
from remnants.exchange.lines_text import lines_text, rows_text
from remnants.exchange.sheet import read_sheet
from remnants.geometry import outline_of
from remnants.marks import unseen
from remnants.model import Kind, Lab, Piece
from remnants.model.attributes import PLAIN, Value
from remnants.model.money import Money
from remnants.model.piece import MOST_WORN, WORN_WORDS
from remnants.units import Unit
from tests.stock_values import IN, a_piece


def read(tmp_path: Path, text: str | bytes, unit: Unit = Unit.IN, **told: str) -> Lines:
    path = tmp_path / "racks.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return pieces_in(read_sheet(path, told), unit=unit, new_tag=lambda kind: f"new {kind.value}")


def fields(*written: str) -> list[str]:
    return [heading.field for heading in guess_headings(written)]


@pytest.mark.parametrize(
    ("written", "field"),
    [
        ("Dye Lot #", "lot"),
        ("DYE-LOT NO.", "lot"),
        ("Batch", "lot"),
        ("Color", "colour"),
        ("Colr", "colour"),
        ("STYLE NAME", "style"),
        ("Carpet Style", "style"),
        ("Wdth", "width"),
        ("Lenght", "length"),
        ("Rack", "place"),
        ("Locaton", "place"),
        ("Piece No", "tag"),
        ("Ref No", "tag"),
        ("W x L", "size"),
        ("Supplier", "supplier"),
        ("Sold to", ""),
        ("Price / yd", ""),
    ],
)
def test_headings_are_known_however_they_are_spelled(written: str, field: str) -> None:
    assert fields(written) == [field]


def test_every_meaning_is_known_by_its_own_name() -> None:
    assert fields(*FIELDS) == list(FIELDS)


@pytest.mark.parametrize("written", ["Width (cm)", "width_cm", "WIDTH [CM]", "Width in cm", "width cm"])
def test_a_heading_may_name_its_unit(written: str) -> None:
    (heading,) = guess_headings([written])
    assert (heading.field, heading.unit, heading.guessed) == ("width", Unit.CM, False)


def test_of_two_columns_for_one_thing_the_surer_is_read() -> None:
    assert fields("Colr", "Colour", "Color") == ["", "colour", ""]
    with pytest.raises(BadInput, match="no column is headed 'Ref'"):
        guess_headings(["Tag"], {"Ref": "tag"})
    with pytest.raises(BadInput, match="'label of it' is nothing"):
        guess_headings(["Tag"], {"Tag": "label of it"})


def test_mixed_units_and_ways_to_give_a_size(tmp_path: Path) -> None:
    text = (
        "tag;style;width (cm);length;unit;pile;kind\n"
        "a;Velder;96,5;3' 2 1/2\";;up;Roll end\n"
        "b;Velder;120;200;;right;off-cut\n"
        "c;Velder;1.2 m;7 1/2;ft;;\n"
    )
    a, b, c = read(tmp_path, text, Unit.MM).pieces
    assert a.outline.bounds == pytest.approx((0, 0, 965, 38.5 * IN))
    assert b.outline.bounds == pytest.approx((0, 0, 1200, 200))
    assert c.outline.bounds == pytest.approx((0, 0, 1200, 7.5 * 12 * IN))
    assert [(piece.kind, piece.pile_deg) for piece in (a, b, c)] == [(Kind.REMNANT, 0), (Kind.OFFCUT, 90), (Kind.REMNANT, 0)]
    (sized,) = read(tmp_path, "tag,style,size\nd,Velder,40 x 5 ft 6 in\n").pieces
    assert sized.outline.bounds == pytest.approx((0, 0, 40 * IN, 66 * IN))


@pytest.mark.parametrize(("size", "length_mm"), [("40 BY 66", 66 * IN), ("40×5'6\"", 66 * IN), ("40 * 66 cm", 660)])
def test_a_size_in_one_cell_is_read_however_its_sides_are_parted(tmp_path: Path, size: str, length_mm: float) -> None:
    cell = size.replace('"', '""')
    (piece,) = read(tmp_path, f'tag,style,size\nd,Velder,"{cell}"\n').pieces
    assert piece.outline.bounds == pytest.approx((0, 0, 40 * IN, length_mm))


@pytest.mark.parametrize("size", ["4{}", "4{}5", "4 x{}", "{}x 5"])
def test_blanks_without_end_are_passed_over_in_sizes_and_headings(tmp_path: Path, size: str) -> None:
    """A pattern that tries every way to part them would not come back in a working day."""
    blanks = " " * 100_000
    lines = read(tmp_path, f'tag,style,size,"note {"(" * 100_000}","({blanks}cm"\na,Velder,"{size.format(blanks)}",x,y\n')
    (fault,) = lines.bad[0].faults
    assert fault.where == 'row 2, column "size"'
    assert fault.what.endswith("is no size: write width x length, such as 40 x 66")
    assert len(str(fault)) < 200


def test_a_cell_without_end_is_told_with_its_row(tmp_path: Path) -> None:
    """Most are no long text, but a quotation mark that was never closed."""
    sheet = 'tag,style,width,length,note\na,Velder,4,5,"one\ntwo"\nb,Velder,4,5,{}\n'
    told = "racks.csv: row 3: a cell of more than 131,072 characters; shorten it, or close a quotation mark that is left open"
    with pytest.raises(BadFile, match=told):
        read(tmp_path, sheet.format("x" * 140_000))
    assert len(read(tmp_path, sheet.format("x" * 131_072)).pieces) == 2


def test_a_quotation_mark_that_is_left_open_takes_no_rows_along_in_silence(tmp_path: Path) -> None:
    told = "racks.csv: row 2: a quotation mark is opened and never closed; close it, or take it away"
    with pytest.raises(BadFile, match=told):
        read(tmp_path, 'tag,style,width,length,place\na,Velder,4,5,"Bay 3\nb,Velder,4,5,Bay 4\n')


def test_what_nobody_sees_is_taken_out_of_cells_and_told(tmp_path: Path) -> None:
    """Cells that were copied from a page bring marks of direction and blanks of no width along."""
    text = (
        '\ufeffTag,Style,W,L,Bay,Pile\n\u200eR-1,Vel\u200bder,4,5,"3\nleft",0\nR-2,Velder,4,5,\u200b,0\nr-1\x00,Velder,4,5,,0\n'
    )
    lines = read(tmp_path, text)
    assert [(piece.tag, piece.style, piece.place) for piece in lines.pieces] == [
        ("R-1", "Velder", "3 left"),
        ("R-2", "Velder", ""),
    ]
    assert [str(note) for note in lines.notes] == [
        'row 2, column "Tag": a character that nobody sees (U+200E, left-to-right mark) is left out',
        'row 2, column "Style": a character that nobody sees (U+200B, zero width space) is left out',
        'row 2, column "Bay": a character that nobody sees (U+000A, a line break) is left out',
        'row 3, column "Bay": a character that nobody sees (U+200B, zero width space) is left out',
        'row 4, column "Tag": a character that nobody sees (U+0000, NUL) is left out',
    ]
    ((fault,),) = [row.faults for row in lines.bad]
    told = "row 2 has the tag 'r-1' too, written 'R-1', which is the same tag; each piece needs its own"
    assert str(fault) == f'row 4, column "Tag": {told}'


def test_what_is_wrong_with_the_whole_row_is_told_of_no_column(tmp_path: Path) -> None:
    """Not of a column that is not read."""
    ((fault,),) = [row.faults for row in read(tmp_path, "remarks,tag,style\nDock,a,Velder\n").bad]
    assert fault.where == "row 2"


@pytest.mark.parametrize("step", range(MOST_WORN + 1))
def test_wear_is_read_in_the_words_that_are_printed_of_it(tmp_path: Path, step: int) -> None:
    words = WORN_WORDS[step]
    rows = "".join(f"{tag},Velder,4,5,{wear}\n" for tag, wear in (("a", words), ("b", words.title()), ("c", step)))
    pieces = read(tmp_path, f"tag,style,width,length,worn\n{rows}").pieces
    assert [WORN_WORDS[piece.worn] for piece in pieces] == [words] * 3


def test_wear_in_other_words_is_asked_for_in_ours(tmp_path: Path) -> None:
    as_new, shabby = "Velder,4,5,as new", "Velder,4,5,shabby"
    lines = read(tmp_path, f"style,width,length,worn\n{as_new}\n{shabby}\n")
    assert [piece.worn for piece in lines.pieces] == [0]
    told = "'shabby' is no wear: give new, hardly worn, worn, clearly worn, heavily worn, or 0 to 4"
    assert [str(fault) for fault in lines.bad[0].faults] == [f'row 3, column "worn": {told}']


def test_a_second_motif_point_is_not_dropped(tmp_path: Path) -> None:
    (bad,) = read(tmp_path, 'style,width,length,motif\nVelder,4,5,"1,2 3,4"\n').bad
    assert [str(fault) for fault in bad.faults] == ['row 2, column "motif": 4 values are given where 2 are needed']


def test_a_piece_without_a_tag_gets_a_new_one(tmp_path: Path) -> None:
    pieces = read(tmp_path, "style,width,length,kind\nVelder,4,5,laid\nVelder,4,5,\n").pieces
    assert [piece.tag for piece in pieces] == ["new laid", "new remnant"]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_encodings_that_spreadsheets_save(tmp_path: Path, encoding: str) -> None:
    (piece,) = read(tmp_path, "style\twidth\tlength\tcolour\nVelder\t4\t5\tÉcru\n".encode(encoding)).pieces
    assert piece.colour == "Écru"


def test_every_bad_row_is_told_with_row_and_column(tmp_path: Path) -> None:
    text = "Tag,Style,Wide,Long\na,V,4,5\nb,,x,5\na,V,4,5\nc,V,4,0\n\nd,V,4,5,6,7\n"
    lines = read(tmp_path, text)
    assert [piece.tag for piece in lines.pieces] == ["a"]
    told = [sorted(str(fault)[:42] for fault in row.faults) for row in lines.bad]
    assert told == [
        ['row 3, column "Style": this cell is empty', "row 3, column \"Wide\": 'x' is no length: 'x"],
        ["row 4, column \"Tag\": row 2 has the tag 'a'"],
        ["row 5, column \"Long\": '0 in' is no size: g"],
        ["row 7: 2 cells more than there are heading"],
    ]


def test_bad_rows_are_written_as_they_stand_and_can_be_mended_there(tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text('Tag,Style,Wide,Long,Note\na,V,4,x,"one, two"\n')
    sheet = read_sheet(tmp_path / "r.csv")
    bad = pieces_in(sheet, unit=Unit.IN, new_tag=str).bad
    text = rows_text(sheet, bad)
    assert text.splitlines()[1].startswith('a,V,4,x,"one, two","row 2, column ""Long""')
    (mended,) = read(tmp_path, text.replace(",x,", ",9,")).pieces
    assert mended.tag == "a"


SHOP = [
    "Alder Floors; remnants of May;;;",
    ";;;;",
    "Bay;Tag;Style;Size;Lot",
    "3;a;Velder;96,5 cm x 120,5 cm;7",
    "",
    ";;;;",
    "4;b;Velder;wide;8",
    "Bay;Tag;Style;Size;Lot",
    "4;c;Fell;1 x 2 m;9",
]


@pytest.mark.parametrize(("before", "shift"), [("", 0), ("sep=;\n", 1), ('"sep=;"\r\n', 1)])
def test_rows_above_the_headings_and_blank_ones_are_passed_over(tmp_path: Path, before: str, shift: int) -> None:
    """The numbers that are told stay those of the file."""
    path = tmp_path / "racks.csv"
    path.write_text(before + "\n".join(SHOP), encoding="utf-8", newline="")
    sheet = read_sheet(path)
    assert sheet.notes == (f"row {1 + shift}, above the headings, is not read: 'Alder Floors'",)
    lines = pieces_in(sheet, unit=Unit.IN, new_tag=str)
    assert [(piece.tag, piece.place, piece.lot) for piece in lines.pieces] == [("a", "3", "7"), ("c", "4", "9")]
    ((fault,),) = [row.faults for row in lines.bad]
    assert str(fault).startswith(f'row {7 + shift}, column "Size"')


def test_a_separator_is_found_where_decimal_commas_stand_about(tmp_path: Path) -> None:
    (piece,) = read(tmp_path, "style;size\nVelder;96,5 cm x 120,5 cm\n").pieces
    assert piece.outline.bounds == pytest.approx((0, 0, 965, 1205))


def test_a_file_of_utf_16_without_its_mark_is_read(tmp_path: Path) -> None:
    for encoding in ("utf-16-le", "utf-16-be"):
        (piece,) = read(tmp_path, "style,width,length,colour\nVelder,4,5,Écru\n".encode(encoding)).pieces
        assert piece.colour == "Écru"


@pytest.mark.parametrize(("text", "what"), [("", "no pieces"), ("style,width\n", "no pieces"), ("a,b\n1,2\n", "no column tells")])
def test_what_is_no_sheet_of_pieces_is_refused(tmp_path: Path, text: str, what: str) -> None:
    with pytest.raises(BadFile, match=what):
        read(tmp_path, text)


SIGNS = st.characters(codec="utf-8", exclude_categories=["C", "Zl", "Zp"]).filter(lambda sign: not unseen(sign))
PLAIN_NAMES = st.text(SIGNS, min_size=1, max_size=8).map(str.strip).filter(bool)
NAMES = PLAIN_NAMES | st.builds(str.__add__, st.sampled_from(["=", "+", "-", "@", "'=", "''-", "'"]), PLAIN_NAMES)
GIVEN = {"tag", "kind", "style", "colour", "lot", "pile"}
OTHERS: dict[Value, st.SearchStrategy[Any]] = {
    Value.TEXT: st.just("") | NAMES,
    Value.STEP: st.integers(0, 4),
    Value.YES_NO: st.none() | st.booleans(),
    Value.DATE: st.none() | st.dates(date(1900, 1, 1)),
    Value.LENGTH: st.none() | st.integers(1, 640).map(lambda sixteenths: sixteenths * 25.4 / 16),
    Value.MONEY: st.none() | st.builds(Money, st.integers(0, 10**9), st.sampled_from(["EUR", "JPY", "KWD"])),
}
REST = st.fixed_dictionaries({attribute.field: OTHERS[attribute.value] for attribute in PLAIN if attribute.name not in GIVEN})
SIZES = st.integers(64, 200_000).map(lambda n: n / 16)


@st.composite
def any_pieces(draw: st.DrawFn) -> Sequence[Piece]:
    """Pieces of all sorts: rectangles and triangles, with and without cutouts, shade, motif."""
    made = []
    for number in range(draw(st.integers(1, 4))):
        w, h = draw(SIZES), draw(SIZES)
        square = [(0, 0), (w, 0), (w, h), (0, h)]
        ring = draw(st.sampled_from([square, [(-w, 0), (w, 1), (0, h + 2)]]))
        hole = [[(0, h / 8), (w / 8, h / 8), (0, h / 4)]] if draw(st.booleans()) else []
        made.append(
            Piece(
                draw(st.sampled_from(["", "=", "'@"])) + f"{number}-{draw(NAMES)}",
                draw(st.sampled_from(Kind)),
                draw(NAMES),
                draw(NAMES),
                draw(st.just("") | NAMES),
                outline_of(ring, hole),
                pile_deg=draw(st.integers(0, 719)) / 2,
                motif=draw(st.none() | st.just((w / 2, -h))),
                lab=draw(st.none() | st.just(Lab(50.5, -1, 2.25)) | st.just(Lab(1, 2, 3, "A/2"))),
                **draw(REST),
            )
        )
    return made


@given(any_pieces(), st.sampled_from(Unit))
def test_what_is_written_is_read_back_the_same(
    tmp_path_factory: pytest.TempPathFactory, pieces: Sequence[Piece], unit: Unit
) -> None:
    path = tmp_path_factory.mktemp("sheet") / "stock.csv"
    path.write_text(lines_text(pieces, unit), encoding="utf-8", newline="")
    lines = pieces_in(read_sheet(path), unit=Unit.MM, new_tag=str)
    assert lines.bad == ()
    for before, after in zip(pieces, lines.pieces, strict=True):
        assert after.photo_bar_mm == (None if before.photo_bar_mm is None else pytest.approx(before.photo_bar_mm, abs=0.002))
        assert replace(after, outline=before.outline, motif=before.motif, photo_bar_mm=before.photo_bar_mm) == before
        for one, two in zip(before.outline.ring, after.outline.ring, strict=True):
            assert one == pytest.approx(two, abs=0.002)
        assert [len(ring) for ring in before.outline.cutouts] == [len(ring) for ring in after.outline.cutouts]
        assert before.motif == pytest.approx(after.motif, abs=0.002)


def test_no_cell_of_an_exported_stock_runs_in_a_spreadsheet(tmp_path: Path) -> None:
    piece = replace(
        a_piece("=1+1", 40, 66.5, pile_deg=-90), style="@Velder", colour="+5", lot="-2", place="'=A1", motif=(-IN, 0.0)
    )
    text = lines_text([piece], Unit.IN)
    row = text.splitlines()[1]
    assert row.rstrip(",") == "'=1+1,remnant,'@Velder,'+5,'-2,40,66.5,,,-90,\"'-1,0\",''=A1,,0"
    assert read(tmp_path, text, Unit.MM).pieces == (piece,)


def test_bad_rows_are_guarded_and_keep_their_cells_too_many(tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text("Tag,Style,Wide,Long,=SUM(A1)\n=1,V,4,5,,-extra\n")
    sheet = read_sheet(tmp_path / "r.csv")
    text = rows_text(sheet, pieces_in(sheet, unit=Unit.IN, new_tag=str).bad)
    head, row = text.splitlines()
    assert head == "Tag,Style,Wide,Long,'=SUM(A1),faults"
    assert row == "'=1,V,4,5,,\"row 2: 1 cells more than there are headings, from '-extra' on\",'-extra"


def test_a_plain_piece_is_a_plain_line() -> None:
    line = lines_text([a_piece("R-1", 40, 66.5)], Unit.IN).splitlines()[1]
    assert line.rstrip(",") == "R-1,remnant,Velder Loop,Oatmeal,4471-B,40,66.5,,,0,,Bay 3,,0"
