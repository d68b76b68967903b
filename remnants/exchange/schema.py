"""The file formats as JSON Schema (draft 2020-12), made from the same models that read them."""

from typing import Any

from pydantic.json_schema import models_json_schema

from remnants.exchange.answer_entries import AnswerFile
from remnants.exchange.entries import StockFile
from remnants.exchange.job_entries import JobFile

__all__ = ["file_schemas"]


def file_schemas(ref: str = "#/components/schemas/{model}") -> dict[str, Any]:
    """A schema for each object of the stock, job and answer files, by name: `StockFile`, `JobFile`, `AnswerFile` and their parts.

    `ref` is how they point at each other.
    """
    _, told = models_json_schema(
        [(JobFile, "validation"), (StockFile, "validation"), (AnswerFile, "validation")], ref_template=ref
    )
    schemas: dict[str, Any] = told["$defs"]
    return schemas
