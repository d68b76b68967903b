"""The rolls that there are, as they are typed: a line each, with its name, what is on it and its lot."""

from typing import Any

from remnants.errors import Fault

__all__ = ["ROLLS_FIELD", "rolls_typed"]

ROLLS_FIELD = "rolls_there"


def rolls_typed(text: str, faults: list[Fault]) -> list[dict[str, Any]]:
    """Entries of a rooms file out of lines such as `A, 65 ft, 4471-B`; what is no such line is noted in `faults`."""
    rolls = []
    for line in (line.strip() for line in text.splitlines()):
        cells = [cell.strip() for cell in line.split(",")]
        if line and not 2 <= len(cells) <= 3:
            faults.append(
                Fault(ROLLS_FIELD, f"{line[:40]!r} is no roll: write its name, what is on it, and its lot, such as A, 20 m, 4471")
            )
        elif line:
            rolls.append(dict(zip(("name", "length", "lot"), cells, strict=False)))
    return rolls
