"""Where should a patch end? Outlines round damage in a room, and which of them shows least."""

from remnants.fitting.outline.found import MOST_TOLD, Looked
from remnants.fitting.outline.search import outlines_for
from remnants.fitting.outline.telling import against, words_of

__all__ = ["MOST_TOLD", "Looked", "against", "outlines_for", "words_of"]
