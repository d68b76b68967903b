"""A tag that no piece has, in a stock too large to compare it with every tag: what was meant is still told."""

from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remnants.actions import Catalogue, near_tags, open_catalogue
from remnants.actions.fit_job import offer_of
from remnants.actions.log_pieces import log_pieces
from remnants.actions.near_tags import BEGUN_ALIKE, COMPARED, tags_to_compare
from remnants.actions.show_piece import show_piece
from remnants.errors import BadInput, NotFound
from remnants.store import pieces
from tests.actions.test_fit_job import a_job
from tests.stock_values import SIGNED, a_piece, a_stock

TAGS = (
    *(f"R-{number:04d}" for number in range(95, 130)),
    "O-0007",
    "k-12a",
    "Läufer 3",
    "Bin 4/2",
    "R-0100-B",
    "R-0000999",
    "X" * 60,
)
SLIPS = ("left out", "put in", "changed", "swapped", "whole")


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Catalogue]:
    with open_catalogue(tmp_path_factory.mktemp("near") / "stock.db", write=True) as opened:
        log_pieces(opened, a_stock(*map(a_piece, TAGS)), signed=SIGNED)
        yield opened


@pytest.fixture
def large(monkeypatch: pytest.MonkeyPatch) -> None:
    """So few tags are compared with that this stock is a large one."""
    monkeypatch.setattr(near_tags, "COMPARED", 10)


def told_of(catalogue: Catalogue, tag: str) -> str:
    with pytest.raises(NotFound) as refused:
        show_piece(catalogue, tag)
    return str(refused.value)


def test_in_a_small_stock_each_tag_is_compared(catalogue: Catalogue) -> None:
    assert len(TAGS) < COMPARED
    assert tags_to_compare(catalogue, "Q") == pieces.all_tags(catalogue)


@pytest.mark.usefixtures("large")
def test_a_slip_is_told_as_it_is_in_a_small_stock(catalogue: Catalogue) -> None:
    assert told_of(catalogue, "O-0077") == "no piece has the tag 'O-0077'; the nearest are O-0007"
    assert "R-0000999" in told_of(catalogue, "r-999"), "zeros left out"
    assert "R-0124" in tags_to_compare(catalogue, "R-0142"), "two figures swapped"
    assert told_of(catalogue, "???") == "no piece has the tag '???'"
    assert told_of(catalogue, "Y" * 200).startswith("no piece has the tag")


@pytest.mark.usefixtures("large")
def test_a_job_that_names_a_wrong_tag_is_told_the_nearest(catalogue: Catalogue) -> None:
    with pytest.raises(BadInput, match="the nearest are O-0007"):
        offer_of(catalogue, replace(a_job(), use=("O-0O07",)))


@pytest.mark.usefixtures("large")
def test_tags_that_begin_alike_are_only_so_many(catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(near_tags, "BEGUN_ALIKE", 3)
    assert BEGUN_ALIKE > 3
    found = tags_to_compare(catalogue, "R-01")
    assert found[:3] == ("R-0100", "R-0100-B", "R-0101") and len(found) == 3


@given(tag=st.sampled_from([tag for tag in TAGS if len(tag) < near_tags.SLIP_CHARACTERS]), data=st.data())
def test_what_one_slip_made_of_a_tag_leads_back_to_it(catalogue: Catalogue, tag: str, data: st.DataObject) -> None:
    slip, at = data.draw(st.sampled_from(SLIPS)), data.draw(st.integers(0, len(tag) - 2))
    sign = data.draw(st.sampled_from("0O8BzZ#é "))
    typed = {
        "left out": tag[:at] + tag[at + 1 :],
        "put in": tag[:at] + sign + tag[at:],
        "changed": tag[:at] + sign + tag[at + 1 :],
        "swapped": tag[:at] + tag[at + 1] + tag[at] + tag[at + 2 :],
        "whole": tag.swapcase(),
    }[slip]
    with pytest.MonkeyPatch.context() as here:
        here.setattr(near_tags, "COMPARED", 10)
        found = tags_to_compare(catalogue, typed)
    assert set(found) <= set(pieces.all_tags(catalogue))
    assert tag in found or (len(tag) > len(typed) and tag[at] not in near_tags.SIGNS + near_tags.SIGNS.lower())
