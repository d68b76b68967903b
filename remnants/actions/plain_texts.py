"""Texts that are typed, before they are written down."""

from remnants.errors import BadInput, Fault
from remnants.marks import unseen

__all__ = ["refuse_unseen_marks"]


def refuse_unseen_marks(**texts: str) -> None:
    """Raises BadInput for each text, by its name, that holds a character that nobody sees."""
    faults = [
        Fault(name, f"holds a character that nobody sees ({mark}): take it out, or type the text anew")
        for name, text in texts.items()
        if (mark := unseen(text.strip()))
    ]
    if faults:
        raise BadInput(faults)
