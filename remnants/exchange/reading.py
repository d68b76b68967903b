"""Reading a file entry by entry, so that every fault is found at once and each is told with its place."""

import difflib
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from remnants.errors import BadFile, BadInput, Fault, join_place
from remnants.exchange.entries import CHOICES, Entry, entry_of
from remnants.exchange.source import Source, in_file, read_json, shown
from remnants.limits import NOTES_TOLD
from remnants.model.attributes import PIECE, Value
from remnants.model.patch_attributes import PATCH
from remnants.model.style_attributes import STYLE
from remnants.units import Unit

__all__ = ["MISSING", "Note", "Reading", "fault_words", "quiet", "shown"]

E = TypeVar("E", bound=Entry)
V = TypeVar("V")

_MANY = 10
"""A list with places for fewer must be full; of this many, it is the most that it may have."""

SHAPE_KEYS = frozenset({"outline", "width", "length", "centre", "radius", "diameter", "cutouts"})
MISSING = "this is missing; give it"
_OF_KIND = {Value.NAME: "-", Value.BEARING: 0}
STAND_INS = {
    each.name: next(iter(each.choices)).value if each.choices else _OF_KIND[each.value]
    for each in (*STYLE, *PIECE, *PATCH)
    if each.needed
}
"""Values for the keys that an entry must have, while looking for its other faults."""

_LOOKED_AT = 2_000
"""Keys of a file that are looked at for slips: a file may have keys of its own in each of a million entries."""

Note = Callable[[Fault], None]
"""Is told what was read but may not be what was meant."""


def quiet(_: Fault) -> None:
    """A Note that says nothing."""


class Reading:
    """Reads one file (a Path), JSON text (a str) or what is read already (a Mapping), and collects its faults.

    `close` raises them together. Raises BadFile at once for what is not a JSON object. Faults of a file begin with its name.
    """

    def __init__(self, source: Source, what: str, note: Note, *, kept: bool = False) -> None:
        self.faults: list[Fault] = []
        self._note = note
        self._noted = 0
        self._looked_at = 0
        self._source = source
        self._kept = kept
        raw: Any = read_json(source) if isinstance(source, str | Path) else source
        if not isinstance(raw, Mapping):
            self.faults.append(Fault("", f"{what} is a JSON object {{...}}, but this file holds {_kind_of(raw)}"))
            self.close()
        self.raw = dict(raw)
        units = {unit.value: unit for unit in Unit}
        named = raw.get("unit")
        self.unit = units.get(named, Unit.MM) if isinstance(named, str) else Unit.MM

    def entry(self, model: type[E], raw: Any, place: str) -> E | None:
        """One object of the file, or None with its faults noted."""
        try:
            entry = entry_of(model, raw, self.unit, kept=self._kept)
        except ValidationError as error:
            self.faults += [_fault(dict(detail), place) for detail in error.errors(include_url=False)]
            if isinstance(raw, dict):
                self._misspelled(raw.keys() - model.model_fields.keys(), model, place)
            return None
        if entry.model_extra:
            self._misspelled(entry.model_extra.keys(), model, place)
        return entry

    def entry_made(self, model: type[E], raw: Any, place: str, make: Callable[[E], V]) -> V | None:
        """What `make` makes of one object of the file, or None with all its faults noted.

        Where some keys are at fault, what can be made with stand-ins for them is tried too, so that its faults are told at
        the same time.
        """
        told = len(self.faults)
        entry = self.entry(model, raw, place)
        if entry is not None:
            return self.made(place, make, entry)
        at_fault = {fault.where.removeprefix(place).lstrip(".").split(".")[0].split("[")[0] for fault in self.faults[told:]}
        if isinstance(raw, dict) and not at_fault & SHAPE_KEYS:
            sound = {key: value for key, value in raw.items() if key not in at_fault}
            try:
                self.made(place, make, entry_of(model, STAND_INS | sound, self.unit))
            except ValidationError:
                return None
        return None

    def made(self, place: str, make: Callable[..., V], *given: Any) -> V | None:
        """What `make` makes of `given`, or None with its refusal's faults noted under `place`."""
        try:
            return make(*given)
        except BadInput as error:
            self.faults += error.at(place).faults
            return None

    def items(self, key: str, most: int, *, needed: bool) -> Sequence[Any]:
        """The list under a key of the file; empty and at fault when it is none, or has over `most` entries."""
        value = self.raw.get(key)
        if isinstance(value, list):
            if len(value) <= most:
                return value
            self.faults.append(Fault(key, f"{len(value):,} are given: give at most {most:,}, and the others in another file"))
            return ()
        if key in self.raw or needed:
            what = f"give a list, not {_kind_of(value)}" if key in self.raw else MISSING
            self.faults.append(Fault(key, what))
        return ()

    def note(self, fault: Fault) -> None:
        """Tells what was read but may not be what was meant; of many only the first, `close` tells how many more."""
        self._noted += 1
        if self._noted <= NOTES_TOLD:
            self._note(fault)

    def close(self) -> None:
        """Raises BadFile with all faults, if there are any."""
        if self._noted > NOTES_TOLD:
            self._note(Fault("", f"and {self._noted - NOTES_TOLD:,} notes more"))
        if self.faults:
            raise BadFile(in_file(self._source, self.faults))

    def _misspelled(self, keys: Any, model: type[Entry], place: str) -> None:
        known = list(model.model_fields)
        for key in sorted(keys)[: max(0, _LOOKED_AT - self._looked_at)]:
            self._looked_at += 1
            near = difflib.get_close_matches(key.lower(), known, n=1, cutoff=0.75)
            if near:
                self.note(Fault(join_place(place, key), f"this key is not read; is {near[0]!r} meant?"))


def fault_words(error: ValidationError) -> list[Fault]:
    """The faults that pydantic found, in our words and with our places."""
    return [_fault(dict(detail), "") for detail in error.errors(include_url=False)]


def _fault(detail: Mapping[str, Any], place: str) -> Fault:
    for step in detail["loc"]:
        if step not in CHOICES:
            place = join_place(place, f"[{step}]" if isinstance(step, int) else str(step))
    return Fault(place, _words(detail))


def _words(detail: Mapping[str, Any]) -> str:  # noqa: PLR0911, PLR0912 - one line a case
    given, told, limits = detail["input"], detail["msg"], detail.get("ctx", {})
    match detail["type"]:
        case "missing":
            return MISSING
        case "value_error":
            return str(limits["error"])
        case "enum" | "literal_error":
            choices = str(limits["expected"]).replace("'", "")
            return f"{shown(given)} is none of {choices}"
        case "list_type" | "tuple_type" | "model_type" | "dict_type":
            form = "an object {...}" if detail["type"] in ("model_type", "dict_type") else "a list [...]"
            return f"give {form}, not {_kind_of(given)}"
        case "float_type" | "int_type" | "finite_number" | "int_from_float":
            return f"{shown(given)} is no {'whole ' if 'int' in detail['type'] else ''}number"
        case "bool_type":
            return f"{shown(given)} is neither true nor false"
        case "string_type":
            return f"give a text, not {_kind_of(given)}"
        case "string_too_short" | "string_pattern_mismatch":
            return "this is empty; give a name"
        case "string_too_long":
            return f"a text of {len(given):,} characters; give at most {limits['max_length']}"
        case "string_unicode":
            return "the text holds half a character (a lone surrogate); type it again"
        case "greater_than_equal" | "less_than_equal":
            bound = "at least" if detail["type"] == "greater_than_equal" else "at most"
            return f"{shown(given)} is out of range: give {bound} {limits.get('ge', limits.get('le'))}"
        case "too_short" | "too_long":
            return _count_words(limits["actual_length"], limits.get("min_length", limits.get("max_length")))
        case _:
            return str(told)


def _count_words(given: int, wanted: int) -> str:
    few = f"{given} values are given where {wanted} are needed"
    return f"more than {wanted:,} are given; give at most {wanted:,}" if wanted >= _MANY else few


def _kind_of(value: Any) -> str:
    match value:
        case None:
            return "null"
        case bool():
            return f"the word {str(value).lower()}"
        case int() | float():
            return f"the number {shown(value)}"
        case str():
            return f"the text {shown(value)}"
        case dict():
            return "an object"
        case _:
            return "a list"
