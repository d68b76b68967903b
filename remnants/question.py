"""What can be worked out apart from whoever asks: by this process, by one beside it, or on a cluster."""

from collections.abc import Callable
from typing import Any, Protocol, runtime_checkable

__all__ = ["How", "MayBeCutShort", "Question", "Stop", "here"]

Stop = Callable[[], bool]
"""Asked while working: whether nobody waits any longer."""


class Question(Protocol):
    """What can be worked out apart: plain values that can be pickled."""

    def answer(self, stop: Stop) -> Any:
        """The answer. Raises what the work raises."""


@runtime_checkable
class MayBeCutShort(Protocol):
    """A question that gets the best answer there is by a time."""

    def is_cut_short(self, answer: Any) -> bool:
        """Whether a better one may be found when it is asked again."""


How = Callable[[Question, Stop], Any]
"""How a question is worked out: `here`, or by somebody else. Plain enough to be handed to a process."""


def here(question: Question, stop: Stop) -> Any:
    """The answer, worked out by this process. Raises what the work raises."""
    return question.answer(stop)
