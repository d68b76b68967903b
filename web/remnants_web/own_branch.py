"""From which branch or van whoever asks works: what pages start with, and where it is said otherwise."""

from dataclasses import dataclass

from flask import g, request

from remnants.actions.branches import branches_of, has_branches
from remnants.actions.own_branch import own_branch
from remnants.model import Kind, Piece
from remnants.model.branches import NO_BRANCHES, Branches
from remnants_web.access import signed_in
from remnants_web.shop import catalogue

__all__ = ["OwnBranch", "branch_told", "here_now"]


@dataclass(frozen=True)
class OwnBranch:
    """The branch or van that whoever asks works from ("": none in particular), and the shop's branches and vans."""

    name: str = ""
    ours: Branches = NO_BRANCHES

    @property
    def names(self) -> tuple[str, ...]:
        """All that may be chosen."""
        return (*(branch.name for branch in self.ours.branches), *(van.name for van in self.ours.vans))

    def has(self, piece: Piece) -> bool:
        """Whether it is the shop's own and lies there; what lies in a van of a branch is at that branch."""
        whose = (self.ours.branch_of(piece.place), self.ours.words_of(piece.place))
        return piece.kind in (Kind.REMNANT, Kind.OFFCUT) and not piece.customer and self.name in whose


def here_now() -> OwnBranch:
    """The own branch of whoever asks, read once a request; of a shop that told of no branches there is none."""
    if "own_branch" not in g:
        g.own_branch, session = OwnBranch(), signed_in()
        if session and has_branches(catalogue()):
            g.own_branch = OwnBranch(own_branch(catalogue(), session.person), branches_of(catalogue()))
    found: OwnBranch = g.own_branch
    return found


def branch_told() -> str:
    """The branch that the form or the address says its page was for; else the own one of whoever asks.

    What waited on a device is for the branch that its page showed, whatever was chosen meanwhile.
    """
    told = request.values.get("branch")
    return here_now().name if told is None else here_now().ours.named(told)
