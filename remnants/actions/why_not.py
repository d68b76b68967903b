"""Why isn't this piece the choice, and what is the least that would make it so? Asked of any piece, also one that isn't offered.

Nothing is told of whose a piece is: the words are those of an answer, which a customer may read.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from typing import NamedTuple

from remnants.actions.bargaining import Anew
from remnants.actions.fit_job import Offer, Searching, fit_offer, names_of, offer_of
from remnants.actions.grading import Grading
from remnants.actions.near_tags import no_such_tag, tags_to_compare
from remnants.belonging import needed_for
from remnants.errors import BadInput, Fault
from remnants.fitting import FitRules
from remnants.fitting.bargains import Beside, bargains_for, made_by, without_names
from remnants.ledger.states import ON_HAND
from remnants.model import Asked, Change, ChangeKind, Grade, Job, MayUse, Piece, Plan, WhyNot
from remnants.packing import Watch
from remnants.question import How, Stop, here
from remnants.store import Catalogue, pieces

__all__ = ["WhyNotSearch", "why_not_in", "why_not_of"]

MOST_BESIDE = 40
"""Other pieces that are tried beside the one that is asked about."""

ALLOWED = {
    MayUse.OTHER_CUSTOMERS: (ChangeKind.OTHER_CUSTOMERS, "ask the customer who keeps it"),
    MayUse.IN_VIEW: (ChangeKind.IN_VIEW, "ask whether it may be lifted where it is seen"),
    MayUse.OTHER_HOUSES: (ChangeKind.OTHER_HOUSES, "ask in the house where it lies"),
}
MATCHED = (
    (Grade.OTHER_LOT, ChangeKind.LOT, "take another lot"),
    (Grade.CLOSE_SHADE, ChangeKind.CLOSE_SHADE, "take a close shade"),
    (Grade.SUBSTITUTE, ChangeKind.SUBSTITUTE, "take another style"),
)


QUICK = Searching(watch=Watch(tries=1))

ELSEWHERE = frozenset(
    {
        ChangeKind.HELD,
        ChangeKind.OTHER_CUSTOMERS,
        ChangeKind.IN_VIEW,
        ChangeKind.LOT,
        ChangeKind.CLOSE_SHADE,
        ChangeKind.SUBSTITUTE,
        ChangeKind.ROLL,
    }
)
"""Changes that decide which pieces are looked at: of one piece they are told first."""


BETTER = {
    "sights": "with {} less is seen",
    "points": "with {} the seams show less",
    "seen_mm": "with {} less seam is seen",
    "trouble": "{} troubles fewer",
    "spent": "{} spares more of the stock",
}
"""Why the choice stays, by the first term in which it is better."""


class _Step(NamedTuple):
    """Something that must be allowed, in words, and the job with it."""

    change: Change
    words: str
    job: Job


_Made = tuple[tuple[Change, ...], list[str], Job, Plan]
"""Changes and their words, the job with them, and its plan."""


@dataclass(frozen=True)
class WhyNotSearch:
    """A piece that is there, and all that it takes to tell why it isn't the choice for a job whose answer is `plan`, wherever."""

    offer: Offer = field(repr=False)
    job: Job
    piece: Piece
    plan: Plan = field(repr=False)

    def answer(self, _stop: Stop) -> WhyNot:
        """What is to be said of it. Raises Unproved when no plan passes its proof."""
        return why_not_here(self.offer, self.job, self.piece, self.plan)


def why_not_of(
    catalogue: Catalogue,
    job: Job,
    tag: str,
    plan: Plan,
    *,
    today: date | None = None,
    own: str | None = None,
    stop: Stop = lambda: False,
    how: How = here,
) -> WhyNot:
    """Of a piece of the catalogue. `plan` is the job's answer, `how` works it out. Raises BadInput where no piece has the tag."""
    standing = pieces.find_standing(catalogue, tag)
    if standing is None:
        raise _unknown(tag, tags_to_compare(catalogue, tag))
    if standing.stage not in ON_HAND:
        what = f"it is {standing.stage.value}"
        return WhyNot(standing.piece.tag, what, f"{standing.piece.tag} is {standing.stage.value}: no change of the job helps.")
    offer = offer_of(catalogue, job, today=today or datetime.now(UTC).date(), own=own)
    told: WhyNot = how(WhyNotSearch(offer, job, standing.piece, plan), stop)
    return told


def why_not_in(offer: Offer, job: Job, tag: str, plan: Plan) -> WhyNot:
    """Of a piece of a stock in hand. Raises BadInput where no piece has the tag."""
    found = next((piece for piece in offer.stock.pieces if piece.tag.casefold() == tag.casefold()), None)
    if found is None:
        raise _unknown(tag, [piece.tag for piece in offer.stock.pieces])
    return why_not_here(offer, job, found, plan)


def why_not_here(offer: Offer, job: Job, piece: Piece, plan: Plan) -> WhyNot:
    """Of a piece that is there, offered to the job or not."""
    tag = piece.tag
    if any(part.piece == tag for patch in plan.patches for part in patch.parts):
        return WhyNot(tag, "", f"{tag} is the choice already.")
    told = next((passed.reason for passed in plan.passed_over if passed.piece == tag), "")
    asked = (_least(offer, job, index, piece, told) for index in range(len(job.patches)))
    found = [each for each in asked if each is not None]
    if not found:
        reason = told or "nothing is known of it that would help"
        return WhyNot(tag, reason, f"{tag}: {reason}. Nothing that was tried makes it the choice.")
    return min(found, key=lambda each: len(each.changes))


def _least(offer: Offer, job: Job, index: int, piece: Piece, told: str) -> WhyNot | None:
    """The least after which the piece gives to one of the patches; None where nothing that was tried does it."""
    free = replace(job, use=(), avoid=tuple(tag for tag in job.avoid if tag.casefold() != piece.tag.casefold()))
    stock = replace(offer.stock, pieces=(piece,))
    names = offer.names or names_of(replace(offer.stock, pieces=(*offer.stock.pieces, piece)))
    grading = Grading(stock, names, offer.staircases)
    gates = _gates(offer, free, piece)
    for gate in gates:
        free = gate.job
    opened = _matched(free, index, grading)
    if opened is None:
        return None
    steps = [*gates, *opened]
    free = steps[-1].job if steps else free
    alone = replace(free, patches=(free.patches[index],))
    own = replace(offer, stock=stock, names=names, held=(), held_back=())
    made = _made_alone(own, alone, grading) or _beside_others(offer, alone, piece)
    if made is None:
        return None
    changes, words, changed, plan = made
    whole = replace(changed, patches=tuple(changed.patches[0] if at == index else each for at, each in enumerate(free.patches)))
    there = any(each.tag == piece.tag for each in offer.stock.pieces)
    answer = fit_offer(offer if there else offer.beside((piece,)), whole, search=QUICK).plan
    every = [*(step.words for step in steps), *words]
    first = (*(step.change for step in steps if step.change), *changes)
    why = _still(answer, piece.tag, plan)
    last = () if not why or ChangeKind.USE in {each.kind for each in first} else (Change(ChangeKind.USE, piece=piece.tag),)
    every += [f"ask for it (`--use {piece.tag}`)"] if last else []
    sentence = f"{_upper('; '.join(every))}, and {made_by(plan)}." if every else f"{_upper(made_by(plan))}."
    reason = told or "not offered"
    beaten = f" By itself it isn't taken: {why}." if why else ""
    return WhyNot(piece.tag, reason, f"{piece.tag}: {reason}. {sentence}{beaten}", (*first, *last), _told(plan, first))


def _told(plan: Plan, changes: Sequence[Change]) -> Plan:
    """The plan, without the places of pieces that belong to somebody else."""
    theirs = {ChangeKind.OTHER_CUSTOMERS, ChangeKind.OTHER_HOUSES}
    return without_names(plan) if theirs & {each.kind for each in changes} else plan


def _gates(offer: Offer, job: Job, piece: Piece) -> list[_Step]:
    """What must be allowed before the job looks at the piece at all."""
    found = []
    held = next((words for each, words in offer.held_back if each.tag == piece.tag), "")
    if held:
        found.append(_Step(Change(ChangeKind.HELD, piece=piece.tag), f"ask for it back, which is {held}", job))
    needed = needed_for(piece, job)
    if needed is not None and needed not in job.may_use:
        kind, words = ALLOWED[needed]
        job = replace(job, may_use=job.may_use | {needed})
        found.append(_Step(Change(kind), words, job))
    return found


def _matched(job: Job, index: int, grading: Grading) -> list[_Step] | None:
    """What carpet the patch must take beside the one it asks for; None where no such change takes this piece."""
    if grading.of(job)[0][index].candidates:
        return []
    patch = job.patches[index]
    for grade, kind, words in MATCHED:
        lower = grade is Grade.SUBSTITUTE
        wanted = replace(patch.wanted, substitute=lower or patch.wanted.substitute, lowest_grade=None if lower else grade)
        changed = replace(patch, wanted=wanted)
        patches = tuple(changed if at == index else each for at, each in enumerate(job.patches))
        asked = replace(job, patches=patches)
        if grading.of(asked)[0][index].candidates:
            return [_Step(Change(kind, patch.name), words, asked)]
    return None


def _made_alone(offer: Offer, job: Job, grading: Grading) -> _Made | None:
    """The least change of the patch by which the piece alone makes it."""

    def tell(asked: Asked) -> Plan:
        return fit_offer(offer, asked.job, search=QUICK).plan

    plan = tell(Asked(job))
    if not plan.short:
        return (), [], job, plan
    anew = Anew(grading, tell, rules=FitRules(keep=offer.keep))
    found = bargains_for(job, [plan], anew, beside=Beside(untried=ELSEWHERE)).found
    if not found:
        return None
    words = found[0].sentence.rpartition(", and ")[0]
    return found[0].changes, [_lower(words)], found[0].job, found[0].plan


def _beside_others(offer: Offer, job: Job, piece: Piece) -> _Made | None:
    """The patch from the piece and others that are offered."""
    candidates = Grading(offer.stock, offer.names or names_of(offer.stock), offer.staircases).of(job)[0][0].candidates
    others = tuple(each.piece for each in candidates[:MOST_BESIDE] if each.piece.tag != piece.tag)
    few = replace(offer, stock=replace(offer.stock, pieces=(piece, *others)), held=(), held_back=())
    plan = fit_offer(few, replace(job, use=(piece.tag,)), search=QUICK).plan
    if plan.short or not any(part.piece == piece.tag for patch in plan.patches for part in patch.parts):
        return None
    return (Change(ChangeKind.USE, piece=piece.tag),), [f"ask for it (`--use {piece.tag}`)"], job, plan


def _still(plan: Plan, tag: str, own: Plan) -> str:
    """Why the piece isn't taken by itself even so; "" where it is. `own` is the plan of its patch that takes it."""
    used = dict.fromkeys(part.piece for patch in plan.patches for part in patch.parts)
    if tag in used:
        return ""
    term = plan.merit.differs_in(own.merit) if plan.merit and own.merit and len(plan.patches) == 1 else ""
    return BETTER.get(term, "others serve as well or better").format(" and ".join(used))


def _unknown(tag: str, tags: Sequence[str]) -> BadInput:
    return BadInput([Fault("--why-not", f"{no_such_tag(tag, tags)}: write it as it stands on the piece")])


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]
