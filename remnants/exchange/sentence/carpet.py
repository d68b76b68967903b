"""The carpet that the words which stand for nothing else name: its style and colour, and what is left of the words."""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from remnants.exchange.sentence.heard import Heard, Names, Run, Tap, ToTell
from remnants.exchange.sentence.places import NOISE, PLACES
from remnants.limits import NAME_CHARACTERS
from remnants.matching.likeness import SLIP, word_cost
from remnants.matching.names import Taken, Untaken

__all__ = ["NEW_STYLE", "Carpet", "as_written", "carpet_of", "offered_for", "words_in"]

MOST_WORDS = 8
"""No name of a style or a colour has more words."""
SURE = 0.5
"""Words that places are called by are taken for a name only where it is written the same."""
_MOST_OFFERED = 6

NEW_STYLE = "style called"
"""Words behind which a style is named that nobody has logged."""

_SPELLED = (
    *("left", "right", "upper", "lower", "bottom", "wall", "seam", "transition", "pile", "door", "window", "notch", "circle"),
    *("square", "strip", "tread", "riser", "nosing", "closet", "cupboard", "attic", "remnant", "offcut", "radius", "diameter"),
    *("allowance", "without", "towards", "wide", "long", "deep", "across"),
)
"""Words that are read, which a slip may have spelled otherwise."""
_TOLD_BY = frozenset(_SPELLED) | PLACES
_WORD = re.compile(r"\S+")
_MARKS = " ,.?!"


@dataclass
class Carpet:
    """The style and colour wanted, what was heard of them, and what is `left` of each run; `to_tell` where they don't decide."""

    wanted: dict[str, str] = field(default_factory=dict)
    heard: list[Heard] = field(default_factory=list)
    left: dict[Run, list[Run]] = field(default_factory=dict)
    to_tell: list[ToTell] = field(default_factory=list)
    could_be: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Found:
    """A name found in a run, or several between which its words don't decide."""

    run: Run
    names: tuple[str, ...]

    @property
    def sure(self) -> bool:
        """Whether the words stand for one name."""
        return len(self.names) == 1


def words_in(run: Run) -> list[Run]:
    """The words of a run, each where it begins."""
    return [
        Run(kept, run.at + word.start() + len(word[0]) - len(word[0].lstrip(_MARKS)))
        for word in _WORD.finditer(run.words)
        if (kept := word[0].strip(_MARKS))
    ]


def carpet_of(runs: Sequence[Run], names: Names) -> Carpet:
    """The style and colour among runs of words. Two that differ, or one that may be several, are asked between."""
    carpet = Carpet()
    parts = {run: [words_in(run)] for run in runs}
    styles = _taken_out(parts, names.take_style)
    _told_of("style", styles, carpet)
    colours = (
        _taken_out(parts, lambda typed: names.take_colour(typed, carpet.wanted["style"])) if "style" in carpet.wanted else []
    )
    _told_of("colour", colours, carpet)
    carpet.left = {run: [_joined(part) for part in kept if part] for run, kept in parts.items()}
    return carpet


def as_written(carpet: Carpet, named: Sequence[tuple[str, Run]]) -> None:
    """Takes the style that is named as it is written, whether the stock has it or not. A second one is asked about."""
    styles = dict.fromkeys([*([carpet.wanted["style"]] if "style" in carpet.wanted else []), *(name for name, _ in named)])
    if len(styles) > 1:
        taps = tuple(Tap("", run.words, run.at) for _, run in named)
        carpet.to_tell.append(ToTell("style", f"the carpet: {' and '.join(styles)} are both said: take one back", taps))
    elif styles:
        carpet.wanted["style"] = next(iter(styles))


def _taken_out(parts: dict[Run, list[list[Run]]], take: Callable[[str], Taken | Untaken]) -> list[_Found]:
    """The names found, taken out of the parts of each run, which are parted where they stood."""
    found: list[_Found] = []
    for run, lists in parts.items():
        kept: list[list[Run]] = []
        for words in lists:
            kept.append([])
            at = 0
            while at < len(words):
                count, one = _begins(words, at, take)
                if one:
                    found.append(one)
                    kept.append([])
                else:
                    kept[-1].append(words[at])
                at += count
        parts[run] = kept
    return found


def _begins(words: Sequence[Run], at: int, take: Callable[[str], Taken | Untaken]) -> tuple[int, _Found | None]:
    """The longest name that begins at a word, and of how many words; one word and none where none begins."""
    if words[at].words in NOISE and not _may_begin(words[at].words):
        return 1, None
    for count in range(min(MOST_WORDS, len(words) - at), 0, -1):
        span = words[at : at + count]
        run = _joined(span)
        if span[-1].words in NOISE or len(run.words) > NAME_CHARACTERS or _is_bare(run.words):
            continue
        taken = take(run.words)
        if isinstance(taken, Taken):
            plain = all(word.words in PLACES or word.words in NOISE for word in span)
            if not (plain and taken.cost >= SURE):
                return count, _Found(run, (taken.name,))
        elif taken.could_be and not all(word.words in PLACES for word in span):
            return count, _Found(run, taken.could_be)
    return 1, None


def _may_begin(word: str) -> bool:
    """Whether a name may begin with it: The Moor."""
    return word == "the"


def _is_bare(words: str) -> bool:
    """Whether there is no letter in it."""
    return not any(mark.isalpha() for mark in words)


def _may_name(words: str) -> bool:
    """Whether somebody may call goods so: letters alone, and no word by which sides, shapes or pieces are told."""
    return all(word.isalpha() and not {word, word.rstrip("s")} & _TOLD_BY for word in words.split())


def _joined(words: Sequence[Run]) -> Run:
    return Run(" ".join(word.words for word in words), words[0].at)


def _told_of(key: str, found: Sequence[_Found], carpet: Carpet) -> None:
    """Puts the one name that was found, or asks between those that were."""
    sure = list(dict.fromkeys(each.names[0] for each in found if each.sure))
    for each in found:
        if each.sure:
            carpet.heard.append(Heard(each.run.words, key, each.names[0], at=each.run.at))
    if len(sure) > 1:
        taps = tuple(Tap("", each.run.words, each.run.at) for each in found if each.sure)
        carpet.to_tell.append(ToTell(key, f"the carpet: {' and '.join(sure)} are both said: take one back", taps))
        carpet.could_be = tuple(sure) if key == "style" else carpet.could_be
    elif sure:
        carpet.wanted[key] = sure[0]
    for each in found:
        if each.sure or set(sure) & set(each.names):
            continue
        taps = tuple(Tap(name, each.run.words, each.run.at) for name in each.names[:_MOST_OFFERED])
        carpet.to_tell.append(ToTell(key, f"the carpet: {' or '.join(each.names)}", taps))
        carpet.could_be = each.names if key == "style" else carpet.could_be
    if key == "colour" and carpet.to_tell:
        carpet.wanted.pop("colour", None)


def offered_for(run: Run, carpet: Carpet, names: Names) -> Iterator[Tap]:
    """What unread words may be meant for: a word spelled otherwise, a colour of the style that is told, or the styles that have
    such a colour or name.
    """
    meant = [word for word in _SPELLED if word_cost(run.words, word) == SLIP] if run.words.isalpha() else []
    if meant:
        yield from (Tap(word, run.words, run.at) for word in meant[:2])
        return
    if "style" in carpet.wanted:
        if "colour" not in carpet.wanted:
            yield from (Tap(colour, run.words, run.at) for colour in names.colours_of(carpet.wanted["style"])[:_MOST_OFFERED])
        return
    if len(run.words) > NAME_CHARACTERS:
        return
    offered = list(_offered_styles(run, names))
    yield from offered
    if _may_name(run.words) and not any(tap.put.endswith(run.words) for tap in offered):
        yield Tap(f"{NEW_STYLE} {run.words}", run.words, run.at)


def _offered_styles(run: Run, names: Names) -> Iterator[Tap]:
    with_it = names.styles_in(run.words)
    yield from (Tap(f"{style} {run.words}", run.words, run.at) for style in with_it[:_MOST_OFFERED])
    taken = names.take_style(run.words)
    if not with_it and isinstance(taken, Untaken):
        yield from (Tap(name, run.words, run.at) for name in taken.nearest[:2])
