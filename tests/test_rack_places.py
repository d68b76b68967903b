"""Places as the racks list them: ours, vans, houses; each with how many pieces lie there, and found by its words."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.booking import book
from remnants.actions.change_piece import discard_piece
from remnants.actions.log_pieces import log_pieces
from remnants.actions.rack import PlaceShare, Whereabouts, count_at, pieces_at, place_shares, shares
from remnants.exchange import Stock
from remnants.ledger import Counted, Stage
from remnants.model import Kind
from remnants.store import pieces
from tests.stock_values import SIGNED, a_piece, a_stock, a_style
from tests.thorough import share

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


LAID_OUT = st.lists(
    st.tuples(
        st.sampled_from(list(Kind)),
        st.sampled_from(["Velder Loop", "Fell Twist"]),
        st.sampled_from(["Bay 2", "white van", "Elm End 4", ""]),
        st.sampled_from([(), ((0, 0), (60, 0), (60, 20), (24, 20), (24, 50), (0, 50))]),
        st.sampled_from(["", "discard", "miss"]),
    ),
    max_size=12,
)


@given(made=LAID_OUT)
@settings(max_examples=share(60))
def test_what_the_file_sums_is_what_a_count_by_hand_comes_to(made: list[tuple[Any, ...]]) -> None:
    """How many pieces and how much carpet, by style and by place: SQLite's sums against reading every piece."""
    with TemporaryDirectory() as folder, open_catalogue(Path(folder) / "stock.db", write=True) as catalogue:
        lying = [
            replace(a_piece(f"R-{number}", 20 + number, outline=outline), kind=kind, style=style, place=place)
            for number, (kind, style, place, outline, _) in enumerate(made)
        ]
        log_pieces(catalogue, Stock((a_style(), a_style("Fell Twist")), tuple(lying)), signed=SIGNED)
        for piece, (*_, then) in zip(lying, made, strict=True):
            if then == "discard":
                discard_piece(catalogue, piece.tag, signed=SIGNED)
            elif then == "miss" and piece.place:
                book(catalogue, [(piece.tag, Counted(piece.place, seen=False))], SIGNED)
        there = [standing for standing in pieces.every_standing(catalogue) if standing.stage is not Stage.DISCARDED]
        store = [
            each.piece for each in there if each.stage is not Stage.MISSING and each.piece.kind in (Kind.REMNANT, Kind.OFFCUT)
        ]
        for told in shares(catalogue):
            own = [piece for piece in store if piece.style == told.style]
            assert told.count == len(own) > 0
            assert told.area_mm2 == pytest.approx(sum(piece.outline.usable_area_mm2 for piece in own), rel=1e-9)
        assert {told.style for told in shares(catalogue)} == {piece.style for piece in store}
        for place in {piece.place for piece in lying if piece.place}:
            tags = [each.piece.tag for each in there if each.piece.place == place]
            leaves = [pieces_at(catalogue, place, after=after, most=2) for after in range(0, len(tags) + 2, 2)]
            assert [each.piece.tag for leaf in leaves for each in leaf] == tags
            assert count_at(catalogue, place) == len(tags)
        counted = {told.place: told.count for told in place_shares(catalogue)}
        assert counted == Counter(each.piece.place for each in there if each.piece.place)
