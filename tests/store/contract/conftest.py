"""The store that a law is held against: each in turn."""

from typing import Any

import pytest

from tests.harmed import a_busy_catalogue
from tests.store.contract.stores import FileStore, ServerStore, Store


@pytest.fixture(scope="module", params=["file", "server"])
def store(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Store:
    if request.param == "server":
        return ServerStore(request.getfixturevalue("server"))
    return FileStore(tmp_path_factory.mktemp("file"))


@pytest.fixture(scope="module")
def sound(store: Store) -> Any:
    """Where a catalogue is in which much has happened; never written to."""
    at = store.new()
    a_busy_catalogue(at)
    return at


@pytest.fixture
def busy(store: Store, sound: Any) -> Any:
    """A copy of it, for one test."""
    return store.copy(sound)
