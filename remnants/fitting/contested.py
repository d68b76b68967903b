"""Jobs that were answered each on its own, against the same stock: which pieces more than one of them would cut."""

from collections.abc import Sequence

from remnants.model.plan import Plan

__all__ = ["contested"]


def contested(plans: Sequence[Plan]) -> dict[str, tuple[str, ...]]:
    """Pieces that several plans cut, by tag, each with the names of those jobs in the order of the plans."""
    wanted: dict[str, dict[str, None]] = {}
    for plan in plans:
        for tag in (part.piece for patch in plan.patches for part in patch.parts):
            wanted.setdefault(tag, {})[plan.job] = None
    return {tag: tuple(wanted[tag]) for tag in sorted(wanted) if len(wanted[tag]) > 1}
