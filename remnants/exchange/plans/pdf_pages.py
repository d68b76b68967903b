"""A page of a PDF with its layers (optional content, ISO 32000-1, 8.11): what each line is on, and whether it is shown.

Loaded where a PDF is read: what reads them comes with the extra `drawings`.
"""

import io
from dataclasses import dataclass, field
from typing import Any

from pdfminer.converter import PDFPageAggregator
from pdfminer.layout import LAParams
from pdfminer.pdfdocument import PDFDocument
from pdfminer.pdfinterp import PDFPageInterpreter, PDFResourceManager
from pdfminer.pdfpage import PDFPage
from pdfminer.pdfparser import PDFParser
from pdfminer.pdftypes import PDFObjRef, dict_value, list_value, resolve1
from pdfminer.psparser import literal_name
from pdfminer.utils import decode_text

__all__ = ["MOST_PAGES", "PageLaidOut", "page_laid_out"]

MOST_PAGES = 20
"""Pages of a PDF that are looked through for the one that is asked for."""

_NESTED = 200
"""Marked contents, one in the other: a drawing has a few."""


@dataclass(frozen=True)
class PageLaidOut:
    """A page as its reader lays it out (None: no such page), and of how many; `layers` with whether each is shown.

    `of_thing` has the layer of each thing that is on one, by the thing's identity.
    """

    page: Any
    pages: int
    layers: dict[str, bool] = field(default_factory=dict)
    of_thing: dict[int, str] = field(default_factory=dict)


def page_laid_out(data: bytes, number: int) -> PageLaidOut:
    """The page of that number, from 1. Raises whatever the reader stumbles over, which has many names."""
    document = PDFDocument(PDFParser(io.BytesIO(data)))
    known = _Layers(document)
    device = _Device(PDFResourceManager(), laparams=LAParams())
    interpreter = _Interpreter(device.rsrcmgr, device)
    interpreter.known, interpreter.layered, device.shown = known, device, known.shown
    found, count = None, 0
    for count, page in enumerate(PDFPage.create_pages(document), start=1):
        if count == number:
            interpreter.process_page(page)
            found = device.get_result()
        if count == MOST_PAGES:
            break
    return PageLaidOut(found, count, known.shown, device.of_thing) if found else PageLaidOut(None, count)


class _Layers:
    """The layers of a document: their names by the number of their object, and which are shown at first."""

    def __init__(self, document: Any) -> None:
        told = dict_value(document.catalog.get("OCProperties") or {})
        first = dict_value(told.get("D") or {})
        off = _numbers(first.get("OFF"))
        if literal_name(first.get("BaseState")) == "OFF":
            off = _numbers(told.get("OCGs")) - _numbers(first.get("ON"))
        self.names: dict[int, str] = {}
        self.shown: dict[str, bool] = {}
        for ref in list_value(told.get("OCGs") or []):
            name = _name_of(dict_value(ref))
            if isinstance(ref, PDFObjRef) and name:
                self.names[ref.objid] = name
                self.shown[name] = self.shown.get(name, False) or ref.objid not in off

    def named(self, ref: Any) -> str:
        """The layer that a group, or the first group of a membership, is; "" where it is none."""
        if isinstance(ref, PDFObjRef) and ref.objid in self.names:
            return self.names[ref.objid]
        value = resolve1(ref)
        groups = value.get("OCGs") if isinstance(value, dict) else None
        several = resolve1(groups)
        among = several if isinstance(several, list) else [groups]
        return next((self.names[each.objid] for each in among if isinstance(each, PDFObjRef) and each.objid in self.names), "")


def _numbers(refs: Any) -> set[int]:
    return {ref.objid for ref in list_value(refs or []) if isinstance(ref, PDFObjRef)}


def _name_of(group: dict[Any, Any]) -> str:
    name = resolve1(group.get("Name"))
    return decode_text(name).strip() if isinstance(name, bytes) else ""


class _Device(PDFPageAggregator):
    """Lays a page out, and notes on which layer each of its things is."""

    def __init__(self, manager: PDFResourceManager, *, laparams: LAParams) -> None:
        super().__init__(manager, laparams=laparams)
        self.opened: list[str] = []
        self.of_thing: dict[int, str] = {}
        self.shown: dict[str, bool] = {}

    @property
    def layer(self) -> str:
        """The innermost layer that is open."""
        return next((each for each in reversed(self.opened) if each), "")

    def paint_path(self, *args: Any, **named: Any) -> None:
        """A path, with its layer."""
        before = len(self.cur_item._objs)
        super().paint_path(*args, **named)
        for thing in self.cur_item._objs[before:] if self.layer else ():
            self.of_thing[id(thing)] = self.layer

    def render_char(self, *args: Any, **named: Any) -> float:
        """A letter, unless its layer isn't shown."""
        before = len(self.cur_item._objs)
        wide: float = super().render_char(*args, **named)
        if not self.shown.get(self.layer, True):
            del self.cur_item._objs[before:]
        return wide


class _Interpreter(PDFPageInterpreter):
    """Follows a page's operators, and tells the device which layers they open and close."""

    known: _Layers
    layered: _Device

    def dup(self) -> "_Interpreter":
        """Another one for what is drawn within."""
        made = _Interpreter(self.rsrcmgr, self.device)
        made.known, made.layered = self.known, self.layered
        return made

    def do_BMC(self, tag: Any) -> None:  # noqa: N802  # the operator as its reader looks for it
        """Marked content of no layer begins."""
        self._open("")

    def do_BDC(self, tag: Any, props: Any) -> None:  # noqa: N802  # as above
        """Marked content begins: of a layer where it is optional."""
        layer = ""
        if literal_name(tag) == "OC":
            listed = dict_value(self.resources.get("Properties") or {})
            layer = self.known.named(listed.get(literal_name(props)))
        self._open(layer)

    def do_EMC(self) -> None:  # noqa: N802  # as above
        """Marked content ends."""
        if self.layered.opened:
            self.layered.opened.pop()

    def do_Do(self, xobjid_arg: Any) -> None:  # noqa: N802  # as above
        """A drawing within, which may be of a layer as a whole."""
        thing = resolve1(self.xobjmap.get(literal_name(xobjid_arg)))
        self._open(self.known.named(thing.attrs.get("OC")) if hasattr(thing, "attrs") else "")
        depth = len(self.layered.opened)
        super().do_Do(xobjid_arg)
        del self.layered.opened[depth - 1 :]

    def _open(self, layer: str) -> None:
        if len(self.layered.opened) >= _NESTED:
            raise ValueError("marked content in marked content without end")
        self.layered.opened.append(layer)
