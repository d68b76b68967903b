"""Branches of a shop, their vans, and whose a place is: told from how the place is written, so that nothing is typed anew.

A place stays what it always was, a text. It belongs to the branch or the van whose words it begins with: `North Bay 3` to North,
`Unit 12, rack 4` to the branch that has `Unit 12`, `Van 3` to that van. The longest words win. A place that begins with nobody's
words belongs to the first branch, so a shop that opens a second one goes on as before.
"""

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from remnants.model.distance import Distance

__all__ = ["NO_BRANCHES", "Branch", "Branches", "Van", "alike", "pair_of"]


def alike(text: str) -> str:
    """How a name or the words of a place are compared: whatever their letter case, blanks and width of signs."""
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())


def pair_of(one: str, other: str) -> frozenset[str]:
    """Two names as one key, whichever comes first."""
    return frozenset((alike(one), alike(other)))


@dataclass(frozen=True, slots=True)
class Branch:
    """A branch. `places` are the words with which its places begin, beside its own name."""

    name: str
    places: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Van:
    """A van: a place with a custodian, who answers for what lies in it. `branch` is the name of the one that it is of."""

    name: str
    custodian: str
    branch: str = ""


@dataclass(frozen=True)
class Branches:
    """All branches in the order in which they were put in, all vans by name, and how far it is between branches by `pair_of`."""

    branches: tuple[Branch, ...] = ()
    vans: tuple[Van, ...] = ()
    distances: Mapping[frozenset[str], Distance] = field(default_factory=dict)

    def __bool__(self) -> bool:
        return bool(self.branches or self.vans)

    @property
    def several(self) -> bool:
        """Whether it matters of which branch a place is."""
        return len(self.branches) > 1

    def branch_named(self, name: str) -> Branch | None:
        """The branch of that name."""
        return next((branch for branch in self.branches if alike(branch.name) == alike(name)), None)

    def van_named(self, name: str) -> Van | None:
        """The van of that name."""
        return next((van for van in self.vans if alike(van.name) == alike(name)), None)

    def van_of(self, place: str) -> Van | None:
        """The van that a place is in, if it is one."""
        found = self._whose(place)
        return found if isinstance(found, Van) else None

    def words_of(self, place: str) -> str:
        """The name of the branch or van whose words the place begins with; "" for nobody's."""
        found = self._whose(place)
        return found.name if found else ""

    def named(self, words: str) -> str:
        """The name of the branch or van that has exactly these words; "" for nobody's."""
        found = self._words.get(alike(words))
        return found.name if found else ""

    def told_there(self, place: str) -> tuple[str, str]:
        """Whose a place is (the name of a branch or van) and how it is called there, as `alike` folds it: `North`, `bay 3`."""
        found, end = self._words_within(alike(place))
        return found.name if found else self.branch_of(""), alike(place)[end:].lstrip(" ,;:-")

    def branch_of(self, place: str) -> str:
        """The name of the branch that a place of the shop's belongs to; "" where the shop has none."""
        found = self._whose(place)
        if isinstance(found, Branch):
            return found.name
        if found is not None and (own := self.branch_named(found.branch)):
            return own.name
        return self.branches[0].name if self.branches else ""

    def between(self, one: str, other: str) -> Distance | None:
        """How far it is from one branch to another, as far as it is told."""
        return self.distances.get(pair_of(one, other))

    def owner_of(self, words: str) -> str:
        """Whose these words are already: `the branch North`, `the van Van 3`; "" for nobody's."""
        found = self._words.get(alike(words))
        if found is None:
            return ""
        return f"the {'van' if isinstance(found, Van) else 'branch'} {found.name}"

    @cached_property
    def _words(self) -> Mapping[str, Branch | Van]:
        words: dict[str, Branch | Van] = {alike(van.name): van for van in self.vans}
        for branch in self.branches:
            words |= dict.fromkeys((alike(branch.name), *map(alike, branch.places)), branch)
        return words

    @cached_property
    def _longest(self) -> int:
        return max((len(words) for words in self._words), default=0)

    def _whose(self, place: str) -> Branch | Van | None:
        return self._words_within(alike(place))[0]

    def _words_within(self, text: str) -> tuple[Branch | Van | None, int]:
        """Whose words the text begins with, the longest first, and where they end; a word is not broken: `Bay 1` doesn't begin
        `Bay 10`.
        """
        for end in range(min(len(text), self._longest), 0, -1):
            if not text[end : end + 1].isalnum() and (found := self._words.get(text[:end])):
                return found, end
        return None, 0


NO_BRANCHES = Branches()
"""What a shop has that never told of any."""
