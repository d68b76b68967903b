"""The optional package that speaks with a Dask cluster: asked for in words where it is not installed."""

from collections.abc import Iterator
from contextlib import contextmanager

from remnants.errors import BadInput, Fault

__all__ = ["cluster_extra"]


@contextmanager
def cluster_extra() -> Iterator[None]:
    """Around what loads it. Raises BadInput, with the command that brings it, where it is missing."""
    try:
        yield
    except ModuleNotFoundError as error:
        if (error.name or "").startswith("remnants"):
            raise
        what = f"needs {error.name}; `pip install 'remnants[cluster]'` brings it"
        raise BadInput([Fault("--cluster", what)]) from None
