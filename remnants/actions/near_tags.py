"""Which tags may be meant by one that no piece has: all there are, or in a large stock those that are written much like it.

Comparing one with every tag takes seconds where there are a million. What is looked up instead are the tags that a slip of the
hand or of the eye leads to: a sign left out, put in, changed, two swapped, zeros left out; and those that begin alike.
"""

import difflib
from collections.abc import Iterable

from remnants.store import Catalogue, pieces

__all__ = ["NEAREST_SHOWN", "nearest_tags", "no_such_tag", "tags_to_compare"]

COMPARED = 5_000
"""With so many tags each is compared; beyond it only those that are looked up."""

BEGUN_ALIKE = 200
"""So many at most of the tags that begin alike."""

SLIP_CHARACTERS = 24
"""Characters of a tag whose slips are looked up; a longer one is compared with those that begin alike."""

ZEROS = 8
"""Zeros that may have been left out before a number, or written too many."""

NEAREST_SHOWN = 3
"""So many tags are told as those that may be meant."""

SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-_. /"
"""What tags are mostly written with, whatever the letter case."""


def tags_to_compare(catalogue: Catalogue, tag: str) -> tuple[str, ...]:
    """The tags, in order, among which the ones nearest to `tag` are to be found."""
    if pieces.more_than(catalogue, COMPARED):
        return tuple(sorted({*pieces.tags_written(catalogue, slips(tag)), *_begun_alike(catalogue, tag)}))
    return pieces.all_tags(catalogue)


def nearest_tags(tag: str, tags: Iterable[str]) -> tuple[str, ...]:
    """The tags that are written most like this one, whatever the letter case, nearest first; none where none is much like it."""
    by_fold = {each.casefold(): each for each in sorted(tags)}
    return tuple(by_fold[each] for each in difflib.get_close_matches(tag.strip().casefold(), by_fold, n=NEAREST_SHOWN))


def no_such_tag(tag: str, tags: Iterable[str]) -> str:
    """What is told of a tag that no piece has: the nearest of those that may be meant."""
    near = nearest_tags(tag, tags)
    hint = f"; the nearest are {', '.join(near)}" if near else ""
    return f"no piece has the tag {tag!r}{hint}"


def slips(tag: str) -> tuple[str, ...]:
    """What is one slip away from the tag, in order; nothing for one of more than SLIP_CHARACTERS characters."""
    if len(tag) > SLIP_CHARACTERS:
        return ()
    cuts = [(tag[:at], tag[at:]) for at in range(len(tag) + 1)]
    found = {head + tail[1:] for head, tail in cuts if tail}
    found |= {head + tail[1] + tail[0] + tail[2:] for head, tail in cuts if len(tail) > 1}
    found |= {head + sign + tail[1:] for head, tail in cuts if tail for sign in SIGNS}
    found |= {head + sign + tail for head, tail in cuts for sign in SIGNS}
    head = tag.rstrip("0123456789")
    number = tag[len(head) :].lstrip("0")
    found |= {head + "0" * zeros + number for zeros in range(ZEROS + 1) if number}
    return tuple(sorted(found - {tag, ""}))


def _begun_alike(catalogue: Catalogue, tag: str) -> tuple[str, ...]:
    """Some of the tags that share the longest beginning with it."""
    for length in range(min(len(tag), SLIP_CHARACTERS), 0, -1):
        if found := pieces.tags_beginning(catalogue, tag[:length], most=BEGUN_ALIKE):
            return found
    return ()
