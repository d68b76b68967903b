"""A question in one line, as somebody types or says it: what was understood, what was not, and what must still be told."""

from remnants.exchange.sentence.heard import Heard, Names, Sentence, Tap, ToTell
from remnants.exchange.sentence.places import plainly
from remnants.exchange.sentence.read import read_sentence
from remnants.exchange.sentence.refused import in_own_words
from remnants.exchange.sentence.told import asked_lines, heard_lines, still_to_tell

__all__ = [
    "Heard",
    "Names",
    "Sentence",
    "Tap",
    "ToTell",
    "asked_lines",
    "heard_lines",
    "in_own_words",
    "plainly",
    "read_sentence",
    "still_to_tell",
]
