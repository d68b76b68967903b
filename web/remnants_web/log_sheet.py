"""Pieces in a spreadsheet, by the page: sent, looked at with what is open asked, and logged in one go."""

import re
from collections.abc import Mapping
from contextlib import closing
from dataclasses import dataclass, field, replace

from flask import make_response, render_template, request
from werkzeug.wrappers import Response

from remnants.actions.log_lines import LinesSeen, LoggedLines, log_lines, look_at_lines
from remnants.errors import BadInput, Fault
from remnants.exchange.headings import FIELDS
from remnants.exchange.lines_text import rows_text
from remnants.exchange.sheet import Sheet
from remnants.exchange.sheet_text import SheetText, sheet_in
from remnants.limits import SENT_DRAWING_BYTES, TEXT_CHARACTERS
from remnants.model import Role
from remnants.model.attributes import PIECE
from remnants.units import Unit
from remnants_web.access import asking, needs, signature
from remnants_web.ask import read_apart
from remnants_web.choices import chosen
from remnants_web.log import area
from remnants_web.problems import STATUS
from remnants_web.sent_texts import sent_key, within
from remnants_web.shapes import Typed, entry_unit
from remnants_web.sheet_sent import SheetSent
from remnants_web.shop import catalogue

__all__ = ["area", "ask_sheet", "sheet_sent"]

SHOWN = 12
"""Pieces that are shown before they are logged, and faults and notes that are told; of more it is told how many."""

COLUMN, UNIT_OF, STYLE = "column ", "unit of ", "style "
"""What the names of fields begin with; the heading or the style follows as it is written."""

_OF_COMMANDS = re.compile(r"; or leave the column out: --column .*$|; say which with --sheet NAME$|: say it with --column .*$")
_MEASURES = frozenset({"size", "width", "length", "outline", "cutouts", "motif"})


@dataclass(frozen=True, slots=True)
class Column:
    """A column to be looked at: its heading, an example, what it is taken for, whether that has to be said, and its unit."""

    written: str
    example: str
    field: str
    unit: str
    asked: bool


@dataclass
class Looked:
    """What is known of a table so far: its columns, what it would log, the styles that are asked about, what is wrong."""

    table: str = ""
    dated: str = ""
    columns: list[Column] = field(default_factory=list)
    lines: LinesSeen | None = None
    meant: dict[str, str] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    sheet: Sheet | None = None


@area.get("/sheet")
@needs(Role.WORK)
def ask_sheet() -> str:
    """Which file."""
    return _page(Typed(), Looked())


@area.post("/sheet")
@needs(Role.WORK)
def sheet_sent() -> Response:
    """What the table would log, with what is open asked; with `log` it is logged as it was shown, all of it or the good rows."""
    form = Typed(request.form.to_dict())
    try:
        sent = _sent(form)
        unit = chosen(Unit, form["unit"], "unit", default=entry_unit())
        looked = _looked(form, sent, unit)
    except BadInput as error:
        given = Looked(table=form["table"], dated=form["dated"], faults=[_in_page_words(fault) for fault in error.faults])
        return make_response(_page(form, given), STATUS[BadInput])
    if "log" in form and looked.lines and form["shown"] != looked.lines.mark:
        looked.faults.append(Fault("columns", "something was told otherwise since this was shown: look again, then log it"))
    if "log" in form and any(f"{STYLE}{written}" not in form for written in looked.meant):
        looked.faults.append(Fault("columns", "say first which styles are meant"))
    if "log" not in form or looked.faults or looked.lines is None:
        return make_response(_page(form, looked), STATUS[BadInput] if looked.faults else 200)
    return _logged(form, looked, unit)


def _sent(form: Typed) -> SheetText:
    """The rows of the file that was sent, else those that went along. Raises BadInput at the field."""
    file = request.files.get("file")
    if file is None or not file.filename:
        if not form["table"].strip():
            raise BadInput([Fault("file", "choose a spreadsheet: CSV, .xlsx or .ods")])
        return SheetText(form["table"], tuple(form["dated"].splitlines()))
    with closing(file):
        data = file.read(SENT_DRAWING_BYTES + 1)
    if len(data) > SENT_DRAWING_BYTES:
        told = f"over {SENT_DRAWING_BYTES // 2**20} MB: send parts of it, or log it with `remnants log`"
        raise BadInput([Fault("file", told)])
    try:
        text: SheetText = read_apart(SheetSent(data, "the file", within(form["sheet"], "sheet", TEXT_CHARACTERS)))
    except BadInput as error:
        raise BadInput(
            [Fault("file", f"{fault.where.removeprefix('the file')} {fault.what}".strip(": ")) for fault in error.faults]
        ) from None
    form["table"], form["dated"] = text.text, "\n".join(text.dated)
    return text


def _looked(form: Typed, sent: SheetText, unit: Unit) -> Looked:
    """The table with what the form tells of its columns and styles. Raises BadInput for what is no table."""
    told = _told(form)
    sheet = sheet_in(sent.text, told, sent.dated)
    looked = Looked(sent.text, "\n".join(sent.dated), _columns(sheet, told), sheet=sheet)
    unsure = [heading for heading in sheet.headings if heading.guessed or (heading.of_roll and heading.written not in told)]
    if not any(heading.field == "style" for heading in sheet.headings):
        looked.faults.append(Fault("columns", "say which column tells the style"))
    for heading in sheet.headings:
        seen_by = next((attribute.seen_by for attribute in PIECE if attribute.name == heading.field), Role.LOOK)
        if not asking().role.covers(seen_by):
            told_by = f"the {heading.field} is told by people who may {seen_by}; leave the column {heading.written!r} out"
            looked.faults.append(Fault("columns", told_by))
    if unsure or looked.faults:
        return looked

    def meant(written: str, known: str) -> bool:
        looked.meant[written] = known
        return form[f"{STYLE}{written}"] == known

    looked.lines = look_at_lines(catalogue(), sheet, unit=unit, signed=signature(), shown=SHOWN, meant=meant)
    return looked


def _told(form: Mapping[str, str]) -> dict[str, str]:
    """What the form says of columns, by their headings: a meaning, with a unit where one is chosen; "" leaves it out."""
    told = {name.removeprefix(COLUMN): means for name, means in form.items() if name.startswith(COLUMN)}
    for heading, means in told.items():
        unit = form.get(f"{UNIT_OF}{heading}", "")
        if unit and means in _MEASURES:
            told[heading] = f"{means} ({chosen(Unit, unit, 'columns')})"
    return told


def _columns(sheet: Sheet, told: Mapping[str, str]) -> list[Column]:
    made = []
    for index, heading in enumerate(sheet.headings):
        example = next((cells[index] for _, cells in sheet.rows if len(cells) > index and cells[index]), "")
        if not (heading.written or example):
            continue
        unit = heading.unit.value if heading.unit else "ft" if heading.of_roll else ""
        asked = heading.guessed or (heading.of_roll and heading.written not in told)
        made.append(Column(heading.written, example[:40], heading.field, unit, asked))
    return made


def _logged(form: Typed, looked: Looked, unit: Unit) -> Response:
    """Logs the rows; those that can't be used stay on the page, to be mended there. Styles are meant as the form says."""
    assert looked.sheet is not None, "what was looked at has its rows"
    skip = form["log"] == "good"
    try:
        logged = log_lines(
            catalogue(),
            looked.sheet,
            unit=unit,
            signed=signature(),
            skip_bad=skip,
            key=sent_key(),
            meant=lambda written, known: form[f"{STYLE}{written}"] == known,
        )
    except BadInput as error:
        looked.faults += map(_in_page_words, error.faults[:SHOWN])
        return make_response(_page(form, looked), STATUS[BadInput])
    rest = Looked()
    if logged.bad:
        rest = Looked(rows_text(replace(looked.sheet, notes=()), logged.bad), looked.dated)
    return make_response(_page(Typed({"unit": unit.value}), rest, logged=logged))


def _in_page_words(fault: Fault) -> Fault:
    """A fault that a command would tell with its options, as the page tells it."""
    return Fault(fault.where, _OF_COMMANDS.sub("", fault.what))


def _page(form: Typed, looked: Looked, *, logged: LoggedLines | None = None) -> str:
    lines = looked.lines
    bad = [replace(row, faults=tuple(map(_in_page_words, row.faults))) for row in lines.bad] if lines else []
    return render_template(
        "log_sheet.html",
        form=form,
        looked=looked,
        faults=looked.faults,
        pieces=lines.pieces if lines else (),
        count=lines.count if lines else 0,
        bad=bad,
        notes=[_in_page_words(note) for note in lines.notes] if lines else (),
        bare=lines.bare_styles if lines else (),
        logged=logged,
        shown=SHOWN,
        meanings=sorted(FIELDS),
        measures=_MEASURES,
        units=[unit.value for unit in Unit],
        unit_of_figures=form["unit"] or entry_unit().value,
        open_styles=any(f"{STYLE}{written}" not in form for written in looked.meant),
        names={"column": COLUMN, "unit": UNIT_OF, "style": STYLE},
    )
