"""The tables of what can be told of a piece, a style and a patch, and that every list of them is made from them."""

import ast
import dataclasses
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from remnants.actions import open_catalogue
from remnants.exchange import Stock, read_job, read_stock, stock_json
from remnants.exchange.entries import PieceEntry, StyleEntry, WantedEntry
from remnants.exchange.headings import FIELDS
from remnants.exchange.job import job_json
from remnants.exchange.job_entries import JobHeader, PatchEntry
from remnants.model import Patch, Piece, Style, Wanted
from remnants.model.attributes import PIECE, PLAIN, Attribute, Value
from remnants.model.patch_attributes import PATCH, PATCH_PLAIN, WANTED, WANTED_PLAIN
from remnants.model.style_attributes import STYLE, STYLE_PLAIN
from remnants.store import styles
from remnants.store.rows import PIECE_COLUMNS, STYLE_COLUMNS
from remnants.units import Unit
from tests.commands import Remnants
from tests.jobs import a_hall
from tests.stock_values import a_piece

ROOT = Path(__file__).resolve().parent.parent

MADE_OF_MORE = {"outline", "motif", "lab"}
"""Fields of a piece that several keys of a file tell, or that have columns of their own."""

MADE_OF_MORE_OF_PATCHES = {"name", "ring", "edges", "wanted", "motif", "max_parts", "turns", "use", "seam_shift_mm", "photo_at"}
"""Fields of a patch that are read by hand, or told by no key of its own."""

FIELDS_THEMSELVES = ("model/piece.py", "model/style.py", "model/patch.py")
"""Where many of the names stand by right."""

MOST_NAMED = 5
"""Attributes that one collection may name: for a title, a form's head. One with more is a second list."""


def test_every_field_of_a_piece_is_in_the_table_with_its_default() -> None:
    fields = {field.name: field.default for field in dataclasses.fields(Piece)}
    assert fields.keys() == {attribute.field for attribute in PLAIN} | MADE_OF_MORE
    for attribute in PLAIN:
        if not attribute.needed and fields[attribute.field] is not dataclasses.MISSING:
            assert fields[attribute.field] == attribute.usual, attribute.name


def test_every_field_of_a_style_is_in_the_table_with_its_default() -> None:
    fields = {field.name: field.default for field in dataclasses.fields(Style)}
    assert fields.keys() == {attribute.field for attribute in STYLE_PLAIN} | {"repeat", "colours"}
    assert all(fields[attribute.field] == attribute.usual for attribute in STYLE_PLAIN if not attribute.needed)
    assert set(StyleEntry.model_fields) == {attribute.name for attribute in STYLE}


def test_every_field_of_a_patch_is_in_a_table_with_its_default() -> None:
    fields = {field.name: field.default for field in dataclasses.fields(Patch)}
    assert fields.keys() == {attribute.field for attribute in PATCH_PLAIN} | MADE_OF_MORE_OF_PATCHES
    assert all(fields[attribute.field] == attribute.usual for attribute in PATCH_PLAIN if not attribute.needed)
    wanted = {field.name: field.default for field in dataclasses.fields(Wanted)}
    assert wanted.keys() == {attribute.field for attribute in WANTED_PLAIN} | {"lab", "lowest_grade"}
    assert all(wanted[attribute.field] == attribute.usual for attribute in WANTED_PLAIN)


def test_a_file_may_say_of_a_job_or_patch_what_the_tables_name_and_nothing_else() -> None:
    assert set(WantedEntry.model_fields) == {attribute.name for attribute in WANTED}
    assert set(PatchEntry.model_fields) == {attribute.name for attribute in (*WANTED, *PATCH)}
    assert {attribute.name for attribute in WANTED} <= set(JobHeader.model_fields)
    needed = {name for name, key in PatchEntry.model_fields.items() if key.is_required()}
    assert needed == {attribute.name for attribute in PATCH if attribute.needed}


A_VALUE: dict[Value, Any] = {
    Value.NAME: "Velder Loop",
    Value.TEXT: "told",
    Value.STEP: 3,
    Value.YES_NO: True,
    Value.BEARING: 45.0,
    Value.LENGTH: 8.0,
    Value.MASS: 2400.0,
}
"""Of each kind one that is not as usual."""


def a_value(attribute: Attribute) -> Any:
    return list(attribute.choices)[-1] if attribute.choices else A_VALUE[attribute.value]


def test_a_job_that_tells_everything_is_written_and_read_back_the_same() -> None:
    own = {"lab": [55, 2.5, -3], "illuminant": "A/2", "lowest_grade": "substitute", "max_parts": 4, "turns": [0, 180]}
    patch = {"width": 20, "length": 10, "motif": [2, 5], "edges": "wall"} | own
    patch |= {attribute.name: a_value(attribute) for attribute in (*WANTED_PLAIN, *PATCH_PLAIN)}
    patch["shade_steps"] = "R-0142 2.1 ± 0.8 (graded 2.3 ± 0.9)"
    job = read_job({"unit": "in", "job": "Alder Court 7", "min_part": 6, "patches": [patch]})
    written = job_json(job)
    assert read_job(written) == job
    assert patch.keys() - {"width", "length"} <= written["patches"][0].keys()


def test_a_style_that_tells_everything_comes_back_the_same_from_the_catalogue_and_from_its_file(tmp_path: Path) -> None:
    told = {attribute.name: a_value(attribute) for attribute in STYLE_PLAIN}
    told |= {"repeat": {"across": 12, "along": 18, "drop": 0.5}, "colours": [{"name": "Oatmeal", "lab": [60, 1, 2]}]}
    (style,) = read_stock({"unit": "in", "styles": [told], "pieces": []}).styles
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue, catalogue.atomic():
        styles.put_styles(catalogue, [style])
        assert styles.all_styles(catalogue) == {style.name: style}
    assert stock_json(Stock((style,), (), Unit.IN))["styles"] == [told]


def test_names_and_headings_stand_for_one_attribute_each() -> None:
    assert len({attribute.name for attribute in PIECE}) == len(PIECE)
    spellings = [spelling for told in FIELDS.values() for spelling in told]
    assert len(set(spellings)) == len(spellings)


@pytest.mark.parametrize("attribute", PLAIN, ids=lambda attribute: attribute.name)
def test_a_file_may_tell_it_and_must_only_where_a_piece_needs_it(attribute: Attribute) -> None:
    key = PieceEntry.model_fields[attribute.name]
    assert key.is_required() == attribute.needed
    if not attribute.needed:
        assert key.default == attribute.usual


def test_the_catalogue_has_a_column_for_each(tmp_path: Path) -> None:
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        for table, columns, attributes in (("piece", PIECE_COLUMNS, PIECE), ("style", STYLE_COLUMNS, STYLE)):
            there = {row["name"] for row in catalogue.query("SELECT name FROM pragma_table_info(?)", [table])}
            assert set(columns) <= there
            assert {column for attribute in attributes for column in attribute.columns} <= set(columns)


def names_in(node: ast.AST) -> Iterator[str]:
    """The names that one collection, call or class body puts side by side."""
    match node:
        case ast.Tuple(elts=parts) | ast.List(elts=parts) | ast.Set(elts=parts):
            for part in parts:
                inner = part.elts[0] if isinstance(part, ast.Tuple) and part.elts else part
                if isinstance(inner, ast.Constant):
                    yield str(inner.value)
        case ast.Dict(keys=keys):
            yield from (str(key.value) for key in keys if isinstance(key, ast.Constant))
        case ast.Call(keywords=keywords):
            yield from (keyword.arg for keyword in keywords if keyword.arg)
        case ast.ClassDef(body=body):
            yield from (line.target.id for line in body if isinstance(line, ast.AnnAssign) and isinstance(line.target, ast.Name))


def test_no_second_list_of_them_stands_anywhere() -> None:
    plain = (*PLAIN, *STYLE_PLAIN, *WANTED_PLAIN, *PATCH_PLAIN)
    known = {attribute.name for attribute in plain} | {attribute.field for attribute in plain}
    found = [
        f"{path.relative_to(ROOT)}:{getattr(node, 'lineno', 0)} names {sorted(known & set(names_in(node)))}"
        for path in (*(ROOT / "remnants").rglob("*.py"), *(ROOT / "web").rglob("*.py"))
        if not path.as_posix().endswith(FIELDS_THEMSELVES)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if len(known & set(names_in(node))) > MOST_NAMED
    ]
    assert not found, found


@pytest.mark.parametrize(
    ("table", "begins", "ends"),
    [
        (STYLE, "Of a style:", "Of a piece:"),
        (PIECE, "Of a piece:", "## Job file"),
        (WANTED, "Of the job or of one patch", "Of a patch:"),
        (PATCH, "Of a patch:", "## Answer"),
    ],
    ids=["styles", "pieces", "what is wanted", "patches"],
)
def test_the_page_of_files_tells_each_in_its_place(table: tuple[Attribute, ...], begins: str, ends: str) -> None:
    page = (ROOT / "docs" / "reference" / "files.md").read_text(encoding="utf-8")
    told = page.split(begins)[1].split(ends)[0]
    assert [attribute.name for attribute in table if f"`{attribute.name}`" not in told] == []


def test_a_piece_told_by_nothing_but_what_it_needs_has_all_else_as_usual() -> None:
    bare = a_piece(colour="", lot="", place="")
    assert all(getattr(bare, attribute.field) == attribute.usual for attribute in PLAIN if not attribute.needed)


def test_a_laid_piece_that_nobody_sees_is_told_by_option_file_and_spreadsheet_and_told_again(remnants: Remnants) -> None:
    remnants.log("--tag", "L-1", "--kind", "laid", "--hidden", "yes")
    remnants.log("--tag", "L-2", "--kind", "laid")
    seen = {"tag": "L-3", "kind": "laid", "style": "Velder Loop", "width": 4, "length": 5, "pile": 0, "hidden": False}
    remnants.ok("log", remnants.file("laid.json", {"unit": "in", "pieces": [seen]}))
    remnants.ok("log", remnants.file("laid.csv", "tag,kind,style,size,hidden\nL-4,laid,Velder Loop,4 x 5,Yes\n"))
    remnants.ok("export", remnants.folder / "all.json")
    exported = json.loads((remnants.folder / "all.json").read_text())
    told = {piece["tag"]: piece.get("hidden") for piece in exported["pieces"]}
    assert told == {"L-1": True, "L-2": None, "L-3": False, "L-4": True}
    assert "hidden  yes" in remnants.ok("show", "L-1")
    assert "hidden" not in remnants.ok("show", "L-2")
    remnants.ok("correct", "L-1", "--hidden", "no")
    assert "hidden  no" in remnants.ok("show", "L-1")
    assert "all is well" in remnants.ok("verify")
    assert "--hidden: 'perhaps' is neither yes nor no" in remnants.refused("correct", "L-1", "--hidden", "perhaps", code=2)


def test_where_a_piece_came_from_and_what_it_cost_is_told_in_every_way(remnants: Remnants) -> None:
    told = ("--fibre", "80% wool, 20% nylon", "--supplier", "Invented Mill", "--roll-number", "77-B")
    remnants.log("--tag", "R-1", *told, "--received-on", "2031-05-03", "--cost", "1670.1 eur")
    card = remnants.ok("show", "R-1")
    for line in ("80% wool, 20% nylon", "Invented Mill", "roll number  77-B", "received on  3 May 2031", "1,670.10 EUR"):
        assert line in card
    files = {ending: remnants.folder / f"all.{ending}" for ending in ("json", "csv")}
    for file in files.values():
        remnants.ok("export", file)
        assert "1670.10 EUR" in file.read_text()
    for ending, file in files.items():
        again = file.read_text().replace("R-1", f"R-{ending}")
        remnants.ok("log", remnants.file(f"again.{ending}", again), "--yes")
        assert remnants.ok("show", f"R-{ending}").replace(f"R-{ending}", "R-1").split() == card.split()
    assert "all is well" in remnants.ok("verify")


def test_what_is_no_date_or_no_sum_is_told_at_its_option_and_its_cell(remnants: Remnants) -> None:
    assert "--received-on: '03/05/2031' is no date" in remnants.refused(
        *("log", "--style", "V", "--width", "4", "--length", "5", "--received-on", "03/05/2031"), code=2
    )
    sheet = remnants.file("racks.csv", "tag,style,size,Cost\na,V,4 x 5,12.50\n")
    told = remnants.refused("log", sheet, code=2)
    assert "row 2, column \"Cost\": '12.50' is no sum: write the figure and its currency, such as 670.13 EUR" in told
    assert '--column "Cost="' in told
    remnants.ok("log", sheet, "--column", "Cost=")
    remnants.ok("log", remnants.file("euros.csv", "tag,style,size,Cost (EUR)\nb,V,4 x 5,12.50\n"), "--yes")
    assert "12.50 EUR" in remnants.ok("show", "b")


def test_an_offcut_takes_over_what_is_told_of_its_donor_and_of_what_that_cost_its_share(remnants: Remnants) -> None:
    holes = ["--cutout", "0,40", "30,40", "30,41", "0,41", "--cutout", "0,75", "30,75", "30,76", "0,76"]
    bought = ("--supplier", "Invented Mill", "--cost", "300 EUR")
    remnants.log("--tag", "R-1", "--width", "30", "--length", "116", *holes, *bought)
    remnants.ok("cut", a_hall(remnants, "Alder Court 7", length=28), "--yes")
    offcut = remnants.ok("show", "O-0001")
    assert "Invented Mill" in offcut
    costs = [re.search(r"cost +(\S+) EUR", told) for told in (offcut, remnants.ok("show", "R-1"))]
    assert all(costs) and 0 < sum(float(cost[1]) for cost in costs if cost) < 300
    assert "all is well" in remnants.ok("verify")
    remnants.ok("undo", "R-1")
    assert "300.00 EUR" in remnants.ok("show", "R-1")


def test_what_a_piece_cost_may_be_told_by_area(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--width", "2 m", "--length", "3 m", "--cost", "18.50 EUR per m2")  # 6 m2
    assert "111.00 EUR" in remnants.ok("show", "R-1")
    remnants.ok("log", remnants.file("yards.csv", "tag,style,width (ft),length (ft),Cost\nb,V,12,9,22 USD/sq yd\n"), "--yes")
    assert "264.00 USD" in remnants.ok("show", "b")  # 12 yd2
