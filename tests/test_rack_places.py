"""Places as the racks list them: ours, vans, houses; each with how many pieces lie there, and found by its words."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.log_pieces import log_pieces
from remnants.actions.rack import PlaceShare, Whereabouts, place_shares
from remnants.model import Kind
from tests.stock_values import SIGNED, a_piece, a_stock, a_style

PLACES = {
    "R-1": "Bay 10",
    "R-2": "Bay 2",
    "R-3": "Bay 2",
    "R-4": "white van",
    "K-1": "Elm End 4, attic",
    "K-2": "Bay 2",
    "R-5": "Evans shelf",
}


@pytest.fixture
def catalogue(tmp_path: Path) -> Iterator[Catalogue]:
    with open_catalogue(tmp_path / "stock.db", write=True) as opened:
        made = [
            replace(a_piece(tag), place=place, kind=Kind.KEPT if tag.startswith("K") else Kind.REMNANT)
            for tag, place in PLACES.items()
        ]
        log_pieces(opened, a_stock(*made, styles=(a_style(),)), signed=SIGNED)
        yield opened


def test_bays_vans_and_customers_attics_are_not_one_list_of_the_alphabet(catalogue: Catalogue) -> None:
    assert place_shares(catalogue) == (
        PlaceShare("Bay 2", Whereabouts.STORE, 3),
        PlaceShare("Bay 10", Whereabouts.STORE, 1),
        PlaceShare("Evans shelf", Whereabouts.STORE, 1),
        PlaceShare("white van", Whereabouts.VAN, 1),
        PlaceShare("Elm End 4, attic", Whereabouts.HOUSE, 1),
    )


def test_a_place_is_found_by_its_words_in_any_case(catalogue: Catalogue) -> None:
    assert [share.place for share in place_shares(catalogue, "ATTIC elm")] == ["Elm End 4, attic"]
    assert place_shares(catalogue, "cellar") == ()
