"""Forgetting a customer touches what is theirs and nothing else, whatever happened before."""

import itertools
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.booking import book
from remnants.actions.change_piece import move_piece
from remnants.actions.count_place import book_count, count_place
from remnants.actions.customers import forget_customer, put_customer
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.photos import keep_picture, photos_of
from remnants.actions.show_piece import history_of, show_piece
from remnants.actions.undo import undo_last
from remnants.errors import BadInput, NotAllowed
from remnants.ledger import Act, Counted, Held, Moved, Photographed, Signed
from remnants.model import Kind, Piece
from remnants.model.customer import Customer
from remnants.model.picture import Picture
from remnants.store import customers, ledger, pieces
from tests.stock_values import SIGNED, a_piece, a_stock

PICTURE = Picture(b"\xff\xd8 as good as one", 8, 8)


@pytest.fixture
def catalogue(tmp_path: Path) -> Iterator[Catalogue]:
    with open_catalogue(tmp_path / "stock.db", write=True) as opened:
        for reference in ("F-1", "F-2"):
            customers.put(opened, Customer(reference, f"Person of {reference}"))
        yield opened


def later(hours: float, why: str = "") -> Signed:
    return replace(SIGNED, at=SIGNED.at + timedelta(hours=hours), why=why)


def log(catalogue: Catalogue, piece: Piece, signed: Signed = SIGNED) -> None:
    log_pieces(catalogue, a_stock(piece), signed=signed)


def count(catalogue: Catalogue, place: str, *tags: str) -> None:
    book_count(catalogue, count_place(catalogue, place, tags), signed=SIGNED)


def photograph(catalogue: Catalogue, tag: str, signed: Signed = SIGNED) -> int:
    with catalogue.atomic():
        return keep_picture(catalogue, tag, PICTURE, signed)


def there(catalogue: Catalogue, tag: str) -> list[int]:
    return [kept.number for kept in photos_of(catalogue, tag) if kept.gone_at is None]


def test_the_bay_stays_where_a_loan_was_taken_back_and_the_piece_counted(catalogue: Catalogue) -> None:
    log(catalogue, a_piece("R-1", place="Bay 1"))
    move_piece(catalogue, "R-1", "attic", customer="F-1", signed=later(1, "lent by mistake"))
    undo_last(catalogue, "R-1", signed=later(2))
    count(catalogue, "Bay 1", "R-1")
    forget_customer(catalogue, "F-1", signed=SIGNED)
    assert show_piece(catalogue, "R-1").piece.place == "Bay 1"
    told = {entry.act: entry for entry in history_of(catalogue, "R-1").entries}
    assert told[Act.MOVED].change == Moved("erased", "", "F-1") and told[Act.MOVED].signed.why == ""
    counted = told[Act.COUNTED].change
    assert isinstance(counted, Counted) and counted.place == "Bay 1"


@pytest.mark.parametrize("named", ["place", "style", "lot", "job"])
def test_a_piece_that_only_has_a_word_like_the_reference_is_left_alone(catalogue: Catalogue, named: str) -> None:
    piece = a_piece("R-1") if named == "job" else a_piece("R-1", 40, 60, outline=(), **{named: "F-1"})
    log_pieces(catalogue, a_stock(piece, styles=(replace(a_stock().styles[0], name=piece.style),)), signed=later(0, "as it came"))
    if named == "job":
        book(catalogue, [("R-1", Held("F-1", SIGNED.at.date()))], SIGNED)
    photograph(catalogue, "R-1")
    before = list(catalogue.query("SELECT * FROM entry"))
    forget_customer(catalogue, "F-1", signed=SIGNED)
    assert there(catalogue, "R-1") == [1]
    assert list(catalogue.query("SELECT * FROM entry")) == before


def test_of_a_piece_that_passed_through_the_photographs_from_there_alone_go(catalogue: Catalogue) -> None:
    log(catalogue, a_piece("R-1", place="Bay 1"))
    in_the_bay = photograph(catalogue, "R-1")
    move_piece(catalogue, "R-1", "attic", customer="F-1", signed=later(1))
    photograph(catalogue, "R-1", later(2, "how it lies there"))
    move_piece(catalogue, "R-1", "Bay 2", signed=later(3))
    back = photograph(catalogue, "R-1", later(4, "as it came back"))
    move_piece(catalogue, "R-1", "cellar", customer="F-2", signed=later(5))
    at_another = photograph(catalogue, "R-1", later(6))
    forget_customer(catalogue, "F-1", signed=later(7))
    assert there(catalogue, "R-1") == [in_the_bay, back, at_another]
    reasons = [entry.signed.why for entry in history_of(catalogue, "R-1").entries if isinstance(entry.change, Photographed)]
    assert reasons == ["", "", "as it came back", ""]


def test_a_photograph_older_than_the_entries_of_photographs_is_judged_by_its_time(catalogue: Catalogue) -> None:
    """Those got their entries at the end of the ledger, when the piece may have been elsewhere."""
    log(catalogue, a_piece("R-1", place="Bay 1"))
    move_piece(catalogue, "R-1", "attic", customer="F-1", signed=later(2))
    move_piece(catalogue, "R-1", "Bay 2", signed=later(4))
    for hours in (1, 3, 4, 5):
        sql = "INSERT INTO photo (tag, jpeg, across, down, who, at) VALUES ('R-1', x'ffd8', 8, 8, 'Ana', ?)"
        at = later(hours).at.strftime("%Y-%m-%dT%H:%M:%SZ")
        number = int(catalogue.execute(sql, [at]).lastrowid or 0)
        with catalogue.atomic():
            ledger.note(catalogue, "R-1", [Photographed(number, 2)], later(hours))
    forget_customer(catalogue, "F-1", signed=later(6))
    assert there(catalogue, "R-1") == [1, 4], "of the one taken in the very second of the coming back it isn't known"


def test_a_piece_of_a_customers_that_is_counted_in_a_bay_is_the_shops_again(catalogue: Catalogue) -> None:
    log(catalogue, a_piece("K-1", kind=Kind.KEPT, place="attic", room="north", customer="F-1"))
    log(catalogue, a_piece("R-1", place="Bay 1"))
    count(catalogue, "Bay 1", "R-1", "K-1")
    found = show_piece(catalogue, "K-1").piece
    assert (found.place, found.room, found.customer) == ("Bay 1", "", "")
    forget_customer(catalogue, "F-1", signed=SIGNED)
    assert show_piece(catalogue, "K-1").piece.place == "Bay 1"


def test_a_count_at_the_customers_own_place_keeps_the_customer_and_the_room(catalogue: Catalogue) -> None:
    log(catalogue, a_piece("K-1", kind=Kind.KEPT, place="attic", room="north", customer="F-1"))
    log(catalogue, a_piece("K-2", kind=Kind.KEPT, place="cellar", room="south", customer="F-1"))
    log(catalogue, a_piece("R-1", place="Bay 1"))
    count(catalogue, "attic", "K-1", "K-2", "R-1")
    lying = {tag: show_piece(catalogue, tag).piece for tag in ("K-1", "K-2", "R-1")}
    assert {(tag, piece.place, piece.room, piece.customer) for tag, piece in lying.items()} == {
        ("K-1", "attic", "north", "F-1"),
        ("K-2", "attic", "", "F-1"),
        ("R-1", "attic", "", "F-1"),
    }
    forget_customer(catalogue, "F-1", signed=SIGNED)
    assert {show_piece(catalogue, tag).piece.place for tag in lying} == {"erased"}


def test_where_shop_and_customer_call_a_place_the_same_each_keeps_its_own(catalogue: Catalogue) -> None:
    log(catalogue, a_piece("K-1", kind=Kind.KEPT, place="attic", customer="F-1"))
    log(catalogue, a_piece("R-1", place="attic"))
    log(catalogue, a_piece("K-2", kind=Kind.KEPT, place="cellar", customer="F-2"))
    log(catalogue, a_piece("K-3", kind=Kind.KEPT, place="shed", customer="F-1"))
    count(catalogue, "attic", "K-1", "R-1", "K-2", "K-3")
    assert [show_piece(catalogue, tag).piece.customer for tag in ("K-1", "R-1", "K-2", "K-3")] == ["F-1", "", "", "F-1"]


def test_what_is_logged_under_the_tag_of_a_withdrawn_piece_is_another_piece(catalogue: Catalogue) -> None:
    log(catalogue, a_piece("K-1", kind=Kind.KEPT, place="attic", customer="F-1"), later(0, "theirs"))
    undo_last(catalogue, "K-1", signed=later(1, "not theirs after all"))
    log(catalogue, a_piece("K-1", place="Bay 1"), later(2, "a roll's end"))
    forget_customer(catalogue, "F-1", signed=SIGNED)
    assert [entry.signed.why for entry in history_of(catalogue, "K-1").entries] == ["", "", "a roll's end"]
    assert show_piece(catalogue, "K-1").piece.place == "Bay 1"


SHOP, HOMES = ("Bay 1", "F-1", "F-2"), {"F-1": ("loft", "study"), "F-2": ("hut", "porch")}
OWNER = {place: customer for customer, own in HOMES.items() for place in own}
ERASED = "erased"
numbers = st.integers(0, 5)


@dataclass(frozen=True)
class Lies:
    """Where a piece lies and with whom, as this test itself keeps book of it."""

    place: str
    customer: str = ""


class Lending(RuleBasedStateMachine):
    """A shop that lends pieces to two customers and forgets them. Some of its own places are named like their references.

    The test keeps its own book: for each piece the stack of where it lay, so that taking back is no more than looking one down.
    Each booking has a reason of its own, `why 17`.
    """

    @initialize()
    def open(self) -> None:
        self.folder = tempfile.TemporaryDirectory()
        self.opened = open_catalogue(Path(self.folder.name) / "stock.db", write=True)
        self.catalogue = self.opened.__enter__()
        for reference in HOMES:
            put_customer(self.catalogue, Customer(reference, f"Person of {reference}"), signed=SIGNED)
        self.count = itertools.count(1)
        self.hour = 0
        self.lay: dict[str, list[Lies]] = {}
        self.theirs: dict[str, set[int]] = {reference: set() for reference in HOMES}
        self.pictures: dict[int, str] = {}

    def teardown(self) -> None:
        self.opened.__exit__(None, None, None)
        self.folder.cleanup()

    def signed(self) -> Signed:
        self.hour += 1
        return later(self.hour, f"why {self.hour}.")

    def tag(self, number: int) -> str:
        tags = sorted(self.lay)
        return tags[number % len(tags)] if tags else "none"

    def happened(self, tag: str, after: Lies, before: Lies | None) -> None:
        """The entry just written, and its reason, belong to whoever had the piece before or after."""
        (number,) = self.catalogue.execute("SELECT max(number) FROM entry WHERE tag = ?", [tag]).fetchone()
        for customer in {after.customer, before.customer if before else ""} & HOMES.keys():
            self.theirs[customer].add(number)

    def now(self, tag: str) -> Lies:
        return self.lay[tag][-1]

    def attempt(self, do: Callable[[], object]) -> bool:
        try:
            do()
        except (NotAllowed, BadInput):
            return False
        return True

    @rule(place=st.sampled_from([*SHOP, *OWNER]))
    def log(self, place: str) -> None:
        piece = a_piece(f"R-{next(self.count)}", place=place, customer=OWNER.get(place, ""))
        signed = self.signed()
        log(self.catalogue, piece, signed)
        self.lay[piece.tag] = [Lies(place, piece.customer)]
        self.happened(piece.tag, self.now(piece.tag), None)

    @rule(number=numbers, place=st.sampled_from([*SHOP, *OWNER]))
    def lend_or_bring_back(self, number: int, place: str) -> None:
        tag, customer, signed = self.tag(number), OWNER.get(place, ""), self.signed()
        if tag in self.lay and self.attempt(
            lambda: move_piece(self.catalogue, tag, place, room="side room" * bool(customer), customer=customer, signed=signed)
        ):
            self.happened(tag, Lies(place, customer), self.now(tag))
            self.lay[tag].append(Lies(place, customer))

    @rule(seen=st.sets(numbers), place=st.sampled_from([*SHOP, *OWNER]))
    def count_a_place(self, seen: set[int], place: str) -> None:
        expected = {standing.piece.tag for standing in pieces.at_place(self.catalogue, place)}
        tags = {self.tag(number) for number in seen} & set(self.lay)
        if place in OWNER and not expected:
            return  # nobody counts at a customer's where nothing lies; a place that the books don't know is the shop's
        signed = self.signed()
        booked = self.attempt(lambda: book_count(self.catalogue, count_place(self.catalogue, place, sorted(tags)), signed=signed))
        for tag in sorted(tags | expected) if booked else ():
            if self.catalogue.execute("SELECT count(*) FROM entry WHERE tag = ? AND why = ?", [tag, signed.why]).fetchone()[0]:
                after = Lies(place, OWNER.get(place, "")) if tag in tags else self.now(tag)
                self.happened(tag, after, self.now(tag))
                self.lay[tag].append(after)

    @rule(number=numbers)
    def take_back(self, number: int) -> None:
        tag, signed = self.tag(number), self.signed()
        if tag in self.lay and len(self.lay[tag]) > 1:
            undo_last(self.catalogue, tag, signed=signed)
            before = self.lay[tag].pop()
            self.happened(tag, self.now(tag), before)

    @rule(number=numbers)
    def photograph(self, number: int) -> None:
        tag, signed = self.tag(number), self.signed()
        if tag in self.lay and len(there(self.catalogue, tag)) < 6:
            self.pictures[photograph(self.catalogue, tag, signed)] = self.now(tag).customer
            self.happened(tag, self.now(tag), self.now(tag))

    @rule(reference=st.sampled_from(sorted(HOMES)))
    def forget(self, reference: str) -> None:
        before = self.written()
        forget_customer(self.catalogue, reference, signed=later(self.hour))
        after = self.written()
        assert before.keys() <= after.keys()
        for number, (why, facts) in before.items():
            theirs = number in self.theirs[reference]
            assert after[number][0] == ("" if theirs else why)
            if not theirs:
                assert after[number][1] == facts
        for number in after.keys() - before.keys():  # photographs taken away
            (tag,) = self.catalogue.execute("SELECT tag FROM entry WHERE number = ?", [number]).fetchone()
            self.theirs.get(self.now(tag).customer, set()).add(number)
        assert not [facts for _, facts in after.values() for place in HOMES[reference] if f'"{place}"' in facts]
        self.lay = {
            tag: [Lies(ERASED, reference) if lies.customer == reference else lies for lies in stack]
            for tag, stack in self.lay.items()
        }
        self.pictures = {number: customer for number, customer in self.pictures.items() if customer != reference}

    def written(self) -> dict[int, tuple[str, str]]:
        rows = self.catalogue.query("SELECT number, why, facts FROM entry")
        return {row["number"]: (row["why"], row["facts"]) for row in rows}

    @invariant()
    def the_books_are_ours(self) -> None:
        if not hasattr(self, "catalogue"):
            return
        assert verify(self.catalogue).faults == ()
        for tag in self.lay:
            piece = show_piece(self.catalogue, tag).piece
            assert (piece.place, piece.customer) == (self.now(tag).place, self.now(tag).customer)
        shown = {number for tag in self.lay for number in there(self.catalogue, tag)}
        assert shown == set(self.pictures)


Lending.TestCase.settings = settings(max_examples=25, stateful_step_count=25, deadline=None)
TestLending = Lending.TestCase
