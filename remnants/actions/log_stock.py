"""Putting a whole stock file into the catalogue: its branches and vans, its pieces, and what is on the way; all of it or none."""

from remnants.actions.booking import book, once
from remnants.actions.branches import put_branch, put_van
from remnants.actions.log_pieces import put_in
from remnants.errors import BadInput, Fault
from remnants.exchange import Stock
from remnants.ledger import Sent, Signed
from remnants.model.branches import Branches
from remnants.store import Catalogue
from remnants.store.branches import all_branches

__all__ = ["log_stock"]


def log_stock(catalogue: Catalogue, stock: Stock, *, signed: Signed, key: str = "") -> tuple[str, ...]:
    """Stores what a stock file tells; gives the tags of all its pieces.

    A branch or van that the shop has is told anew, as a style is. What is on the way is received where it lay, and sent.

    Raises BadInput with its place in the file for a tag that is taken, a name that is somebody else's, or a goal that is no
    branch and no van; then nothing is stored.
    """
    tags = [*(piece.tag for piece in stock.pieces), *(each.piece.tag for each in stock.sent)]

    def do() -> list[str]:
        _put_branches(catalogue, stock.branches, signed)
        try:
            put_in(catalogue, stock.styles, (*stock.pieces, *(each.piece for each in stock.sent)), signed)
        except BadInput as error:
            raise BadInput(_at_way(fault, len(stock.pieces)) for fault in error.faults) from None
        ours = all_branches(catalogue)
        faults = [
            Fault(f"on_the_way[{index}].sent_to", f"no branch and no van is called {each.goal!r}")
            for index, each in enumerate(stock.sent)
            if not ours.named(each.goal)
        ]
        if faults:
            raise BadInput(faults)
        changes = [(each.piece.tag, Sent(each.start, ours.named(each.goal), each.expected)) for each in stock.sent]
        book(catalogue, changes, signed)
        return tags

    asked = ["log", tags, *(["stock", repr(stock.branches), repr(stock.sent)] if stock.branches or stock.sent else ())]
    return tuple(once(catalogue, key, asked, signed, do))


def _put_branches(catalogue: Catalogue, told: Branches, signed: Signed) -> None:
    """Puts in what is new and tells anew what the shop has; the caller holds the transaction. Raises BadInput."""
    for index, branch in enumerate(told.branches):
        new = all_branches(catalogue).branch_named(branch.name) is None
        away = [
            (other.name, distance.words) for other in told.branches[:index] if (distance := told.between(branch.name, other.name))
        ]
        try:
            if new or branch.places or away:
                put_branch(catalogue, branch.name, new=new, places=branch.places, away=away, signed=signed)
        except BadInput as error:
            raise BadInput(Fault(f"branches[{index}]", fault.what) for fault in error.faults) from None
    for index, van in enumerate(told.vans):
        try:
            put_van(catalogue, van, signed=signed)
        except BadInput as error:
            raise BadInput(Fault(f"vans[{index}]", fault.what) for fault in error.faults) from None


def _at_way(fault: Fault, lying: int) -> Fault:
    """The same fault at `on_the_way[0].piece` where it is of `pieces[n]` behind those that lie somewhere."""
    match fault.path:
        case ("pieces", int(index), *rest) if index >= lying:
            return Fault(f"on_the_way[{index - lying}].piece{''.join(f'.{step}' for step in rest)}", fault.what)
    return fault
