"""Each thing that a catalogue can be asked or told is answered by every store as by a file, and changes the same rows.

The functions of `remnants.store` and `remnants.actions` are found, not listed: those whose parameters have a value in VALUES are
called on the same shop in both, each within a transaction that is taken back. Whoever adds one need do nothing.
"""

import importlib
import inspect
import itertools
import pkgutil
import re
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from datetime import timedelta
from functools import partial
from types import ModuleType
from typing import Any

import pytest

from remnants import actions
from remnants import store as stores
from remnants.actions import Catalogue
from remnants.actions.move_catalogue import move_catalogue
from remnants.errors import RemnantsError
from remnants.ledger.over_time import Step
from remnants.ledger.worth import By
from remnants.rules import KeepRule
from remnants.store.file_catalogue import FileCatalogue
from remnants.units import Unit
from tests.full_shop import a_full_catalogue
from tests.photo.phones import A_LENS, a_calibration
from tests.stock_values import SIGNED
from tests.store.contract.stores import FileStore, Store, contents
from tests.store.contract.test_moves import quietly
from tests.store.contract.test_walks import drawn_alike
from tests.thorough import EVERY

NOW = SIGNED.at + timedelta(days=2)

VALUES: dict[str, list[Any]] = {
    "tag: str": ["R-1", "r-5", "R-4", "no such"],
    "tags: Sequence[str]": [["R-1", "r-2", "K-1", "R-77"]],
    "texts: Sequence[str]": [["r-1", "R-2", "x"]],
    "styles: Sequence[str] | None": [None, ["Velder Loop", "Harrow Twist"]],
    "style: str": ["velder loop", "Moss Cord"],
    "place: str": ["Bay 3", "Bay 5", "attic", "none"],
    "reference: str": ["F-1", "F-7", "none"],
    "name: str": ["Maud", "wim", "ÓLA", "Beech Walk 1", "J-0003", "North", "none"],
    "who: str": ["Ana", "wim", "Maud"],
    "by: str": ["Ana"],
    "words: str": ["atic", "%", "velder oatmel", "R-5", "attic, north"],
    "words: Sequence[str]": [["F-1", "Fir Lane 2", "reason 3", "Somebody else"]],
    "text: str": ["r-", "Velder", "J-0005", "beech walk 1"],
    "prefix: str": ["R-", "O-"],
    "letters: str": ["7", "AB"],
    "digest: str": ["s Maud", "h 1", "u 1", "c 1", "l 1", "c 0"],
    "key: str": ["came in", "asked twice", "none"],
    "number: int": [1, 2, 3, 18, 999],
    "numbers: Iterable[int]": [[1, 2, 14]],
    "job: int": [1, 2, 5, 77],
    "job: str": ["Beech Walk 1", "Fir Lane 2"],
    "jobs: Collection[int]": [[1, 2, 5]],
    "page: int": [4],
    "booking: int": [1, 12],
    "version: int": [0, 3],
    "count: int": [0, 7, 8],
    "most: int": [1, 100],
    "most: int | None": [None, 2],
    "after: int": [0, 1],
    "value: float | None": [None, 3.5],
    "bar_mm: float": [99.5],
    "found: PhoneCalibration": [a_calibration(), a_calibration(replace(A_LENS, model="Three"))],
    "step: Step": list(Step),
    "unit: Unit": [Unit.MM],
    "by: By": list(By),
    "keep: KeepRule": [KeepRule()],
    "label: tuple[str, str, str]": [("Velder Loop", "Oatmeal", "4471-B")],
    "now: datetime": [NOW],
    "at: datetime": [NOW],
    "since: datetime": [SIGNED.at - timedelta(days=1)],
    "tries_before: datetime": [NOW],
    "ends: datetime": [NOW],
    "today: date": [NOW.date()],
    "day: date": [NOW.date()],
    "day: date | None": [NOW.date()],
    "seen: int | None": [None],
    "seen: str": ["plain", "as foretold", "nice"],
    "signed: Signed": [SIGNED],
}
"""By how a parameter is written; those with a default may be left out."""

_OF_DATABASES = {"IntegrityError", "DataError"}
"""What both libraries call a row that breaks a rule, as PEP 249 has it; each has names of its own below."""

_QUALIFIED = re.compile(r"(?:\w+\.)+")

NOT_ASKED = {
    "backup",
    "rescue",
    "aside",
    "in_store",  # gives the words of a statement, which differ
    "database",
    "file_catalogue",
    "looked_at",
    "migrations",
    "moving",
    "cluster_desk",
    "move_catalogue",
}
"""Modules of what is done with whole files, or with other programs."""


DRAWN_ANEW = {"remnants.store.pieces.names_mark", "remnants.actions.estimate_job.stock_mark"}
"""What each store draws by itself."""


def modules() -> Iterator[ModuleType]:
    for package in (stores, actions):
        for found in pkgutil.iter_modules(package.__path__):
            if found.name not in NOT_ASKED and not found.ispkg:
                yield importlib.import_module(f"{package.__name__}.{found.name}")


def questions() -> Iterator[tuple[str, Callable[[Catalogue], Any]]]:
    """Each call by its words."""
    for module in modules():
        for name in module.__all__:
            do = getattr(module, name)
            if not inspect.isfunction(do) or do.__module__ != module.__name__:
                continue
            parameters = list(inspect.signature(do).parameters.values())
            if not parameters or parameters[0].annotation is not Catalogue or hasattr(do, "__wrapped__"):
                continue
            if f"{module.__name__}.{name}" in DRAWN_ANEW:
                continue
            for told in ways(parameters[1:]):
                shown = ", ".join(f"{parameter}={value!r:.40}" for parameter, value in told.items())
                yield f"{module.__name__.removeprefix('remnants.')}.{name}({shown})", partial(do, **told)


def ways(parameters: list[inspect.Parameter]) -> Iterator[dict[str, Any]]:
    """What can be told for the parameters; nothing where one without a default has no value here."""
    choices: dict[str, list[Any]] = {}
    for parameter in parameters:
        known = VALUES.get(f"{parameter.name}: {_QUALIFIED.sub('', inspect.formatannotation(parameter.annotation))}")
        if known is not None:
            choices[parameter.name] = known
        elif parameter.annotation is bool:
            choices[parameter.name] = [False, True]
        elif parameter.default is inspect.Parameter.empty:
            return
    for values in itertools.product(*choices.values()):
        yield dict(zip(choices, values, strict=True))


def answer(catalogue: Catalogue, do: Callable[[Catalogue], Any]) -> Any:
    """What is answered, or how it is refused; iterators promise no order here."""
    with pytest.MonkeyPatch.context() as patched:
        drawn_alike(patched)
        try:
            with catalogue.atomic():
                told = do(catalogue)
                return sorted(told, key=repr) if isinstance(told, Iterator) else told
        except RemnantsError as refused:
            return type(refused), str(refused)
        except Exception as fault:
            return next((kind.__name__ for kind in type(fault).__mro__ if kind.__name__ in _OF_DATABASES), type(fault).__name__)


def differences(file: FileCatalogue, other: Catalogue, do: Callable[[Catalogue], Any]) -> Iterator[tuple[Any, Any]]:
    """What the two answer otherwise, and which tables they have otherwise after a change; it is taken back in both."""
    before = file.conn.total_changes
    with suppress(ZeroDivisionError), file.atomic(), other.atomic():
        told, other_told = answer(file, do), answer(other, do)
        if told != other_told:
            yield told, other_told
        if file.conn.total_changes > before:
            rows, other_rows = contents(file, drawn=False), contents(other, drawn=False)
            yield from ((rows[table], other_rows[table]) for table in rows if rows[table] != other_rows[table])
        raise ZeroDivisionError


@pytest.fixture(scope="module")
def both(store: Store, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[FileCatalogue, Catalogue]]:
    """The same shop in a file and in the store, open."""
    files = FileStore(tmp_path_factory.mktemp("files"))
    at, there = files.new(), store.new()
    a_full_catalogue(at)
    with files.opened(at, now=lambda: NOW) as one, store.opened(there, now=lambda: NOW) as other:
        move_catalogue(one, other, watch=quietly)
        assert isinstance(one, FileCatalogue)
        yield one, other


@pytest.mark.parametrize("store", ["server"], indirect=True)
def test_every_question_is_answered_alike(both: tuple[FileCatalogue, Catalogue]) -> None:
    asked, differing = set(), []
    for number, (words, do) in enumerate(questions()):
        name = words.partition("(")[0]
        if name not in asked or number % EVERY == 0:
            differing += [(words, *each) for each in differences(*both, do)]
        asked.add(name)
    assert not differing, "\n".join(map(repr, differing))
    assert len(asked) > 150, "the functions must have been found, or this shows nothing"
