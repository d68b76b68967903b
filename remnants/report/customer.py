"""The customer's page: what was used, where seams lie and how they will show, what stays with them. Text to text."""

import string
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from remnants.belonging import Whose, whose
from remnants.errors import BadFile, Fault
from remnants.geometry.outline import bounds
from remnants.materials.cuts import cuts_of, donors_of, patch_cuts
from remnants.model import Finish, Grade, Job, Kind, Patch, PatchPlan, Piece, Plan, Seam, Sight, SightKind
from remnants.report.wording import KINDS, SEAMS, SHOWS, counted, extent_text, listed, piece_line, sentence, size_text
from remnants.units import Unit, write_length

__all__ = ["NAMES", "Texts", "customer_text", "warnings"]

NAMES = ("customer", "care", "agreement")
"""The text templates, each a file `NAME.txt` that a shop can change."""

NO_SEAMS = "- There are no seams."
NEAR_MM = 1.0
"""Less than this no tape tells."""


@dataclass(frozen=True, slots=True)
class Texts:
    """The shop's text templates. `customer` is the page, with $job, $used, $seams, $left, $care and $agreement in it."""

    customer: str
    care: str
    agreement: str


def customer_text(plan: Plan, job: Job, *, pieces: Mapping[str, Piece], texts: Texts, unit: Unit) -> str:
    """The page's text: lines that start with `#` are headings, with `-` items. Lengths are told in `unit`.

    Raises BadFile when a template names something that there is not.
    """
    values = {
        "job": job.name,
        "used": "\n".join(_used(plan, job, pieces, unit)),
        "seams": "\n".join(_seams(plan, job, unit)),
        "left": "\n".join(_left(plan, job, pieces, unit)),
        "care": texts.care.strip(),
        "agreement": texts.agreement.strip(),
    }
    try:
        return string.Template(texts.customer).substitute(values)
    except KeyError as error:
        known = ", ".join(f"${name}" for name in values)
        raise BadFile([Fault("customer.txt", f"${error.args[0]} stands for nothing; there is {known}")]) from None
    except ValueError as error:
        raise BadFile([Fault("customer.txt", f"{error}: write $$ for a dollar sign")]) from None


def warnings(plan: Plan, job: Job, *, unit: Unit) -> tuple[str, ...]:
    """What a customer must hear before they agree: a match that is not of the same lot, and how each seam will show."""
    lots = [
        sentence(f"{answer.name}: {answer.match.sentence}")
        for answer in plan.patches
        if answer.match is not None and (answer.match.grade is not Grade.SAME_LOT or answer.match.wear_steps)
    ]
    seams = _seams(plan, job, unit) if any(answer.parts for answer in plan.patches) else []
    return (*lots, *(sentence(line.removeprefix("- ")) for line in seams if line != NO_SEAMS))


def _used(plan: Plan, job: Job, pieces: Mapping[str, Piece], unit: Unit) -> list[str]:
    cuts = cuts_of(plan)
    lines = []
    for index, (patch, answer) in enumerate(zip(job.patches, plan.patches, strict=True)):
        if not answer.parts:
            lines.append(f"- {_capital(patch.name)} ({extent_text(patch.ring, unit)}) can't be filled from the carpet at hand.")
            continue
        own = patch_cuts(cuts, index)
        tags = dict.fromkeys(cut.piece for cut in own)
        whence = listed(f"{_whence(pieces[tag], job)} ({_called(pieces[tag], job)}{piece_line(pieces[tag])})" for tag in tags)
        count = "in one piece" if len(own) == 1 else f"in {len(own)} parts"
        lines.append(f"- {_capital(patch.name)} ({extent_text(patch.ring, unit)}) is filled {count} from {whence}.")
        if answer.match is not None:
            lines.append(sentence(f"- The match for {patch.name}: {answer.match.sentence}"))
    return lines


def _whence(piece: Piece, job: Job) -> str:
    """Where a piece comes from, for the customer of this job: of another's it tells no more than that."""
    owner = whose(piece, job)
    if owner is Whose.ANOTHERS:
        return "carpet that somebody else let us have"
    if owner is Whose.SHOP:
        return "a remnant of ours" if piece.kind is Kind.REMNANT else "an offcut of ours"
    where = f", {piece.place}" if piece.place else ""
    return f"{'carpet from your own floor' if piece.kind is Kind.LAID else 'the piece you kept'}{where}"


def _called(piece: Piece, job: Job) -> str:
    """A piece's tag before its name; of another's carpet the customer reads none."""
    return "" if whose(piece, job) is Whose.ANOTHERS else f"{piece.tag}: "


def _is_theirs(piece: Piece, job: Job) -> bool:
    return whose(piece, job) in (Whose.THIS_HOUSE, Whose.ASSUMED)


def _seams(plan: Plan, job: Job, unit: Unit) -> list[str]:
    lines = []
    for patch, answer in zip(job.patches, plan.patches, strict=True):
        lines += [_seam(patch, seam, unit) for seam in answer.seams]
        lines += _round(patch, answer, plan.sights)
    return lines or [NO_SEAMS]


def _seam(patch: Patch, seam: Seam, unit: Unit) -> str:
    said = sentence(seam.sentence or f"it {SHOWS[seam.show]}")
    return (
        f"- In {patch.name}: a {SEAMS[seam.kind]} of {write_length(seam.length_mm, unit)}{_seam_place(patch, seam, unit)}. {said}"
    )


def _seam_place(patch: Patch, seam: Seam, unit: Unit) -> str:
    """Where a straight seam lies, from a wall or another floor that it runs along, whichever one side alone has; else "".

    The page has no drawing, so left and right would say nothing.
    """
    (x1, y1), (x2, y2) = seam.line
    axis = 0 if abs(x1 - x2) < NEAR_MM else 1
    if axis and abs(y1 - y2) >= NEAR_MM:
        return ""
    at = seam.line[0][axis]
    box = bounds(patch.ring)
    sides = {box[axis]: _finishes_at(patch, axis, box[axis]), box[axis + 2]: _finishes_at(patch, axis, box[axis + 2])}
    for finish, word in ((Finish.TRANSITION, "the edge of the other floor"), (Finish.WALL, "the wall")):
        there = [side for side, finishes in sides.items() if finishes == {finish}]
        if len(there) == 1:
            return f", {write_length(abs(at - there[0]), unit)} from {word}"
    return ""


def _finishes_at(patch: Patch, axis: int, at_mm: float) -> set[Finish]:
    """The finishes of the edges that lie on a line square to an axis."""
    ends = zip(patch.ring, (*patch.ring[1:], patch.ring[0]), patch.edges, strict=True)
    return {finish for a, b, finish in ends if abs(a[axis] - at_mm) < NEAR_MM and abs(b[axis] - at_mm) < NEAR_MM}


def _round(patch: Patch, answer: PatchPlan, sights: Sequence[Sight]) -> list[str]:
    """The seams between a patch and the carpet round it, each with how plainly it will be seen."""
    count = sum(finish == "seam" for finish in patch.edges)
    if not answer.parts or not count:
        return []
    where = "all round" if count == len(patch.edges) else f"along {count} of its {len(patch.edges)} edges"
    own = (sight for sight in sights if sight.kind is SightKind.SEAM and not sight.inside and sight.patch == patch.name)
    graded = [f"- {told}" for told in counted(sight.sentence for sight in own)]
    wear = (
        " New pile stands higher than worn pile and may look different until it has been walked on. What light has faded, feet"
        " have worn or another dye lot has coloured stays different."
    )
    return [f"- {_capital(patch.name)} is seamed to your carpet {where}.{wear}", *graded]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _left(plan: Plan, job: Job, pieces: Mapping[str, Piece], unit: Unit) -> list[str]:
    lines = []
    for left in plan.leftovers:
        piece = pieces[left.piece]
        if left.usable and _is_theirs(piece, job):
            size = size_text(left.largest, unit)
            if piece.kind is Kind.LAID:
                lines.append(f"- The rest of {left.piece} stays on your floor: it holds {size}.")
            else:
                lines.append(f"- The rest of {left.piece} ({KINDS[piece.kind]}): it holds {size}. Keep it dry and flat.")
    holes = [tag for tag in donors_of(plan) if pieces[tag].kind is Kind.LAID and _is_theirs(pieces[tag], job)]
    lines += [f"- {tag} is carpet from your floor: what fills its place is agreed separately." for tag in holes]
    return lines or ["- Nothing: what is left goes back to where we had it from."]
