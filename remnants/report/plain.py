"""The answer to a job as text for a terminal, a file or a mail.

Columns where the page is wide enough, one line an item where it isn't, such as on a phone.
"""

from collections.abc import Mapping, Sequence
from io import StringIO

from rich import box
from rich.table import Table
from rich.text import Text

from remnants.fitting import BEST_POSSIBLE
from remnants.fitting.telling.passed import telling_first
from remnants.materials.cuts import Cut, cuts_of, patch_cuts
from remnants.model import (
    Asking,
    Bargains,
    Job,
    MeasureAgain,
    PatchPlan,
    Piece,
    Plan,
    Short,
    Sight,
    Style,
    Verdict,
    Way,
    WhyNot,
)
from remnants.model.bargain import NO_BARGAINS
from remnants.model.patch_attributes import PATCH_MORE
from remnants.report.attribute_words import told_lines
from remnants.report.terminal import Terminal, held
from remnants.report.wording import (
    CONSTRUCTIONS,
    SEAMS,
    SHOWS,
    VERDICTS,
    consents,
    extent_text,
    piece_line,
    sentence,
    size_text,
    spare_lines,
    turn_text,
    visible,
    where_text,
)
from remnants.units import Unit, write_area, write_length

__all__ = ["fit_text"]

WIDTH = 100
SHOWN_PASSED_OVER = 8
NARROW = 72

RULED = box.Box("    \n    \n -- \n    \n    \n    \n    \n    \n", ascii=True)
"""Columns without lines between them, under headings with a rule: the same on every terminal and in a mail."""


def fit_text(
    plan: Plan,
    job: Job,
    pieces: Mapping[str, Piece],
    styles: Mapping[str, Style],
    *,
    unit: Unit | None = None,
    width: int = WIDTH,
    styled: bool = False,
    ways: Sequence[Way] = (),
    bargains: Bargains = NO_BARGAINS,
    measure: Sequence[MeasureAgain] = (),
    why_not: WhyNot | None = None,
) -> str:
    """The whole answer to a job: verdict, then patch by patch reason, parts and seams, what is missing, left over, passed over.

    Lengths are written in `unit`, by default the job's; lines have at most `width` characters; `styled` adds a terminal's
    bold and dim. `ways` are the plan and those beside it. `pieces` by tag and `styles` by name may lack some: what they
    would add is then left out.
    """
    shown = unit or Unit(job.unit)
    cuts = cuts_of(plan)
    page = _Page(width, styled=styled)
    page.line(f"{job.name}: {VERDICTS[plan.verdict]}", style="bold")
    if len(plan.patches) > 1:
        made = sum(answer.verdict is not Verdict.NONE for answer in plan.patches)
        page.line(f"{made} of {len(plan.patches)} patches can be made{f'; {plan.bound}' if plan.bound else ''}.")
    elif plan.bound:
        page.line(_bound_line(plan))
    for line in consents(plan, pieces):
        page.line(line)
    for index, (patch, answer) in enumerate(zip(job.patches, plan.patches, strict=True)):
        shorts = [short for short in plan.short if short.patch == answer.name]
        rows = [_part_row(cut, pieces.get(cut.piece), styles, unit=shown, asking=plan.asking) for cut in patch_cuts(cuts, index)]
        page.heading(f"{answer.name}: {VERDICTS[answer.verdict]}" if len(plan.patches) > 1 else "")
        for called, words in told_lines(PATCH_MORE, patch, shown):
            page.line(f"{called.capitalize()}: {words}")
        _write_patch(page, answer, rows, shown)
        _write_shorts(page, answer, shorts)
    for line in spare_lines(plan, job, shown):
        page.line(line)
    for each in measure:
        page.line(each.sentence)
    _write_bargains(page, bargains)
    _write_sights(page, plan.sights)
    _write_ways(page, ways)
    _write_leftovers(page, plan, shown)
    _write_passed_over(page, plan)
    if why_not is not None:
        page.heading(f"Why not {why_not.piece}?")
        page.line(why_not.sentence)
    return page.text


def _bound_line(plan: Plan) -> str:
    """How far from the best the plan of a single patch can be."""
    if plan.verdict is Verdict.NONE and plan.bound == BEST_POSSIBLE:
        return "No plan within the rules of the job can fill it: that is proved."
    return sentence(plan.bound)


def _write_patch(page: "_Page", answer: PatchPlan, parts: Sequence[tuple[str, ...]], unit: Unit) -> None:
    if answer.reason:
        page.line(sentence(answer.reason))
    if answer.match is not None and answer.match.sentence not in answer.reason:
        page.line(sentence(f"Match: {answer.match.sentence}"))
    if parts:
        page.table(("cut", "piece", "where", "what it is", "cut to", "lay it"), sorted(parts, key=lambda row: int(row[0])))
    for seam in answer.seams:
        between = " and ".join(sorted((parts[index][0] for index in seam.parts if index < len(parts)), key=int))
        said = sentence(seam.sentence or f"it {SHOWS[seam.show]}")
        page.line(f"Seam between {between}: {SEAMS[seam.kind]}, {write_length(seam.length_mm, unit)}. {said}")


def _part_row(
    cut: Cut, piece: Piece | None, styles: Mapping[str, Style], *, unit: Unit, asking: Sequence[Asking]
) -> tuple[str, ...]:
    where, what = "", ""
    if piece is not None:
        style = styles.get(piece.style)
        where = where_text(piece, asking)
        what = ", ".join(text for text in (piece_line(piece), CONSTRUCTIONS[style.construction] if style else "") if text)
    return str(cut.number), cut.piece, where, what, extent_text(cut.part.cut, unit), turn_text(cut.part.turn_deg)


def _write_shorts(page: "_Page", answer: PatchPlan, shorts: Sequence[Short]) -> None:
    for short in shorts:
        if short.reason != answer.reason:
            page.line(sentence(f"Missing: {short.reason}"))
        if short.nearest and short.nearest.casefold() not in answer.reason.casefold():
            page.line(sentence(f"Nearest: {short.nearest}"))


def _write_sights(page: "_Page", sights: Sequence[Sight]) -> None:
    if not sights:
        return
    page.heading("What will be seen")
    rows = [(sight.patch, sight.words, sight.sentence) for sight in sights]
    several = len({sight.patch for sight in sights if sight.patch}) > 1
    for patch, _, told in sorted(rows, key=lambda row: row[0]) if several else rows:
        page.line(f"{patch}: {_lower(told)}" if several and patch else told)


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


def _write_ways(page: "_Page", ways: Sequence[Way]) -> None:
    if len(ways) < 2:
        return
    page.heading("Ways")
    for number, way in enumerate(ways, 1):
        tags = list(dict.fromkeys(part.piece for patch in way.plan.patches for part in patch.parts))
        head = f"{number}{' (recommended)' if number == 1 else ''}: {VERDICTS[way.plan.verdict]}, from {' and '.join(tags)}"
        speaks_for = f" For it: {'; '.join(way.speaks_for)}." if way.speaks_for else ""
        against = f" Against it: {'; '.join(way.speaks_against)}." if way.speaks_against else ""
        page.line(f"{head}.{speaks_for}{against}")
    page.line("`--way 2` with fit, hold or cut takes the second.", style="dim")


def _write_bargains(page: "_Page", bargains: Bargains) -> None:
    if not (bargains.found or bargains.no_help):
        return
    if bargains.better and not bargains.found:
        page.line(f"Tried, and nothing shows or troubles less: {', '.join(bargains.no_help)}.", style="dim")
        return
    page.heading("What would show less" if bargains.better else "What would make it a yes")
    for number, bargain in enumerate(bargains.found, 1):
        page.line(f"{number}: {' '.join(text for text in (bargain.sentence, bargain.gain, bargain.cost) if text)}")
    if bargains.found:
        page.line("`--take 1` with fit, hold or cut makes the first change and goes on from there.", style="dim")
    if bargains.no_help:
        page.line(f"Tried and of no help: {', '.join(bargains.no_help)}.")
    if bargains.stopped:
        page.line("Not all was tried: with so much stock it would take too long.")


def _write_leftovers(page: "_Page", plan: Plan, unit: Unit) -> None:
    if not plan.leftovers:
        return
    page.heading("Left over")
    rows = [
        (
            name,
            size_text(left.largest, unit),
            write_area(left.outline.usable_area_mm2, unit),
            "worth keeping" if left.usable else "waste",
        )
        for name, left in zip(plan.leftover_names, plan.leftovers, strict=True)
    ]
    page.table(("piece", "largest rectangle", "area", "keep?"), rows)


def _write_passed_over(page: "_Page", plan: Plan) -> None:
    passed = plan.passed_over
    if not passed:
        return
    page.heading("Passed over")
    page.table(("piece", "why not"), [(over.piece, over.reason) for over in telling_first(passed)[:SHOWN_PASSED_OVER]])
    rest = len(passed) - SHOWN_PASSED_OVER
    if rest > 0:
        listed = f"{len(passed)} of them" if plan.more_passed else "every one"
        page.line(f"and {rest + plan.more_passed} more; the answer as JSON lists {listed}", style="dim")


class _Page:
    """Text being written to at most `width` columns."""

    def __init__(self, width: int, *, styled: bool) -> None:
        self._width = max(width, 20)
        self._file = StringIO()
        self._console = Terminal(
            file=self._file,
            width=self._width,
            force_terminal=styled,
            color_system="standard" if styled else None,
            no_color=True,
            highlight=False,
            emoji=False,
            markup=False,
            legacy_windows=False,
        )

    @property
    def text(self) -> str:
        """All that was written, without blanks at the ends of lines."""
        return "\n".join(line.rstrip() for line in self._file.getvalue().split("\n")).rstrip("\n") + "\n"

    def line(self, text: str, style: str = "") -> None:
        """A paragraph."""
        self._console.print(Text(held(visible(text)), style=style))

    def heading(self, text: str) -> None:
        """An empty line, and a heading where there is one."""
        self._console.print()
        if text:
            self.line(text, style="bold")

    def table(self, headings: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
        """Columns under their headings; on a narrow page each row becomes its first cell and a line for each other."""
        if self._width < NARROW and len(headings) > 2:
            for row in rows:
                self.line(f"{headings[0]} {row[0]}")
                self.pairs([(f"  {heading}", text) for heading, text in zip(headings[1:], row[1:], strict=True) if text])
            return
        table = Table(box=RULED, show_edge=False, pad_edge=False, padding=(0, 2, 0, 0), header_style="dim")
        for heading in headings:
            table.add_column(heading, overflow="fold")
        self._add(table, rows)

    def pairs(self, rows: Sequence[Sequence[str]]) -> None:
        """Headings at the left, their text beside them."""
        table = Table(box=None, show_header=False, padding=(0, 2, 0, 0))
        table.add_column(style="dim", no_wrap=True)
        table.add_column(overflow="fold")
        self._add(table, rows)

    def _add(self, table: Table, rows: Sequence[Sequence[str]]) -> None:
        for row in rows:
            # Text, not markup: a place called "[Bay 3]" is a place.
            table.add_row(*(Text(held(visible(text))) for text in row))
        self._console.print(table)
