"""The server is stopped in the midst of a command: nothing of it is done, and one line says so."""

from collections.abc import Iterator
from typing import Any

import pytest

from remnants.actions import open_catalogue
from remnants.actions.log_pieces import log_pieces
from remnants.cli import main
from remnants.store.server.server_catalogue import ServerCatalogue
from remnants.store.server_address import ServerAddress
from tests.commands import Remnants
from tests.jobs import a_hall
from tests.server import Server
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.store.contract.stores import contents

ROWS = 600
"""More than go in at once."""

COMMANDS: dict[str, tuple[str, ...]] = {
    "a spreadsheet": ("log", "rows.csv", "--yes", "--by", "Ana"),
    "a count": ("count", "Bay 3", "R-2", "N-1", "--yes", "--by", "Ana"),
    "a transfer": ("send", "R-2", "R-3", "--to", "North", "--expected", "2999-06-03", "--by", "Ana"),
    "what arrives": ("take-in", "R-4", "R-5", "--place", "North Bay 1", "--by", "Ana"),
    "a cut": ("cut", "Alder Court 7.json", "--yes", "--by", "Ana"),
}


class Midst:
    """Counts what a command asks in its transactions; with `before`, the server is stopped before that one is asked."""

    def __init__(self, server: Server, monkeypatch: pytest.MonkeyPatch) -> None:
        self.server, self.asked, self.before = server, 0, 0
        for name in ("execute", "many"):
            monkeypatch.setattr(ServerCatalogue, name, self._counted(getattr(ServerCatalogue, name)))

    def _counted(self, ask: Any) -> Any:
        def counted(catalogue: ServerCatalogue, *given: Any) -> Any:
            if catalogue.in_transaction:
                self.asked += 1
                if self.asked == self.before:
                    self.server.stop()
            return ask(catalogue, *given)

        return counted


@pytest.fixture(scope="module")
def shop(server: Server) -> Iterator[str]:
    """A database with two branches and five pieces, two of them on the way."""
    name = server.make()
    with open_catalogue(ServerAddress(server.address(name)), write=True) as catalogue:
        stock = [a_piece(f"R-{number}", 60, 90) for number in range(1, 6)]
        log_pieces(catalogue, a_stock(*stock, a_piece("N-1", place="North Bay 1")), signed=SIGNED)
    for told in ("branch South --new", "branch North --new --away South 40km", "send R-4 R-5 --to North --by Bo"):
        assert main([*told.split(), "--catalogue", server.address(name)]) == 0
    yield name
    server.drop(name)


@pytest.fixture
def beginning(server: Server, shop: str, remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """The name of a copy, in which the commands work."""
    monkeypatch.setenv("XDG_STATE_HOME", str(remnants.folder / "state"))
    monkeypatch.chdir(remnants.folder)
    name = server.make(like=shop)
    monkeypatch.setenv("REMNANTS_CATALOGUE", server.address(name))
    yield name
    server.drop(name)


def held(at: str) -> Any:
    """All that the catalogue holds."""
    with open_catalogue(ServerAddress(at), write=False) as catalogue:
        return contents(catalogue)


@pytest.mark.parametrize("doing", COMMANDS)
def test_a_server_that_is_stopped_in_the_midst_keeps_nothing_of_it_and_one_line_tells(
    doing: str, server: Server, beginning: str, remnants: Remnants, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = (f"B-{number},Heath,40 in,60 in,Bay 9" for number in range(ROWS))
    remnants.file("rows.csv", "\n".join(["Tag,Style,Width,Length,Place", *rows]))
    a_hall(remnants, "Alder Court 7")
    at = server.address(beginning)
    before = held(at)
    other = server.make(like=beginning)
    midst = Midst(server, monkeypatch)
    remnants.ok(*COMMANDS[doing], "--catalogue", server.address(other))
    asked = midst.asked
    assert held(server.address(other)) != before
    for moment in (asked // 2, asked):
        midst.asked, midst.before = 0, moment
        told = remnants(*COMMANDS[doing])
        midst.before = 0
        server.start()
        assert told.code == 2 and "what was being done was kept wholly or not at all" in told.err.lower()
        assert [line for line in told.err.splitlines() if line.startswith("remnants: ")] == told.err.splitlines()[-1:]
        assert held(at) == before
    server.drop(other)
