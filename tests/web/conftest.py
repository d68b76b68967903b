"""A shop with three people, and a browser's manners without a browser."""

import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from argon2 import PasswordHasher
from flask import Flask
from flask.testing import FlaskClient
from jinja2 import BytecodeCache
from jinja2.bccache import Bucket
from werkzeug.routing import Rule
from werkzeug.test import TestResponse
from zxcvbn import zxcvbn

from remnants.actions import doors, open_catalogue, passphrases, people
from remnants.actions.log_pieces import log_pieces
from remnants.exchange import read_stock
from remnants.model import Role, Scope
from remnants.store.server_address import in_a_file
from remnants_web import Settings, create_app, questions
from tests.stock_values import SIGNED
from tests.thorough import EVERY
from tests.web.stock import STOCK

PASSPHRASE = "ochre badger lantern five"

FULL_WORK = passphrases._hasher


class TemplatesOnce(BytecodeCache):
    """Templates compiled once for all the apps of a run: a server makes one app, a run of tests some thousand."""

    def __init__(self) -> None:
        self._compiled: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        if bucket.key + bucket.checksum in self._compiled:
            bucket.bytecode_from_string(self._compiled[bucket.key + bucket.checksum])

    def dump_bytecode(self, bucket: Bucket) -> None:
        self._compiled[bucket.key + bucket.checksum] = bucket.bytecode_to_string()


Flask.jinja_options = {"bytecode_cache": TemplatesOnce()}


_compiled_builder = Rule._compile_builder
_builders: dict[tuple[object, ...], Callable[..., tuple[str, str]]] = {}


def builder_once(rule: Rule, append_unknown: bool = True) -> Callable[..., tuple[str, str]]:
    """What makes addresses from a rule, compiled once for all the apps of a run as templates are: most of what an app costs."""
    if rule.defaults:
        return _compiled_builder(rule, append_unknown)
    key = (rule.rule, *rule._trace, append_unknown)
    if key not in _builders:
        _builders[key] = _compiled_builder(rule, append_unknown)
    return _builders[key]


Rule._compile_builder = builder_once  # type: ignore[assignment, method-assign]


@pytest.fixture(scope="session", autouse=True)
def little_work() -> Iterator[None]:
    """Passphrases are hashed as the program does it, with next to none of its work: each costs a quarter of a second of it.

    How hard one is to guess is worked out once: every shop begins with the same one.
    """
    judge = cache(lambda passphrase, known: zxcvbn(passphrase, user_inputs=list(known)))
    with pytest.MonkeyPatch.context() as here:
        here.setattr(passphrases, "zxcvbn", lambda passphrase, *, user_inputs: judge(passphrase, tuple(user_inputs)))
        here.setattr(passphrases, "_hasher", PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))
        yield


@pytest.fixture
def full_work(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Passphrases are hashed with all the work that the program puts into it; to be asked for before `house`."""
    monkeypatch.setattr(passphrases, "_hasher", FULL_WORK)
    passphrases._nobodys.cache_clear()
    yield
    passphrases._nobodys.cache_clear()


@pytest.fixture(scope="session", autouse=True)
def orders_asked_soon() -> Iterator[None]:
    """An order on a page is looked for with a tenth of the tries, as by command (`orders_found_soon`); they alone end it."""
    with pytest.MonkeyPatch.context() as here:
        if EVERY > 1:
            here.setattr(questions, "ORDER_TRIES", questions.ORDER_TRIES // 10)
            here.setattr(questions, "ORDER_SECONDS", 3600)
        yield


class Clock:
    """A clock that tests turn."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def wait(self, **time: float) -> None:
        self.now += timedelta(**time)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture(scope="session")
def stocked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue with invented stock, to be copied."""
    path = tmp_path_factory.mktemp("stocked") / "stock.db"
    with open_catalogue(path, write=True) as catalogue:
        log_pieces(catalogue, read_stock(STOCK), signed=SIGNED)
    return path


@pytest.fixture
def settings(tmp_path: Path, clock: Clock, stocked: Path) -> Settings:
    """A catalogue of the test's own with invented stock."""
    path = tmp_path / "stock.db"
    shutil.copy(stocked, path)
    return Settings(path, now=clock)


@pytest.fixture
def app(settings: Settings) -> Flask:
    made = create_app(settings)
    made.testing = False
    return made


class Seen(TestResponse):
    """An answer whose text is as a person reads it: a blank is a blank, whether lines break there or not. `data` is as sent."""

    @property
    def text(self) -> str:
        return super().text.replace("\N{NO-BREAK SPACE}", " ")


class Browser(FlaskClient):
    """Says of each request that a page of the same origin sent it, as browsers do; `**headers` say otherwise."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.response_wrapper = type("Answer", (Seen, self.response_wrapper), {})

    def open(self, *args: Any, **kwargs: Any) -> TestResponse:
        headers = {"Sec-Fetch-Site": "same-origin", "Accept": "text/html"} | dict(kwargs.pop("headers", None) or {})
        kwargs.setdefault("buffered", True)
        return super().open(*args, headers={name: text for name, text in headers.items() if text}, **kwargs)


class House:
    """Browsers for people of each role."""

    def __init__(self, app: Flask, settings: Settings) -> None:
        self.app, self.settings = app, settings
        app.test_client_class = Browser
        self._begin("Maud", Role.MANAGE)

    @property
    def file(self) -> Path:
        """The file that its catalogue is."""
        return in_a_file(self.settings.catalogue, instead="no shop of these tests is on a server")

    def _begin(self, name: str, role: Role) -> None:
        with open_catalogue(self.settings.catalogue, write=True, now=self.settings.now) as catalogue:
            self.manager_secret = people.first_manager_link(catalogue, now=self.settings.now())
            assert self.manager_secret
            doors.set_passphrase_by_link(
                catalogue, self.manager_secret, PASSPHRASE, name=name, label="test", now=self.settings.now()
            )
            maud = people.everybody(catalogue)[0]
            for other, lesser in (("Wim", Role.WORK), ("Lou", Role.LOOK)):
                people.invite(catalogue, other, lesser, by=maud, now=self.settings.now())

    def secret_of(self, name: str) -> str:
        """A session of that person, opened by a device's link."""
        with open_catalogue(self.settings.catalogue, write=True, now=self.settings.now) as catalogue:
            person = next(one for one in people.everybody(catalogue) if one.name == name)
            link = doors.device_link(catalogue, person, now=self.settings.now())
            return doors.link_device(catalogue, link, label="test phone", now=self.settings.now())

    def key_of(self, name: str, *scopes: Scope, days: int = 30) -> str:
        """A program's key of that person; one that may do all that keys can, where no scopes are given."""
        with open_catalogue(self.settings.catalogue, write=True, now=self.settings.now) as catalogue:
            person = next(one for one in people.everybody(catalogue) if one.name == name)
            now = self.settings.now()
            until = (now + timedelta(days=days)).date()
            return doors.make_key(catalogue, person, label="a test", scopes=scopes or tuple(Scope), until=until, now=now)

    def browser(self, name: str = "") -> Browser:
        """A browser, signed in as that person or not at all."""
        client = self.app.test_client()
        assert isinstance(client, Browser)
        if name:
            client.set_cookie("remnants", self.secret_of(name))
        return client


@pytest.fixture
def house(app: Flask, settings: Settings) -> Iterator[House]:
    yield House(app, settings)


@pytest.fixture(scope="module")
def modules_house(tmp_path_factory: pytest.TempPathFactory, stocked: Path) -> House:
    """One for all tests of a module, where they only ask: each sees what the module's own fixture planted, and nothing else."""
    path = tmp_path_factory.mktemp("house") / "stock.db"
    shutil.copy(stocked, path)
    settings = Settings(path, now=Clock())
    app = create_app(settings)
    app.testing = False
    return House(app, settings)
