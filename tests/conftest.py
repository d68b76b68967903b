"""Settings that all tests share."""

import gc
import os
import signal
from collections.abc import Iterator
from inspect import signature
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from remnants.cli import THREADS, order
from remnants.store import database, migrations
from tests.asked_before import asked_before
from tests.commands import Remnants
from tests.server import Server, programs, running_server
from tests.tables_once import tables_once
from tests.thorough import EVERY

# No deadline, and no limit to how long examples take to make: a busy machine is not a defect. On an automatic run the examples
# are the same each time, so that it fails only for what was changed; a run by hand looks for new ones.
BUSY = [HealthCheck.too_slow]
settings.register_profile("house", deadline=None, suppress_health_check=BUSY, derandomize="CI" in os.environ)
settings.load_profile("house")

WEB = Path(__file__).parent / "web"

# Ctrl-C is heard, also by commands that tests start, when the tests run in the background, where a shell has it ignored.
signal.signal(signal.SIGINT, signal.default_int_handler)

# As for each command: pages and what the tests ask of the program itself load numpy too.
os.environ.setdefault(THREADS, "1")

# What is there once the tests are collected stays to the end: to look through it for what may go took a fifth of collecting it.
gc.disable()


def pytest_collection_finish() -> None:
    """Whatever comes from now on is looked through, without what was there before."""
    gc.freeze()
    gc.enable()


@pytest.fixture(scope="session", autouse=True)
def tables() -> Iterator[None]:
    """The tables of new catalogues, made once."""
    with tables_once():
        yield


@pytest.fixture(scope="session", autouse=True)
def no_wait_for_the_disk() -> Iterator[None]:
    """What is written outlasts its process, and need not outlast the power: else a run waits for the disk tens of thousands of
    times. With all asked for, it waits as a shop does."""
    with pytest.MonkeyPatch.context() as here:
        if EVERY > 1:
            here.setattr(database, "TO_THE_DISK", {True: "OFF", False: "OFF"})
        yield


@pytest.fixture(scope="session", autouse=True)
def orders_found_soon() -> Iterator[None]:
    """An order for which a test tells no tries is looked for with a tenth of the usual: by these it takes all of its twenty
    seconds, and what tests ask is found as soon. With all asked for, it is looked for as by a reader of the pages."""
    with pytest.MonkeyPatch.context() as here:
        if EVERY > 1:
            here.setattr(order, "TRIES_A_SECOND", 4)
        yield


@pytest.fixture(autouse=True)
def answered_before(request: pytest.FixtureRequest) -> Iterator[None]:
    """A page or a command that a test asks what another asked is answered from what came of it, unless the test changes something
    of the program. With all asked for, each is answered anew."""
    asks = request.path.name.startswith("test_cli_") or WEB in request.path.parents
    given = request.fixturenames if "remnants" not in request.fixturenames else signature(request.function).parameters
    changes = not asks or "monkeypatch" in given
    if EVERY == 1 or (changes and request.path.name != "test_docs.py"):  # which changes where commands stand, and no more
        yield
        return
    with asked_before():
        yield


@pytest.fixture
def own_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    """New catalogues get their tables by the program's own steps, as in a shop: where a test asks how several meet at them."""
    monkeypatch.setattr(database, "migrate", migrations.migrate)


@pytest.fixture
def remnants(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Remnants:
    """Commands on a catalogue of the test's own."""
    monkeypatch.setenv("REMNANTS_CATALOGUE", str(tmp_path / "stock.db"))
    monkeypatch.delenv("REMNANTS_UNIT", raising=False)
    return Remnants(tmp_path, capsys)


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A PostgreSQL of the tests' own, started where a test first asks for it and gone after the run."""
    found = programs()
    if found is None:
        pytest.fail("PostgreSQL isn't on this machine: `apt-get install postgresql`, or `sh tests/run.sh` as root, brings it")
    with running_server(found) as running:
        yield running


@pytest.fixture
def server_address(server: Server) -> Iterator[str]:
    """The address of an empty database of the test's own."""
    name = server.make()
    yield server.address(name)
    server.drop(name)
