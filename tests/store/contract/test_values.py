"""What is put in comes back the same, sorts the same, is found the same; what is forgotten is nowhere."""

import json
from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.actions import Catalogue
from remnants.actions.change_piece import move_piece
from remnants.actions.customers import forget_customer, kept_pieces, put_customer
from remnants.actions.keep_safe import verify
from remnants.actions.kept_orders import every_order, save_order
from remnants.actions.log_pieces import log_pieces, next_tag
from remnants.actions.show_piece import show_piece
from remnants.geometry import outline_of
from remnants.ledger import replay
from remnants.model import Kind, Lab
from remnants.model.customer import Customer
from remnants.model.order_kept import CarpetKept, OrderKept, RoomKept
from remnants.store import customers, ledger, pieces, requests, styles
from tests.stock_values import IN, SIGNED, a_piece, a_stock, a_style
from tests.store.contract.stores import Store
from tests.thorough import share

ODD = [
    "%",
    "%s",
    "100 % wool",
    "?",
    "a ? b",
    ":tag",
    "$1",
    "it's",
    '"',
    "\\",
    "\\x00",
    "{}",
    "'; --",
    "E'\\n'",
    "NULL",
    "ﬁ",
    "İ",
    "ß",
    "🧶",
    "é",
]
"""Words that mean something to one database or another, or to what stands before it."""

words = st.one_of(
    st.sampled_from(ODD),
    st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=12).map(str.strip).filter(bool),
)
sizes = st.floats(1, 4000).map(lambda size: size * IN)
figures = st.floats(-1e9, 1e9)
shades = st.tuples(st.floats(0, 100), st.floats(-160, 160), st.floats(-160, 160))


@pytest.fixture(scope="module")
def open_shop(store: Store) -> Iterator[Catalogue]:
    with store.opened(store.new()) as catalogue:
        yield catalogue


@pytest.fixture
def empty(open_shop: Catalogue) -> Iterator[Catalogue]:
    """Emptied by taking back what the test does, so that a new one need not be made for each."""
    with pytest.raises(ZeroDivisionError), open_shop.atomic():
        yield open_shop
        raise ZeroDivisionError


@settings(max_examples=share(240))
@given(
    texts=st.lists(words, min_size=7, max_size=7),
    size=st.tuples(sizes, sizes),
    motif=st.tuples(figures, figures),
    shade=shades,
)
def test_whatever_a_piece_is_called_and_measures_it_comes_back_so(
    open_shop: Catalogue,
    texts: list[str],
    size: tuple[float, float],
    motif: tuple[float, float],
    shade: tuple[float, float, float],
) -> None:
    tag, style, colour, lot, place, room, why = texts
    (across, along), (lightness, a, b) = size, shade
    outline = outline_of([(0, 0), (across, 0), (across, along / 3), (across / 3, along)])
    piece = replace(
        a_piece("x", kind=Kind.KEPT),
        tag=tag,
        style=style,
        colour=colour,
        lot=lot,
        place=place,
        room=room,
        outline=outline,
        motif=motif,
        lab=Lab(lightness, a, b, "A/2"),
    )
    signed = replace(SIGNED, who=f"who {why}", why=why)
    with pytest.raises(ZeroDivisionError), open_shop.atomic():
        log_pieces(open_shop, a_stock(piece, styles=[a_style(style)]), signed=signed, key=why)
        (standing,) = pieces.every_standing(open_shop)
        assert (standing.piece, standing.signed) == (piece, signed)
        assert show_piece(open_shop, tag).piece == piece
        assert replay(ledger.entries_of(open_shop, tag)).standing == standing
        known = requests.find(open_shop, why)
        assert known and known.answer == [tag]
        assert set(styles.all_styles(open_shop)) == {style}
        assert [found.piece for found in kept_pieces(open_shop, place)] == [piece]
        assert pieces.at_place(open_shop, place) == (standing,)
        raise ZeroDivisionError


@settings(max_examples=share(60))
@given(tags=st.lists(words, min_size=2, max_size=8, unique_by=str.casefold))
def test_tags_sort_by_their_signs_and_not_by_the_habits_of_a_country(open_shop: Catalogue, tags: list[str]) -> None:
    with pytest.raises(ZeroDivisionError), open_shop.atomic():
        log_pieces(open_shop, a_stock(*(a_piece(tag, place=tag) for tag in tags)), signed=SIGNED)
        assert pieces.all_tags(open_shop) == tuple(sorted(tags))
        assert pieces.places(open_shop) == tuple(sorted(tags))
        assert [standing.piece.tag for standing in pieces.on_hand(open_shop)] == sorted(tags)
        assert [tag for tag, _ in ledger.every_history(open_shop)] == sorted(tags)
        raise ZeroDivisionError


def test_a_tag_is_found_in_any_letter_case_of_a_to_z(empty: Catalogue) -> None:
    log_pieces(
        empty, a_stock(*(a_piece(tag) for tag in ("R-é1", "r-2", "R-%3", "r_4", "R-0009x", "R-0041", "r-0100"))), signed=SIGNED
    )
    asked = ("r-é1", "R-É1", "R-2", "r-%3", "R-_3", "rx4", "R_4")
    found = {tag: standing.piece.tag for tag in asked if (standing := pieces.find_standing(empty, tag))}
    assert found == {"r-é1": "R-é1", "R-2": "r-2", "r-%3": "R-%3", "R_4": "r_4"}
    assert next_tag(empty, Kind.REMNANT) == "R-0101"
    assert pieces.tags_written(empty, ["R_4", "r-0041", "R-É1"]) == ("R-0041", "r_4")
    assert pieces.tags_beginning(empty, "r-0", most=2) == ("R-0009x", "R-0041")


def test_words_of_a_place_are_found_as_they_stand(empty: Catalogue) -> None:
    put_customer(empty, Customer("F_1", "A person of the tests"), signed=SIGNED)
    for number, place in enumerate(("attic 50%", "attic 500", "Cellar_2", "cellar 2")):
        log_pieces(empty, a_stock(a_piece(f"K-{number}", kind=Kind.KEPT, place=place, customer="F_1")), signed=SIGNED)
    for asked, tags in (("50%", ["K-0"]), ("R_2", ["K-2"]), ("ATTIC", ["K-0", "K-1"]), ("f_1", ["K-2", "K-0", "K-1", "K-3"])):
        assert [standing.piece.tag for standing in kept_pieces(empty, asked)] == tags, asked


def test_what_is_known_of_a_customer_is_nowhere_once_they_are_forgotten(store: Store) -> None:
    at = store.new()
    theirs = ("Quillon Farrow", "555-0173", "Sedge Lane 19", "behind the ochre chimney", "their aunt called")
    name, phone, house, place, why = theirs
    with store.opened(at) as catalogue:
        put_customer(catalogue, Customer("F-1", name, phone, house), signed=SIGNED, key="came")
        put_customer(catalogue, Customer("F-2", "Wendeline Ash"), signed=SIGNED)
        log_pieces(catalogue, a_stock(*(a_piece(f"R-{n}") for n in range(9))), signed=SIGNED)
        for n in range(9):
            for turn in range(4):
                lent = replace(SIGNED, why=f"{why} {turn}")
                move_piece(catalogue, f"R-{n}", place * (1 + turn), room="north", customer="F-1", signed=lent)
            move_piece(catalogue, f"R-{n}", "Bay 3", signed=SIGNED)
        for n in range(4):
            kept = OrderKept(house, (RoomKept(f"{name}'s room", "", 3000.0, 2000.0),), (CarpetKept("", 4000.0, 2000.0, 0),))
            save_order(catalogue, kept, asked=json.dumps({"order": house, "n": [phone] * n}), signed=replace(SIGNED, why=why))
        assert all(any(word.encode() in raw for raw in store.raw(at)) for word in theirs), "else this shows nothing"
        told = forget_customer(catalogue, "F-1", signed=SIGNED)
        assert told.swept and told.still_told == () and told.orders_erased == ("1", "2", "3", "4") and told.orders == ()
        assert {revision.kept.carpets[0].ordered_mm for revision in every_order(catalogue)} == {2000.0}
        assert [customer.name for customer in customers.every_customer(catalogue)] == ["Wendeline Ash", ""]
        assert verify(catalogue).faults == ()
    left = [word for word in theirs if any(word.encode() in raw for raw in store.raw(at))]
    assert left == []
    assert any(b"Wendeline" in raw for raw in store.raw(at))


def test_rows_that_are_put_in_together_come_back_as_one_by_one(store: Store) -> None:
    """On a server they go as one stream, in which a tab or a backslash ends or turns what is written otherwise."""
    told = ["a\tb", "a\nb\r\n", "\\N", "\\.", "\\\\t", "", "'", *ODD]
    rows = [(f"F-{number:02d}", text, text, text, number % 2 == 0, None) for number, text in enumerate(told)]
    put = "INSERT INTO customer (reference, name, phone, address, may_call, forgotten_at) VALUES (?, ?, ?, ?, ?, ?)"
    pictures = [(number, "R-1", bytes(range(number, 256)), 1, 2, "Ana", f"{number}", "", None) for number in range(3)]
    columns = "number, tag, jpeg, across, down, who, at, gone_who, gone_at"
    with store.opened(store.new()) as catalogue:
        log_pieces(catalogue, a_stock(a_piece("R-1")), signed=SIGNED)
        with catalogue.atomic():
            catalogue.many(put, iter(rows))
            catalogue.many(f"INSERT INTO photo ({columns}) VALUES ({', '.join('?' * 9)})", pictures)
        found = catalogue.execute("SELECT * FROM customer ORDER BY reference").fetchall()
        assert [tuple(row) for row in found] == [(*row[:4], int(row[4]), None) for row in rows]
        found = catalogue.execute(f"SELECT {columns} FROM photo ORDER BY number").fetchall()
        assert [tuple(row) for row in found] == pictures
