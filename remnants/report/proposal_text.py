"""Proposed outlines as text for a terminal, a file or a mail."""

from collections.abc import Mapping, Sequence

from remnants.kept_whole import wrapped_whole
from remnants.model import DamagedJob, Piece, Proposal, Verdict
from remnants.report.wording import VERDICTS, consents, sight_lines, spare_lines
from remnants.units import Unit

__all__ = ["ask_next", "proposals_text"]

INDENT = "   "


def ask_next(asked: DamagedJob) -> tuple[str, ...]:
    """What isn't told yet and would make the outlines better, in sentences; nothing where all is known."""
    missing = []
    for index in asked.damaged:
        patch = asked.job.patches[index]
        room = asked.job.room_of(patch)
        if room is None or not room.ring:
            missing.append(
                f"The walls round {patch.name} aren't told: measure the room, and where the damage lies in it. "
                "An outline may then end at a wall or a doorway, where no seam is."
            )
            continue
        lacking = [
            word
            for word, told in (
                ("doorways", room.doorways),
                ("where people walk", room.lanes),
                ("where light comes in", room.light_deg is not None),
                ("what furniture covers", room.hidden),
            )
            if not told
        ]
        if lacking:
            missing.append(f"Of {room.name} isn't told: {', '.join(lacking)}. Say so if there is any.")
    return tuple(dict.fromkeys(missing))


def proposals_text(
    proposals: Sequence[Proposal],
    asked: DamagedJob,
    pieces: Mapping[str, Piece],
    *,
    width: int,
    command: str,
) -> str:
    """Each outline with where it stops and why, what makes it, what will be seen and what is to spare.

    Then what to tell and what to do next. Lines have at most `width` characters; `command` takes one of them, and stands on a
    line of its own, unbroken, to be copied. `pieces` by tag may lack some.
    """
    count = len(proposals)
    lines = [f"{asked.job.name}: {f'{count} outlines, the recommended one first' if count > 1 else 'one outline'}"]
    for number, proposal in enumerate(proposals, 1):
        lines += ["", f"Outline {number}{' (recommended)' if number == 1 and count > 1 else ''}"]
        lines += [part for line in _about(proposal, pieces) for part in _wrapped(line, width)]
    for line in ask_next(asked):
        lines += ["", *wrapped_whole(line, width)]
    lines += ["", f"Go on with {'one of them' if count > 1 else 'it'}:", f"{INDENT}{command}"]
    return "\n".join(lines) + "\n"


def _wrapped(line: str, width: int) -> list[str]:
    return wrapped_whole(line, width, first=INDENT, then=INDENT + "  ")


def _about(proposal: Proposal, pieces: Mapping[str, Piece]) -> list[str]:
    plan = proposal.plan
    made = [f"{VERDICTS[plan.verdict]}: {_tags(proposal, pieces)}."] if plan.verdict is not Verdict.NONE else []
    spare = spare_lines(plan, proposal.job, Unit(proposal.job.unit))
    return [*proposal.words, *made, *consents(plan, pieces), *sight_lines(plan), *spare]


def _tags(proposal: Proposal, pieces: Mapping[str, Piece]) -> str:
    tags = dict.fromkeys(part.piece for patch in proposal.plan.patches for part in patch.parts)
    return "cut from " + ", ".join(_at_its_place(tag, pieces.get(tag)) for tag in tags)


def _at_its_place(tag: str, piece: Piece | None) -> str:
    return f"{tag} ({piece.place})" if piece and piece.place else tag
