"""The note of how long the patch form takes: only where the shop asks for it, of no person, and for managers alone."""

from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.actions.field_paces import MOST_SECONDS, MOST_TAPS, WHOLE, FieldPace, forget_paces, note_paces, noted_paces
from remnants.actions.shop_rules import change_rules
from remnants.store import Catalogue, open_catalogue
from remnants.store.field_paces import MOST_FIELDS
from remnants.units import Unit
from tests.stock_values import SIGNED
from tests.web.conftest import House

ASKED = {"style": "Velder Loop", "shape": "rectangle", "width": "20 in", "length": "10 in", "pile": "0", "key": "one"}


def test_nothing_is_noted_until_the_shop_asks_for_it(house: House) -> None:
    wim, maud = house.browser("Wim"), house.browser("Maud")
    assert 'name="pace"' not in wim.get("/patch").text
    wim.post("/patch", data=ASKED | {"pace": "form:9:40 style:2:6"})
    assert "No form was noted yet." in maud.get("/pace").text


def test_a_manager_reads_seconds_and_taps_by_field_and_empties_the_note(house: House) -> None:
    wim, maud = house.browser("Wim"), house.browser("Maud")
    maud.post("/rules", data={"note_pace": "yes"})
    assert 'name="pace"' in wim.get("/patch").text
    for told in ("form:9:40 width:2:6.5", "form:5:20 width:4:3.5"):
        answer = wim.post("/patch", data=ASKED | {"pace": told})
        assert answer.status_code == 303 and "pace" not in answer.headers["Location"]
    page = maud.get("/pace").text
    assert 'The whole form</th><td class="number">2</td><td class="number">30.0</td><td class="number">7.0</td>' in page
    assert 'Across</th><td class="number">2</td><td class="number">5.0</td><td class="number">3.0</td>' in page
    assert "Wim" not in page.split("<h1>")[1], "of nobody"
    assert wim.get("/pace").status_code == wim.post("/pace/empty").status_code == 403
    assert maud.post("/pace/empty").status_code == 303
    assert "No form was noted yet." in maud.get("/pace").text


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Catalogue]:
    with open_catalogue(tmp_path_factory.mktemp("pace") / "stock.db", write=True) as opened:
        change_rules(opened, {"note_pace": "yes"}, unit=Unit.IN, signed=SIGNED)
        yield opened


words = st.lists(
    st.one_of(st.from_regex(r"[a-z_0-9]{1,6}:-?[0-9]{1,8}:[0-9.]{1,9}", fullmatch=True), st.text(max_size=12)), max_size=90
)


@given(told=words.map(" ".join), fields=st.sets(st.sampled_from(["style", "width", "a"]), max_size=3))
@settings(max_examples=60)
def test_whatever_is_told_only_fields_of_the_form_are_noted_within_bounds(
    catalogue: Catalogue, told: str, fields: set[str]
) -> None:
    forget_paces(catalogue)
    note_paces(catalogue, told, fields)
    for pace in noted_paces(catalogue):
        assert pace.field in {*fields, WHOLE}
        assert 0 <= pace.taps <= MOST_TAPS * pace.times and 0 <= pace.seconds <= MOST_SECONDS * pace.times


def test_no_more_fields_are_told_apart_than_a_form_can_have(catalogue: Catalogue) -> None:
    forget_paces(catalogue)
    for first in range(0, MOST_FIELDS + 100, 50):
        names = [f"f{number}" for number in range(first, first + 50)]
        note_paces(catalogue, " ".join(f"{name}:1:1" for name in names), names)
    assert len(noted_paces(catalogue)) == MOST_FIELDS
    note_paces(catalogue, "f0:3:2", ["f0"])
    assert FieldPace("f0", 2, 4, 3.0) in noted_paces(catalogue)
    forget_paces(catalogue)
    assert noted_paces(catalogue) == ()
