"""A spreadsheet of pieces that was sent, read apart: a workbook is unpacked by a process that may take little memory and time."""

import hashlib
from dataclasses import dataclass, field
from typing import Any

from remnants.exchange.sheet_text import sheet_text
from remnants.question import Stop

__all__ = ["SheetSent"]


@dataclass(frozen=True)
class SheetSent:
    """A CSV file or a workbook by its name, and which of its sheets is meant, if one is."""

    data: bytes = field(repr=False)
    name: str
    called: str

    @property
    def key(self) -> str:
        """What stands for it."""
        return hashlib.sha256(self.data + repr(self).encode("utf-8", "surrogatepass")).hexdigest()

    def answer(self, stop: Stop) -> Any:
        """Its rows as a text. Raises BadFile."""
        return sheet_text(self.data, self.name, self.called)
