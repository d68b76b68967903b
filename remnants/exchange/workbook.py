"""Workbooks that people have: told by what they hold, and refused with what to save them as where they can't be read.

What reads them comes with the extra `spreadsheets`.
"""

from collections.abc import Sequence
from importlib.util import find_spec

from remnants.errors import BadFile, Fault
from remnants.exchange.archive import opened_archive
from remnants.exchange.office_open import office_open_tables
from remnants.exchange.opendocument import opendocument_tables
from remnants.exchange.table import Table

__all__ = ["is_workbook", "workbook_tables"]

_SAVE_AS = "save it as .xlsx, .ods or CSV and give that"
_ZIP = b"PK\x03\x04"
_OTHERS: Sequence[tuple[bytes, str]] = (
    (b"\xd0\xcf\x11\xe0", "an older workbook (.xls) or one with a password can't be read"),
    (b"%PDF", "a PDF is no table that can be read"),
    (b"{\\rtf", "a text document is no table that can be read"),
    (b"<", "a web page or XML file is no table that can be read, whatever its name ends in"),
)
_OPEN_DOCUMENT = b"application/vnd.oasis.opendocument.spreadsheet"


def is_workbook(raw: bytes, name: str) -> bool:
    """Whether the bytes are a workbook. Raises BadFile at `name` for what is neither that nor text."""
    start = raw[:64].lstrip(b"\xef\xbb\xbf \t\r\n")
    for begins, what in _OTHERS:
        if start.startswith(begins):
            raise BadFile([Fault(name, f"{what}; {_SAVE_AS}")])
    return raw.startswith(_ZIP)


def workbook_tables(raw: bytes, name: str) -> tuple[Table, ...]:
    """The sheets of a workbook that have any text, in their order.

    Raises BadFile at `name`: damaged, too large, of a kind that can't be read; or where what reads workbooks is not installed.
    """
    if find_spec("openpyxl") is None or find_spec("defusedxml") is None:
        what = "workbooks can't be read: their reader is not installed; `pip install 'remnants[spreadsheets]'` brings it"
        raise BadFile([Fault(name, f"{what}, or save the sheet as CSV")])
    with opened_archive(raw, name) as archive:
        parts = set(archive.namelist())
        if "mimetype" in parts and archive.read("mimetype").strip().startswith(_OPEN_DOCUMENT):
            return opendocument_tables(archive, name)
        if "[Content_Types].xml" in parts and any(part.startswith("xl/") for part in parts):
            return office_open_tables(raw, archive, name)
        raise BadFile([Fault(name, f"this is no workbook that can be read; {_SAVE_AS}")])
