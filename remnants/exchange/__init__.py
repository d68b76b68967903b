"""Stock, job and answer as JSON files: the contract between the planner and everything around it.

`entries` and `answer_entries` hold the shape of the files key by key, and are the base of any description of them;
a new key is added there, and then read in `stock_file`, `job` or `answer`.

What is offered here is loaded when it is first asked for: the shapes of files take longer to make than a stock to write.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from remnants.exchange.answer import answer_json, read_answer
    from remnants.exchange.job import job_json, read_damaged_job, read_job
    from remnants.exchange.reading import Note
    from remnants.exchange.schema import file_schemas
    from remnants.exchange.stock import SentPiece, Stock, stock_json
    from remnants.exchange.stock_file import read_stock

__all__ = [
    "Note",
    "SentPiece",
    "Stock",
    "answer_json",
    "file_schemas",
    "job_json",
    "read_answer",
    "read_damaged_job",
    "read_job",
    "read_stock",
    "stock_json",
]

_HOMES = {
    "Note": "reading",
    "SentPiece": "stock",
    "Stock": "stock",
    "answer_json": "answer",
    "file_schemas": "schema",
    "job_json": "job",
    "read_answer": "answer",
    "read_damaged_job": "job",
    "read_job": "job",
    "read_stock": "stock_file",
    "stock_json": "stock",
}
"""The module of each name above."""

if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        if name not in _HOMES:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
