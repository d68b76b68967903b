"""Copies of the catalogue in sentences: what a schedule did, what a drill found, how old the newest copy is. Times are UTC."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from remnants.days import moment_words

__all__ = ["OLD", "CopyLine", "age_words", "copy_line", "drill_lines", "due_line", "step_lines"]

OLD = timedelta(days=7)
"""A newest copy that is older is warned of."""


@dataclass(frozen=True)
class CopyLine:
    """A line for the page that one starts from, and whether it is a warning."""

    text: str
    warns: bool


def age_words(since: datetime, now: datetime) -> str:
    """`today`, `yesterday`, `12 days ago`, by the calendar."""
    days = (now.date() - since.date()).days
    return {0: "today", 1: "yesterday"}.get(max(days, 0), f"{days} days ago")


def step_lines(file: str, size_bytes: int, holds: str, *, dropped: Sequence[str]) -> tuple[str, ...]:
    """The copy that a schedule made, what it holds, and the older ones that were dropped."""
    made = f"{file}: {size_bytes / 1e6:.1f} MB, proved sound: {holds}"
    return (made, f"dropped: {', '.join(dropped)}") if dropped else (made,)


def due_line(there: int, due: datetime, *, made: bool) -> str:
    """How many copies a schedule has, and when the next is due."""
    kept = f"{there} {'copy is' if there == 1 else 'copies are'} kept"
    return f"{kept}; the next is due on {moment_words(due)}" if made else f"no copy is due before {moment_words(due)}; {kept}"


def drill_lines(
    file: str,
    made: datetime | None,
    now: datetime,
    *,
    holds: str,
    plans: int,
    kept: int,
    outgrown: Sequence[str],
    faults: Sequence[str],
) -> tuple[str, ...]:
    """What a drill found, in the order in which somebody wants to know it."""
    age = f"made on {moment_words(made)}, {age_words(made, now)}" if made else "made nobody knows when"
    if faults:
        return (
            f"THE DRILL FAILED: {file}, {age}, would not bring your stock back",
            *faults,
            "make a new copy now with `remnants backup`, on another disk, and try that one out too",
            "prove the catalogue with `remnants verify`; throw no older copy away before a newer one passes",
        )
    lines = [f"{file}, {age}", f"brought back aside: {holds}; every piece stands where its entries lead"]
    if not kept:
        lines.append("no plan is held or cut in it, so none was proved")
    elif plans:
        newest = f", the newest of {kept}" if plans + len(outgrown) < kept else ""
        lines.append(f"{plans} plan{'s' * (plans != 1)} held or cut in it proved again{newest}")
    if outgrown:
        lines.append(f"not proved, and no better in the catalogue itself: {', '.join(outgrown)}")
    return (*lines, "the drill passed: this copy would bring your stock back. The stock itself was not touched")


def copy_line(newest: datetime | None, drilled: datetime | None, now: datetime, *, passed: bool) -> CopyLine:
    """How old the newest copy is and when copies were last tried out, or what is wrong with that."""
    tried = f"copies were last tried out {age_words(drilled, now)}" if drilled else "no copy was ever tried out"
    if newest is None:
        return CopyLine("No copy of the stock is known: if this disk fails, all of it is gone. Have one made today.", warns=True)
    made = f"The newest copy of the stock was made {age_words(newest, now)}"
    if drilled and not passed:
        return CopyLine(
            f"{made}; one that was tried out {age_words(drilled, now)} failed. Have a new one made today.", warns=True
        )
    if now - newest > OLD:
        return CopyLine(f"{made}: what was written down since is nowhere else. Have one made today; {tried}.", warns=True)
    return CopyLine(f"{made}; {tried}.", warns=False)
