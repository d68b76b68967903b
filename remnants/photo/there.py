"""Whether what finds the marks in pictures is installed."""

from importlib.util import find_spec

from remnants.errors import BadFile, Fault

__all__ = ["refuse_where_none_are_measured"]


def refuse_where_none_are_measured(name: str) -> None:
    """Raises BadFile at `name` where the library that finds the marks in pictures is not installed."""
    if find_spec("cv2") is None:
        what = "photographs can't be measured: what reads their marks is not installed; `pip install 'remnants[photo]'` brings it"
        raise BadFile([Fault(name, what)])
