"""The store that a law is held against: each in turn."""

from pathlib import Path
from typing import Any

import pytest

from tests.harmed import a_busy_catalogue
from tests.store.contract.stores import FileStore, Store


@pytest.fixture(scope="module", params=["file"])
def store(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Store:
    folder: Path = tmp_path_factory.mktemp(str(request.param))
    return FileStore(folder)


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
