"""Stock, job and answer as JSON files: the contract between the planner and everything around it.

`entries` and `answer_entries` hold the shape of the files key by key, and are the base of any description of them;
a new key is added there, and then read in `stock`, `job` or `answer`.
"""

from remnants.exchange.answer import answer_json, read_answer
from remnants.exchange.job import job_json, read_job
from remnants.exchange.reading import Note
from remnants.exchange.schema import file_schemas
from remnants.exchange.stock import Stock, read_stock, stock_json

__all__ = [
    "Note",
    "Stock",
    "answer_json",
    "file_schemas",
    "job_json",
    "read_answer",
    "read_job",
    "read_stock",
    "stock_json",
]
