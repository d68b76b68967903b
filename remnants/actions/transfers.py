"""What goes from branch to branch or into a van: sent, then taken in, called back, or not there. Each is one transaction."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from remnants.actions.booking import book, once, refuse_unseen, standing_of
from remnants.actions.plain_texts import refuse_unseen_marks
from remnants.days import day_words
from remnants.errors import BadInput, Fault, NotAllowed, NotFound
from remnants.ledger import CalledBack, Change, Counted, Entry, Sent, Signed, Stage, Standing, TakenIn, applied
from remnants.model.branches import Branches, alike
from remnants.store import Catalogue, ways
from remnants.store.branches import all_branches

__all__ = ["call_back", "count_on_the_way", "not_there", "on_the_way", "place_at", "send", "take_in", "usual_day"]

DAYS_ON_THE_WAY = 1
"""What is sent is expected on the next day where nobody says another (common practice, no source)."""

Seen = Mapping[str, int]
"""The versions of pieces, by tag, as whoever asks saw them."""


def usual_day(today: date) -> date:
    """The day on which what is sent today is expected where nobody says another."""
    return today + timedelta(days=DAYS_ON_THE_WAY)


def send(
    catalogue: Catalogue,
    tags: Sequence[str],
    goal: str,
    *,
    expected: date | None = None,
    seen: Seen | None = None,
    signed: Signed,
    key: str = "",
) -> tuple[Standing, ...]:
    """Sends pieces of the shop to a branch or a van, to be there on a day; gives how they stand then.

    One that is held goes for its job alone, which `signed` names.

    Raises BadInput for a goal that is none or a day that is past; NotFound, NotAllowed with all that can't be sent; StockChanged.
    """
    found = all_branches(catalogue)
    whose = found.branch_named(goal) or found.van_named(goal)
    if whose is None:
        raise BadInput(
            [Fault("to", f"no branch and no van is called {goal.strip()!r}; `remnants branch` and `remnants van` list them")]
        )
    day = expected or usual_day(signed.at.date())
    if day < signed.at.date():
        raise BadInput([Fault("expected", f"{day_words(day)} is past: say the day on which it will be there")])

    def change(before: Standing) -> Change:
        start = _whose(found, before.piece.place)
        if before.stage is not Stage.ON_THE_WAY and alike(start) == alike(whose.name):
            raise NotAllowed(f"{before.piece.tag} lies at {whose.name} already")
        return Sent(start, whose.name, day)

    return _each(catalogue, ["send", whose.name, day.isoformat()], tags, change, seen=seen, signed=signed, key=key)


def take_in(
    catalogue: Catalogue,
    tags: Sequence[str],
    place: str = "",
    *,
    seen: Seen | None = None,
    signed: Signed,
    key: str = "",
) -> tuple[Standing, ...]:
    """Says that pieces came where they were sent to, and lie at `place` there; gives how they stand then.

    Raises BadInput for a place of another branch or van; NotFound, NotAllowed with all that are not on the way; StockChanged.
    """
    refuse_unseen_marks(place=place)
    found = all_branches(catalogue)

    def change(before: Standing) -> Change:
        return TakenIn(place_at(found, before.way.goal, place) if before.way else place)

    return _each(catalogue, ["take in", place], tags, change, seen=seen, signed=signed, key=key)


def call_back(
    catalogue: Catalogue, tags: Sequence[str], *, seen: Seen | None = None, signed: Signed, key: str = ""
) -> tuple[Standing, ...]:
    """Calls pieces back that are on the way: they lie where they lay. Raises NotFound, NotAllowed, StockChanged."""
    return _each(catalogue, ["call back"], tags, lambda _: CalledBack(), seen=seen, signed=signed, key=key)


def not_there(
    catalogue: Catalogue, tags: Sequence[str], *, seen: Seen | None = None, signed: Signed, key: str = ""
) -> tuple[Standing, ...]:
    """Says that pieces never came: they are missing, from the place where they lay. Raises NotFound, NotAllowed, StockChanged."""

    def change(before: Standing) -> Change:
        if before.way is None:
            raise NotAllowed(f"{before.piece.tag} is {before.words}, not on the way")
        return Counted(before.way.goal, seen=False)

    return _each(catalogue, ["not there"], tags, change, seen=seen, signed=signed, key=key)


def on_the_way(catalogue: Catalogue, *, after: int = 0, most: int | None = None) -> tuple[Standing, ...]:
    """What is on the way, what was expected first before the rest: all, or `most` pieces `after` so many.

    A branch that was renamed meanwhile is told as it is called now.
    """
    ours, sent = all_branches(catalogue), ways.on_the_way(catalogue, after=after, most=most)
    return tuple(_as_called_now(ours, standing.on(catalogue.today())) for standing in sent)


def _as_called_now(ours: Branches, standing: Standing) -> Standing:
    """A piece on the way, with the names that the branches have by now from which and to which it was sent."""
    way = standing.way
    if way is None:
        return standing
    start, goal = ours.named(way.start) or way.start, ours.named(way.goal) or way.goal
    return replace(standing, way=replace(way, start=start, goal=goal))


def count_on_the_way(catalogue: Catalogue) -> tuple[int, int]:
    """How many pieces are on the way, and how many of them are late today."""
    return ways.count_on_the_way(catalogue), ways.count_on_the_way(catalogue, expected_before=catalogue.today())


def place_at(found: Branches, goal: str, place: str) -> str:
    """A place as it is told at the branch or van `goal`: `Bay 3` at North is `North Bay 3`. Raises BadInput for another's."""
    place = " ".join(place.split())
    if not place:
        return goal
    whose, own = found.words_of(place), found.words_of(goal) or goal
    if whose == own or (not whose and own == found.branch_of("")):
        return place
    if not whose:
        return f"{goal} {place}"
    raise BadInput(
        [Fault("place", f"{place!r} is a place of {whose}; this was sent to {goal}: take it in there, then send it on")]
    )


def _whose(found: Branches, place: str) -> str:
    return found.words_of(place) or found.branch_of(place)


def _each(
    catalogue: Catalogue,
    asked: list[str],
    tags: Sequence[str],
    change: Callable[[Standing], Change],
    *,
    seen: Seen | None,
    signed: Signed,
    key: str,
) -> tuple[Standing, ...]:
    """Books one change a piece, all or none; what hinders any is told of all at once."""
    named = list(dict.fromkeys(tag.strip() for tag in tags if tag.strip()))
    if not named:
        raise BadInput([Fault("tags", "name at least one piece by its tag")])

    def do() -> list[str]:
        changes: dict[str, Change] = {}
        refused: list[NotFound | NotAllowed] = []
        for tag in named:
            try:
                before = standing_of(catalogue, tag)
                refuse_unseen(catalogue, before, (seen or {}).get(tag))
                own, told = before.piece.tag, change(before)
                applied(before, Entry(1, 1, own, told, signed))  # its number matters to nobody: nothing is written yet
                changes[own] = told
            except (NotFound, NotAllowed) as error:
                refused.append(error)
        if len(refused) == 1:
            raise refused[0]
        if refused:
            raise NotAllowed(f"nothing was done: {'; '.join(map(str, refused))}")
        return [standing.piece.tag for standing in book(catalogue, list(changes.items()), signed)]

    done = once(catalogue, key, [*asked, named, sorted((seen or {}).items())], signed, do)
    return tuple(standing_of(catalogue, tag) for tag in done)
