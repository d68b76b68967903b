"""What a sentence came to, told back: its words, a small picture, what isn't understood, what must still be told."""

from collections.abc import Iterable, Mapping
from typing import Any

from remnants.exchange.sentence.heard import Heard, Sentence
from remnants.units import Unit, parse_length, write_length

__all__ = ["asked_lines", "heard_lines", "picture_lines", "still_to_tell"]

_ARROWS = {0: "↑", 45: "↗", 90: "→", 135: "↘", 180: "↓", 225: "↙", 270: "←", 315: "↖"}
_WIDE = 18


def still_to_tell(sentence: Sentence) -> tuple[str, ...]:
    """What must still be told, a line for each: what of, and how it may be said."""
    return tuple(each.told for each in sentence.to_tell)


def heard_lines(heard: Iterable[Heard]) -> tuple[str, ...]:
    """The words and what they are taken for, a line for each."""
    lines = []
    for each in heard:
        where = f"{each.where}: " if each.where else ""
        lines.append(f"{where}{each.words}" + (f" = {each.told}" if each.told.casefold() != each.words else ""))
    return tuple(lines)


def asked_lines(sentence: Sentence) -> tuple[str, ...]:
    """All that is told of a sentence, line by line."""
    lines = ["Understood", *(f"  {line}" for line in heard_lines(sentence.heard))]
    lines += ["", *(f"  {line}" for line in picture)] if (picture := picture_lines(sentence.job)) else []
    if sentence.unread:
        lines += ["", f"Not understood: {', '.join(sentence.unread)}"]
    if sentence.ask:
        lines += ["", "Still to be told", *(f"  {line}" for line in still_to_tell(sentence))]
    return tuple(lines)


def picture_lines(job: Mapping[str, Any]) -> tuple[str, ...]:
    """A small picture of a patch with four sides: their finishes, its sizes and its pile; nothing for another shape."""
    patch = job["patches"][0]
    if "width" not in patch:
        return ()
    edges = patch["edges"]
    bottom, right, top, left = edges if isinstance(edges, list) else [edges] * 4
    arrow = _ARROWS.get(patch["pile"], "pile") if "pile" in patch else "pile?"
    unit = Unit(job["unit"])
    width, length = (write_length(parse_length(patch[side], unit), unit) for side in ("width", "length"))
    indent = " " * (len(left) + 1)
    return (
        f"{indent} {top:^{_WIDE}}",
        f"{indent}┌{'─' * _WIDE}┐",
        f"{left} │{arrow:^{_WIDE}}│ {right}, {length}",
        f"{indent}└{'─' * _WIDE}┘",
        f"{indent} {f'{bottom}, {width}':^{_WIDE}}",
    )
