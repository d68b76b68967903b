"""What answering a job comes to."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from remnants.errors import BadInput, Fault
from remnants.model import Bargains, Job, MeasureAgain, Piece, Plan, Style, Way, WhyNot
from remnants.model.bargain import NO_BARGAINS

__all__ = ["Fitted"]

NOTHING_TO_TAKE = "no change is told that would help: leave --take out"


@dataclass(frozen=True)
class Fitted:
    """A proved plan, the stock that it was made from, and what typed names were taken for.

    `versions` are those of the donors in the catalogue when the plan was made, by tag. `ways` are the plan and up to two beside
    it, where they were asked for; `bargains` what would fill more, or show less; `known_versions` are those of all that
    was offered. `chosen` tells which way a person took instead of the first, and what speaks for it. `measure` tells
    which floors to measure again, `why_not` of a piece that was asked about.
    """

    plan: Plan
    job: Job
    pieces: Mapping[str, Piece]
    styles: Mapping[str, Style]
    notes: tuple[str, ...] = ()
    versions: Mapping[str, int] = field(default_factory=dict)
    ways: tuple[Way, ...] = ()
    bargains: Bargains = NO_BARGAINS
    known_versions: Mapping[str, int] = field(default_factory=dict)
    chosen: str = ""
    measure: tuple[MeasureAgain, ...] = ()
    why_not: WhyNot | None = None

    def with_bargain(self, number: int) -> "Fitted":
        """The answer to the job with one of its bargains, counted from 1. Raises BadInput where there is no such bargain."""
        found = self.bargains.found
        if not 1 <= number <= len(found):
            count = len(found)
            what = f"{count} changes are told: give 1 to {count}" if count > 1 else "one change is told: give 1"
            what = what if found else NOTHING_TO_TAKE
            raise BadInput([Fault("--take", what)])
        bargain = found[number - 1]
        used = {part.piece for patch in bargain.plan.patches for part in patch.parts}
        versions = {tag: version for tag, version in self.known_versions.items() if tag in used}
        pieces = {**self.pieces, **{piece.tag: piece for piece in bargain.beside}}
        changed = replace(self, plan=bargain.plan, job=bargain.job, pieces=pieces, versions=versions)
        return replace(changed, ways=(), bargains=NO_BARGAINS, chosen=bargain.sentence)

    def taken(self, number: int) -> "Fitted":
        """The same with another of its ways, counted from 1. Raises BadInput where there is no such way."""
        if not 1 <= number <= max(1, len(self.ways)):
            count = len(self.ways)
            what = (
                f"there are {count} ways for {self.job.name!r}: give 1 to {count}"
                if count > 1
                else "there is one way only: give 1"
            )
            raise BadInput([Fault("--way", what)])
        if number == 1:
            return self
        way = self.ways[number - 1]
        plan, speaks = way.plan, "; ".join(way.speaks_for)
        chosen = f"way {number} of {len(self.ways)}" + (f": {speaks}" if speaks else "")
        used = {part.piece for patch in plan.patches for part in patch.parts}
        versions = {tag: version for tag, version in self.known_versions.items() if tag in used}
        return replace(self, plan=plan, versions=versions, ways=(), chosen=chosen)
