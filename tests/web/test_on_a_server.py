"""The pages of a shop whose stock is on a database server: they do what they do with a file."""

from pathlib import Path

import pytest

from remnants.actions import connections_kept, open_catalogue
from remnants.actions.log_pieces import log_pieces
from remnants.exchange import read_stock
from remnants.ledger import Signed
from remnants.store.server_address import ServerAddress
from remnants_web import Settings, create_app
from tests.web.conftest import Clock, House
from tests.web.stock import STOCK


def test_one_signs_in_finds_a_piece_and_moves_it(
    server_address: str, clock: Clock, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    at = ServerAddress(server_address)
    with open_catalogue(at, write=True, now=clock) as catalogue:
        log_pieces(catalogue, read_stock(STOCK), signed=Signed("Ana", clock.now))
        tag = next(row["tag"] for row in catalogue.query("SELECT tag FROM piece WHERE stage = 'in stock' ORDER BY tag"))
    settings = Settings(at, now=clock)
    with connections_kept(at, most=2):
        maud = House(create_app(settings), settings).browser("Maud")
        home = maud.get("/")
        assert home.status_code == 200 and "No copy of the stock is known" not in home.text, "copies are the keeper's"
        assert "Bay" in maud.get("/racks").text
        assert tag in maud.get(f"/pieces/{tag}").text
        moved = maud.post(f"/pieces/{tag}/move", data={"place": "Bay 77"})
        assert moved.status_code in (302, 303)
        assert "Bay 77" in maud.get(f"/pieces/{tag}").text and "Bay 77" in maud.get("/racks").text
        assert maud.get("/door-book").status_code == 200
