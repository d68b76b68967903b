"""Where questions that take long are handed in, wait in a fair line, and are worked out in processes beside whoever asks.

It knows nothing of carpet: a question is any frozen value with an `answer`. `line` is the line, `workers` the processes, `desk`
brings both together.
"""

from remnants.desk.desk import Address, Desk, FarDesk, InPlace, Reply, WorkDesk, reached_from_afar
from remnants.desk.line import Place
from remnants.desk.workers import Budget, Worker, parcel_of, raised, value_of

__all__ = [
    "Address",
    "Budget",
    "Desk",
    "FarDesk",
    "InPlace",
    "Place",
    "Reply",
    "WorkDesk",
    "Worker",
    "parcel_of",
    "raised",
    "reached_from_afar",
    "value_of",
]
