"""What it takes to fetch the shop's own carpet, seen from the branch or the van that asks.

What lies at the own branch lies ready; then comes what somebody has in a van, then what lies at another branch, the nearer the
better (common practice, no source).
"""

from remnants.model import Fetch, Fetched, Kind, Piece
from remnants.model.branches import Branches, alike

__all__ = ["asks_from", "fetch_of"]


def asks_from(branch: str, ours: Branches) -> str:
    """The branch or van that asks: as told, else the shop's only branch; "" where that can't be told."""
    if branch:
        return ours.words_of(branch) or branch
    return ours.branch_of("") if not ours.several else ""


def fetch_of(piece: Piece, own: str, ours: Branches) -> Fetch | None:
    """What it takes to fetch a piece for who asks from `own` (see `asks_from`); None for what lies ready there.

    None too for carpet with customers, which no branch has, and where it isn't told who asks.
    """
    if not ours or (not own and ours.branches) or piece.customer or piece.kind not in (Kind.REMNANT, Kind.OFFCUT):
        return None
    van = ours.van_of(piece.place)
    if van is not None and alike(van.name) == alike(own):
        return None
    home, there = ours.branch_of(own), ours.branch_of(piece.place)
    if home == there:
        return Fetch(Fetched.VAN, van.name, words=f"from {van.name}, ask {van.custodian}") if van else None
    name = f"{there}, in {van.name}" if van else there
    distance = ours.between(home, there)
    if distance is None:
        return Fetch(Fetched.FAR_UNTOLD, name, words=f"from {name}, how far isn't told")
    return Fetch(Fetched.BRANCH, name, distance.whole_km, f"from {name}, {distance.words}")
