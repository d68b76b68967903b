"""A job as a form tells it, and the answer as a page shows it."""

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from markupsafe import Markup

from remnants.actions import Catalogue
from remnants.actions.fit_in_time import donors_alone, fit_in_time
from remnants.actions.fit_job import Fitted
from remnants.actions.make_sheet import SheetWish, make_sheet, own_texts
from remnants.actions.shop_rules import own_rules
from remnants.actions.told_to import fitted_told
from remnants.errors import BadInput
from remnants.exchange import answer_json, job_json, read_job
from remnants.limits import FIT_SECONDS
from remnants.model import Job, MayUse, Piece, Role, Verdict, Way
from remnants.model.patch_attributes import PATCH_MORE
from remnants.question import How, here
from remnants.report.diagram import drawings
from remnants.report.drawing import Drawing
from remnants.report.sheet_words import SheetWords, sheet_words
from remnants.report.wording import SEAMS, SHOWS, consents, extent_text, sight_lines, spare_lines
from remnants.units import Unit
from remnants_web.figures import SCREEN, on_page
from remnants_web.gate import job_sent, refuse_longer
from remnants_web.shapes import MOST_EDGES, SIZES, Form, Typed, at_fields, length_at, patch_of
from remnants_web.shop import catalogue as opened
from remnants_web.words import reader_unit

__all__ = [
    "NAMELESS",
    "Answer",
    "Picture",
    "PlanShown",
    "answers",
    "asked_before",
    "digest_of",
    "header_asked",
    "job_asked",
    "key_lines",
    "pictures_of",
    "read_form_job",
    "tags_in",
    "told_before",
    "with_patch",
    "without_patch",
    "words_of",
]

NAMELESS = "job"
"""What a job is called whose file gives it no name."""

TALLEST_OF_MANY_MM = 32.0
"""How tall each of several donors is drawn, so that two of them go on one screen of a phone."""

WAYS = ("The best way", "Another way", "A third way")


@dataclass(frozen=True)
class Picture:
    """A drawing on the page, what it is of, and its key: each line a number or letter (or nothing) and what it stands for.

    `piece` is the tag of the donor that it shows; "" for one of how a patch is laid.
    """

    drawing: Markup
    title: str
    key: tuple[tuple[str, str], ...]
    piece: str = ""

    @property
    def cuts(self) -> tuple[tuple[str, str], ...]:
        """The lines of its key that are to be done: the strokes of the knife, K1 and on, and what is cut, by their numbers."""
        return tuple(line for line in self.key if line[0].lstrip("K").isdigit())

    @property
    def signs(self) -> tuple[tuple[str, str], ...]:
        """The others: what is left over, and what its signs mean."""
        return tuple(line for line in self.key if not line[0].lstrip("K").isdigit())


@dataclass(frozen=True)
class PlanShown:
    """A plan as a page shows it, with its drawings."""

    name: str
    fitted: Fitted
    pictures: tuple[Picture, ...]

    @property
    def verdict(self) -> Verdict:
        """Whole, joined, partly or none."""
        return self.fitted.plan.verdict

    @property
    def donors(self) -> tuple[str, ...]:
        """Tags of the pieces to cut, in order."""
        parts = (part.piece for patch in self.fitted.plan.patches for part in patch.parts)
        return tuple(dict.fromkeys(parts))

    @property
    def cutting(self) -> tuple[Picture, ...]:
        """The drawings of its donors, in the order of cutting."""
        return tuple(each for each in self.pictures if each.piece)

    @property
    def laying(self) -> tuple[Picture, ...]:
        """The drawings of how its patches are laid."""
        return tuple(each for each in self.pictures if not each.piece)

    @property
    def asking(self) -> tuple[str, ...]:
        """Whom to ask before anything is fetched, each a sentence; never for a customer's eyes."""
        return consents(self.fitted.plan, self.fitted.pieces)

    @property
    def sights(self) -> tuple[str, ...]:
        """What will be seen of it, the plainest first."""
        return sight_lines(self.fitted.plan)

    def spare(self, unit: Unit) -> tuple[str, ...]:
        """How exact the tape must be, and how far each seam may move."""
        return spare_lines(self.fitted.plan, self.fitted.job, unit)


@dataclass(frozen=True)
class Answer(PlanShown):
    """One way to make the job. `job` is its file as text, `digest` stands for exactly this plan."""

    job: str
    digest: str
    words: SheetWords
    way: int = 1
    speaks_for: tuple[str, ...] = ()
    speaks_against: tuple[str, ...] = ()
    change: str = ""
    cost: str = ""
    unlogged: tuple[str, ...] = ()
    waits: bool = False
    """True where its pieces must be ordered, or released by whoever holds them, before it can be held or cut."""

    @property
    def seen(self) -> str:
        """The donors and their versions as the page shows them, as text for a form: what changed since can then be told."""
        return json.dumps(dict(sorted(self.fitted.versions.items())))

    @property
    def name_wanted(self) -> bool:
        """True while the job has no name to book it under."""
        return self.fitted.job.name == NAMELESS

    @property
    def may_be_booked(self) -> bool:
        """Whether something is cut, and out of pieces that are there and free."""
        return self.verdict is not Verdict.NONE and not self.waits and not self.unlogged

    @property
    def match(self) -> str:
        """How well its carpet matches, the worst of its patches."""
        found = [patch.match for patch in self.fitted.plan.patches if patch.match]
        return max(found, key=lambda match: match.rank).grade.told if found else ""

    @property
    def seams(self) -> tuple[str, ...]:
        """The seams between its parts, and how each should show."""
        return tuple(f"{SEAMS[seam.kind]}, {SHOWS[seam.show]}" for patch in self.fitted.plan.patches for seam in patch.seams)

    def cut_sizes(self, unit: Unit) -> tuple[str, ...]:
        """Width by length of what is cut, for each part."""
        rings = (part.cut for patch in self.fitted.plan.patches for part in patch.parts)
        return tuple(extent_text(ring, unit) for ring in rings)


def job_asked(form: Form) -> dict[str, Any]:
    """What is in the job's file, out of the patch form. Raises BadInput at the form's fields."""
    job = header_asked(form)
    before, rooms = told_before(form, "patches"), told_before(form, "rooms")
    job |= {"rooms": rooms} if rooms else {}
    typed = not before or any(form.get(field, "").strip() for field in SIZES)
    job["patches"] = [*before, *([patch_of(form)] if typed else [])]
    return job


def header_asked(form: Form) -> dict[str, Any]:
    """What a job's file says beside its rooms and patches, out of a form. Raises BadInput at the form's fields."""
    wanted = {key: form.get(key, "").strip() for key in ("style", "colour", "lot")}
    job: dict[str, Any] = {"unit": reader_unit().value, "job": form.get("job", "").strip(), **wanted}
    added = {key: form.get(key, "").strip() for key in ("seam", "wall", "transition")}
    job["allowance"] = {key: length_at(key, text) for key, text in added.items() if text}
    if least := form.get("min_part", "").strip():
        job["min_part"] = length_at("min_part", least)
    if form.get("max_parts"):
        job["max_parts"] = _whole(form["max_parts"])
    if form.get("any_way"):
        job["turns"] = [0, 180]
    job |= {key: form.get(key, "").strip() for key in ("house", "customer", "branch")}
    job |= {key: list(tags_in(form.get(key, ""))) for key in ("use", "avoid")}
    job["may_use"] = [each.value for each in MayUse if form.get(f"may_{each.name.lower()}")]
    return job


def tags_in(text: str) -> tuple[str, ...]:
    """The tags in a field, with commas or blanks between."""
    return tuple(dict.fromkeys(text.replace(",", " ").split()))


def with_patch(form: Form) -> Typed:
    """The form, its patch put to those of the job asked before, and empty for the next one."""
    patches = job_asked(form)["patches"]
    told = (attribute.name for attribute in PATCH_MORE)
    own = (*SIZES, "name", "room", "motif_x", "motif_y", *told, "patches", *(f"edge_{index}" for index in range(MOST_EDGES)))
    return Typed(
        {field: text for field, text in form.items() if field not in own} | {"patches": json.dumps(patches, default=str)}
    )


def without_patch(form: Form) -> Typed:
    """The form without the earlier patch that its `drop` names, counted from 0."""
    left = [patch for index, patch in enumerate(told_before(form, "patches")) if str(index) != form.get("drop")]
    kept = Typed({field: text for field, text in form.items() if field not in ("drop", "patches")})
    return Typed(kept | {"patches": json.dumps(left)}) if left else kept


def asked_before(form: Form) -> tuple[str, ...]:
    """The patches of the job that were told already, each in a few words; none where they can't be read."""
    try:
        before, rooms = told_before(form, "patches"), told_before(form, "rooms")
        job = read_job({"unit": reader_unit().value, "patches": before, "rooms": rooms}) if before else None
    except BadInput:
        return ()
    told = (
        (patch.name, f"in {patch.wanted.room}" if patch.wanted.room else "", extent_text(patch.ring, reader_unit()))
        for patch in (job.patches if job else ())
    )
    return tuple(", ".join(text for text in texts if text) for texts in told)


def told_before(form: Form, what: str) -> list[dict[str, Any]]:
    """The patches or rooms of the job that were told already, as the keys of files. Raises BadInput."""
    text = form.get(what, "")
    refuse_longer(text)
    try:
        told = json.loads(text) if text else []
    except (ValueError, RecursionError):
        told = None
    if not isinstance(told, list) or not all(isinstance(each, dict) for each in told):
        raise BadInput(f"the {what} told before can't be read; tell them again")
    return told


def read_form_job(asked: str | Mapping[str, Any]) -> Job:
    """The job that a form asks for, or that is in the text which a page was given. Raises BadInput at the form's fields."""
    if isinstance(asked, str):
        refuse_longer(asked)
    try:
        return job_sent(asked, own_rules(opened()))
    except BadInput as error:
        raise at_fields(error) from None


def answers(
    catalogue: Catalogue,
    job: Job,
    file: str,
    unit: Unit,
    *,
    role: Role,
    today: date,
    stop: Callable[[], bool] = lambda: False,
    how: How = here,
    beside: Sequence[Piece] = (),
) -> tuple[Answer, ...]:
    """The recommended way for a job (`file` is its text), and beside it up to two more that nothing beats in every term.

    Told as people of the `role` are. Pieces `beside` the stock count too. The search ends in time, or when `stop` says so; it is
    worked out as `how` does. Raises BadInput at the form's fields.
    """
    try:
        fitted = fit_in_time(catalogue, job, today=today, ways=True, seconds=FIT_SECONDS, stop=stop, how=how, beside=beside)
    except BadInput as error:
        raise at_fields(error) from None
    ways = (_answer(number, fitted, file, unit, role) for number in range(1, max(1, len(fitted.ways)) + 1))
    changed = (_changed(number, fitted, unit, role) for number in range(1, len(fitted.bargains.found) + 1))
    return (*ways, *changed)


def digest_of(fitted: Fitted) -> str:
    """Stands for exactly this plan: the same parts from the same places."""
    parts = [patch["parts"] for patch in answer_json(fitted.plan)["patches"]]
    return hashlib.sha256(json.dumps(parts, sort_keys=True).encode()).hexdigest()[:32]


def pictures_of(fitted: Fitted, unit: Unit, role: Role, *, first: int = 1) -> tuple[Picture, ...]:
    """Every donor with its cuts and every patch with its parts, as the role is told of them; `first` keeps their ids apart."""
    if not fitted.plan.patches:
        return ()
    fitted = fitted_told(role, fitted)
    donors = len({part.piece for patch in fitted.plan.patches for part in patch.parts})
    paper = replace(SCREEN, tallest_mm=SCREEN.tallest_mm if donors < 2 else TALLEST_OF_MANY_MM)
    made = drawings(fitted.plan, fitted.job, pieces=fitted.pieces, styles=fitted.styles, unit=unit, paper=paper)
    titles = [*(f"Cut from {each.title}" for each in made[:donors]), *(f"Lay: {each.name}" for each in fitted.plan.patches)]
    tags = [each.name.removeprefix("piece ") if at < donors else "" for at, each in enumerate(made)]
    return tuple(
        Picture(on_page(drawing, first + at), title, key_lines(drawing), tag)
        for at, (drawing, title, tag) in enumerate(zip(made, titles, tags, strict=True))
    )


def words_of(fitted: Fitted, unit: Unit) -> SheetWords:
    """Materials, order of work and what to tell the customer; all empty where nothing is cut."""
    if not any(patch.parts for patch in fitted.plan.patches):
        return SheetWords((), (), ())
    return sheet_words(make_sheet(fitted, SheetWish(own_texts(), unit=unit, backfill=False)))


def _answer(number: int, fitted: Fitted, text: str, unit: Unit, role: Role) -> Answer:
    way = fitted.ways[number - 1] if fitted.ways else Way(fitted.plan)
    taken = fitted_told(role, fitted.taken(number))
    pictures = pictures_of(taken, unit, role, first=1 + 100 * (number - 1))
    words, digest = words_of(taken, unit), digest_of(taken)
    return Answer(
        WAYS[number - 1], donors_alone(taken), pictures, text, digest, words, number, way.speaks_for, way.speaks_against
    )


def _changed(number: int, fitted: Fitted, unit: Unit, role: Role) -> Answer:
    """The answer with one of the changes that would help: a job of its own, to be held or cut as it stands."""
    taken = fitted.with_bargain(number)
    file, told = json.dumps(job_json(taken.job)), fitted_told(role, taken)
    pictures = pictures_of(told, unit, role, first=1 + 100 * (number + len(WAYS)))
    words, digest = words_of(told, unit), digest_of(told)
    bargain = fitted.bargains.found[number - 1]
    cost = " ".join(text for text in (bargain.gain, bargain.cost) if text)
    made = Answer(f"Change {number}", donors_alone(told), pictures, file, digest, words)
    return replace(made, change=taken.chosen, cost=cost, waits=bool(bargain.beside))


def key_lines(drawing: Drawing) -> tuple[tuple[str, str], ...]:
    """A drawing's key: each line a number or letter (or nothing) and what it stands for."""
    parted = (line.partition("\t") for line in drawing.key)
    return tuple((head, rest) if tab else ("", head) for head, tab, rest in parted)


def _whole(text: str) -> int | str:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 4 else text[:40]
