"""The shop's branches and vans: put in, told anew, closed. Each change is one transaction, whole or not at all."""

from collections.abc import Sequence

from remnants.actions.booking import once
from remnants.actions.plain_texts import refuse_unseen_marks
from remnants.errors import BadInput, Fault, NotAllowed, NotFound
from remnants.ledger import Signed
from remnants.limits import PERSON_CHARACTERS
from remnants.model.branches import Branches, Van, alike
from remnants.model.distance import read_distance
from remnants.store import Catalogue, pieces, ways
from remnants.store import branches as rows

__all__ = ["branches_of", "close_branch", "close_van", "has_branches", "pieces_by_place", "put_branch", "put_van"]


def branches_of(catalogue: Catalogue) -> Branches:
    """All that the shop told of its branches and vans."""
    return rows.all_branches(catalogue)


def has_branches(catalogue: Catalogue) -> bool:
    """Whether the shop told of any branch or van."""
    return rows.any_told(catalogue)


def pieces_by_place(catalogue: Catalogue, found: Branches) -> dict[str, int]:
    """How many pieces should lie at each branch, and in each van, by name; carpet with customers is at none."""
    counts = dict.fromkeys([*(branch.name for branch in found.branches), *(van.name for van in found.vans)], 0)
    for place, here, theirs in pieces.place_counts(catalogue):
        van = found.van_of(place)
        name = van.name if van else found.branch_of(place)
        counts[name] = counts.get(name, 0) + here - theirs
    return counts


def put_branch(
    catalogue: Catalogue,
    name: str,
    *,
    new: bool = False,
    places: Sequence[str] = (),
    away: Sequence[tuple[str, str]] = (),
    called: str = "",
    signed: Signed,
    key: str = "",
) -> str:
    """Puts a branch in (`new`), or tells one anew: words that its `places` begin with, how far `away` other branches are
    (name and distance in words), another name. Gives its name.

    Raises NotFound for a branch that isn't there, BadInput with every word that another has and every text that can't be read.
    """
    name, called = " ".join(name.split()), " ".join(called.split())
    words = tuple({alike(each): " ".join(each.split()) for each in places}.values())

    def do() -> str:
        found = rows.all_branches(catalogue)
        own = found.branch_named(name)
        if not new and own is None:
            raise NotFound(f"no branch is called {name!r}; `remnants branch` lists those there are, --new puts one in")
        mine = f"the branch {own.name}" if own else ""
        faults = _faults_of_words(found, "name", [name], free_for="") if new else []
        faults += _faults_of_words(found, "--places", words, free_for=mine)
        faults += _faults_of_words(found, "--call", [called] if called else [], free_for=mine)
        faults += [
            Fault("--away", f"no other branch is called {other!r}")
            for other, _ in away
            if found.branch_named(other) is None or alike(other) == alike(name)
        ]
        if faults:
            raise BadInput(faults)
        distances = [(other, read_distance(text, "--away")) for other, text in away]
        if new:
            rows.add_branch(catalogue, name, signed)
        for each in words:
            if not found.owner_of(each) and alike(each) != alike(name):
                rows.add_place(catalogue, name, each, signed)
        for other, distance in distances:
            rows.put_distance(catalogue, name, other, distance, signed)
        if called:
            rows.rename(catalogue, name, called, signed)
        return called or (own.name if own else name)

    return str(once(catalogue, key, ["branch", name, new, words, [list(each) for each in away], called], signed, do))


def close_branch(catalogue: Catalogue, name: str, *, signed: Signed, key: str = "") -> str:
    """Takes a branch away at which nothing lies.

    Raises NotFound; NotAllowed while something lies there, and for the first one while others are left.
    """

    def do() -> str:
        found = rows.all_branches(catalogue)
        own = found.branch_named(name)
        if own is None:
            raise NotFound(f"no branch is called {name!r}; `remnants branch` lists those there are")
        if found.several and own is found.branches[0]:
            raise NotAllowed(f"{own.name} has every place that no other branch has, so it is closed last; nothing was changed")
        _refuse_unless_empty(catalogue, found, own.name, "at")
        rows.drop_branch(catalogue, own.name)
        return own.name

    return str(once(catalogue, key, ["close branch", name], signed, do))


def put_van(catalogue: Catalogue, van: Van, *, signed: Signed, key: str = "") -> str:
    """Puts a van in, or says anew who has it and of which branch it is; gives its name. Raises BadInput, NotFound."""
    name, custodian = " ".join(van.name.split()), " ".join(van.custodian.split())

    def do() -> str:
        found = rows.all_branches(catalogue)
        own = found.van_named(name)
        refuse_unseen_marks(**{"--with": custodian})
        faults = _faults_of_words(found, "name", [name], free_for=f"the van {own.name}" if own else "")
        if not custodian and own is None:
            faults.append(Fault("--with", "say who answers for what lies in it"))
        if van.branch and found.branch_named(van.branch) is None:
            faults.append(Fault("--of", f"no branch is called {van.branch!r}; `remnants branch` lists those there are"))
        if faults:
            raise BadInput(faults)
        known = own or Van(name, custodian)
        rows.put_van(catalogue, Van(known.name, custodian or known.custodian, van.branch or known.branch), signed)
        return known.name

    return str(once(catalogue, key, ["van", name, custodian, van.branch], signed, do))


def close_van(catalogue: Catalogue, name: str, *, signed: Signed, key: str = "") -> str:
    """Takes a van away that nothing lies in. Raises NotFound, NotAllowed."""

    def do() -> str:
        found = rows.all_branches(catalogue)
        own = found.van_named(name)
        if own is None:
            raise NotFound(f"no van is called {name!r}; `remnants van` lists those there are")
        _refuse_unless_empty(catalogue, found, own.name, "in")
        rows.drop_van(catalogue, own.name)
        return own.name

    return str(once(catalogue, key, ["close van", name], signed, do))


def _refuse_unless_empty(catalogue: Catalogue, found: Branches, name: str, at: str) -> None:
    """Raises NotAllowed while anything is on the way there or lies there; what lies at the only branch is the shop's again."""
    coming = ways.coming_by_goal(catalogue).items()
    if count := sum(count for goal, count in coming if found.named(goal) == name):
        told = "1 piece is" if count == 1 else f"{count:,} pieces are"
        raise NotAllowed(f"{told} on the way to {name}; take in or call back what is coming first")
    if [branch.name for branch in found.branches] != [name] and (count := pieces_by_place(catalogue, found)[name]):
        told = "1 piece lies" if count == 1 else f"{count:,} pieces lie"
        raise NotAllowed(f"{told} {at} {name}; send or move what is there first")


def _faults_of_words(found: Branches, where: str, words: Sequence[str], *, free_for: str) -> list[Fault]:
    """What is wrong with words that shall begin places: somebody else's, none, too many characters."""
    refuse_unseen_marks(**{where: " ".join(words)})
    faults = []
    for each in words:
        owner = found.owner_of(each)
        if not alike(each):
            faults.append(Fault(where, "it needs words that somebody can read"))
        elif len(each) > PERSON_CHARACTERS:
            faults.append(Fault(where, f"{each[:20]!r}… has {len(each)} characters; keep it to {PERSON_CHARACTERS}"))
        elif owner and owner != free_for:
            faults.append(
                Fault(where, f"{each!r} is {owner} already; two that are read alike would be mixed up, so take another")
            )
    return faults
