"""What was seen of a repair once it was made, beside what was foretold of it."""

from dataclasses import dataclass
from enum import StrEnum

from remnants.model.sight import MOST_SEEN, SEEN_WORDS

__all__ = ["Grades", "Look", "LookBy", "LookKind", "LookWord", "Step", "grades_words", "told_grades", "word_of"]

Grades = tuple[int, int]
"""Best and worst case: 0 hard to find to 3 plain."""

Step = tuple[float, float, float, float]
"""A step in shade: ΔE00 and its bar, the same as ISO 105-A05 weighs it and its bar."""


class LookKind(StrEnum):
    """What of a repair is looked at."""

    FLOOR_SEAM = "seam with the floor"
    INNER_SEAM = "seam inside the patch"
    SHADE = "shade"


class LookBy(StrEnum):
    """By what it was seen: somebody's eyes, or a step measured in the photograph of after."""

    EYE = "eye"
    PHOTOGRAPH = "photograph"


class LookWord(StrEnum):
    """What was seen against what was foretold."""

    AS_FORETOLD = "as foretold"
    BETTER = "better than foretold"
    WORSE = "worse than foretold"


@dataclass(frozen=True, slots=True)
class Look:
    """One sight of a plan, counted from 0, looked at after the repair: how it was `foretold` to show and how it was `seen`.

    Nothing `seen` takes back what was told of it before. A measured one has its `step`.
    """

    sight: int
    kind: LookKind
    foretold: Grades
    by: LookBy
    seen: Grades | None
    step: Step | None = None

    @property
    def word(self) -> LookWord | None:
        """Seen against foretold; None for one that takes back."""
        return word_of(self.foretold, self.seen) if self.seen else None

    @property
    def words(self) -> str:
        """`number 3 of its plan, seam with the floor: foretold seen; by eye: seen when looked for, better than foretold`."""
        told = f"number {self.sight + 1} of its plan, {self.kind}: foretold {grades_words(self.foretold)}"
        if not self.seen:
            return f"{told}; what was told by {self.by} is taken back"
        step = f", ΔE00 {self.step[0]:.1f} ± {self.step[1]:.1f}" if self.step else ""
        return f"{told}; by {self.by}: {grades_words(self.seen)}{step}, {self.word}"


def word_of(foretold: Grades, seen: Grades) -> LookWord:
    """Better or worse only where no grade that was seen is one that was foretold."""
    if seen[1] < foretold[0]:
        return LookWord.BETTER
    return LookWord.WORSE if seen[0] > foretold[1] else LookWord.AS_FORETOLD


def grades_words(grades: Grades) -> str:
    """`seen`, or `hard to find to seen`."""
    best, worst = (SEEN_WORDS[grade] for grade in grades)
    return best if best == worst else f"{best} to {worst}"


def told_grades(words: str, foretold: Grades) -> Grades | None:
    """The grades that somebody tells in the words of grades, by their figures, or by what was foretold; None for other words.

    Better and worse are any grade below or above all that was foretold; there may be none.
    """
    said = " ".join(words.casefold().split())
    if said in SEEN_WORDS or (said.isdecimal() and int(said) <= MOST_SEEN):
        grade = SEEN_WORDS.index(said) if said in SEEN_WORDS else int(said)
        return grade, grade
    told = {"as foretold": foretold, "better": (0, foretold[0] - 1), "worse": (foretold[1] + 1, MOST_SEEN)}.get(
        said.removesuffix(" than foretold")
    )
    return told if told and told[0] <= told[1] else None
