"""Forgetting a customer touches what is theirs and nothing else, whatever happened before."""

import itertools
import random
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
from remnants.actions.change_piece import correct_piece, move_piece
from remnants.actions.count_place import book_count, count_place
from remnants.actions.customers import customer_pieces, forget_customer, put_customer
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.photos import keep_picture, photos_of
from remnants.actions.show_piece import history_of, show_piece
from remnants.actions.undo import undo_last
from remnants.errors import BadInput, NotAllowed, NotFound
from remnants.ledger import Act, Counted, Held, Moved, Photographed, Signed
from remnants.model import Kind, Person, Piece, Role
from remnants.model.customer import Customer
from remnants.model.picture import Picture
from remnants.store import customers, ledger, people, pieces, unsent
from remnants.store.unsent import Unsent
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.thorough import few

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
    assert told[Act.MOVED].change == Moved("erased", "", "erased-1") and told[Act.MOVED].signed.why == ""
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
        sql = "INSERT INTO photo (tag, jpeg, across, down, who, at) VALUES ('R-1', ?, 8, 8, 'Ana', ?)"
        at = later(hours).at.strftime("%Y-%m-%dT%H:%M:%SZ")
        number = catalogue.added(sql, [b"\xff\xd8", at])
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


def test_a_customer_who_was_forgotten_is_called_by_no_word_of_theirs(catalogue: Catalogue) -> None:
    log(catalogue, a_piece("K-1", kind=Kind.KEPT, place="attic", customer="F-1"))
    put_customer(catalogue, Customer("F-1", "Invented Person"), signed=SIGNED, key="sent once")
    told = forget_customer(catalogue, "F-1", signed=SIGNED)
    assert (told.reference, told.tags) == ("erased-1", ("K-1",))
    assert show_piece(catalogue, "K-1").piece.customer == "erased-1"
    with pytest.raises(NotFound):
        customer_pieces(catalogue, "F-1")
    with pytest.raises(BadInput, match="used for another request"):
        put_customer(catalogue, Customer("F-1", "Invented Person"), signed=SIGNED, key="sent once")
    assert forget_customer(catalogue, "F-2", signed=SIGNED).reference == "erased-2"
    assert verify(catalogue).faults == ()


def test_a_form_that_was_sent_late_keeps_no_word_of_theirs(catalogue: Catalogue) -> None:
    people.add_person(catalogue, Person("Wim", Role.WORK))
    for number, text in enumerate(("of F-1, attic", "of F-10, cellar")):
        form = Unsent("Wim", "/log", (("place", text),), files=False, ends_at=SIGNED.at)
        unsent.add(catalogue, f"digest {number}", form, now=SIGNED.at - timedelta(days=1))
    forget_customer(catalogue, "F-1", signed=SIGNED)
    assert [row["fields"] for row in catalogue.query("SELECT fields FROM unsent")] == ['[["place", "of F-10, cellar"]]']


def test_where_words_of_theirs_may_still_stand_is_told(catalogue: Catalogue) -> None:
    """A job, a place or a reason may be called like them; whether it is theirs, only the shop knows."""
    put_customer(catalogue, Customer("F-1", "Ymir Ålder", "", "Quince Lane 4"), signed=SIGNED)
    log(catalogue, a_piece("R-1", place="Bay 1"), later(0, "brought by ymir ålder"))
    log(catalogue, a_piece("R-2", place="F-1"))
    log(catalogue, a_piece("R-3", place="F-10"))
    book(catalogue, [("R-3", Held("Quince Lane 4", SIGNED.at.date()))], SIGNED)
    assert forget_customer(catalogue, "F-1", signed=SIGNED).still_told == ("R-1", "R-2", "R-3")


def test_a_reason_that_names_them_is_erased_and_one_that_only_has_such_a_word_is_told(catalogue: Catalogue) -> None:
    """Why a way was chosen is free text. A name written in another letter case may be a word like any other."""
    put_customer(catalogue, Customer("F-1", "White", "555 0101", "Quince Lane 4"), signed=SIGNED)
    reasons = {"R-1": "way 2 of 3: spends least; White wants it", "R-2": "white spot", "R-3": "555 0101 said yes", "R-4": "plain"}
    for tag, why in reasons.items():
        log(catalogue, a_piece(tag, place="Bay 1"))
        move_piece(catalogue, tag, "Bay 2", signed=later(0, why))
    told = forget_customer(catalogue, "F-1", signed=SIGNED)
    assert (told.reasons, told.still_told) == (("R-1", "R-3"), ("R-2",))
    assert [show_piece(catalogue, tag).standing.signed.why for tag in reasons] == ["", "white spot", "", "plain"]
    assert verify(catalogue).faults == ()


def test_no_gap_between_rows_keeps_a_word_of_theirs(tmp_path: Path) -> None:
    """Rows that grow move from page to page, and SQLite's secure_delete leaves words of them between others."""
    chance = random.Random(8)
    with open_catalogue(tmp_path / "gaps.db", write=True) as catalogue:
        customers.put(catalogue, Customer("F-1", "Invented Person"))
        log_pieces(catalogue, a_stock(*(a_piece(f"R-{number}", place="Bay") for number in range(40))), signed=SIGNED)
        for _ in range(300):
            customer, words = chance.choice(("F-1", "")), chance.randint(1, 30)
            place = "behind their chimney " * words if customer else "Bay 4 " * words
            move_piece(catalogue, f"R-{chance.randrange(40)}", place, customer=customer, signed=SIGNED)
        assert forget_customer(catalogue, "F-1", signed=SIGNED).swept
    assert not [path for path in tmp_path.glob("gaps.db*") if b"chimney" in path.read_bytes()]


def test_while_another_program_reads_the_file_is_not_swept_and_it_can_be_done_later(catalogue: Catalogue, tmp_path: Path) -> None:
    log(catalogue, a_piece("K-1", kind=Kind.KEPT, place="behind their chimney", customer="F-1"))
    catalogue.execute("PRAGMA busy_timeout = 10")
    with open_catalogue(tmp_path / "stock.db", write=False) as other:
        other.execute("BEGIN")
        other.execute("SELECT * FROM piece").fetchone()
        assert not forget_customer(catalogue, "F-1", signed=SIGNED).swept
        other.execute("COMMIT")
    again = forget_customer(catalogue, "erased-1", signed=SIGNED)
    assert again.swept and again.reference == "erased-1"
    assert not [path for path in tmp_path.glob("stock.db*") if b"chimney" in path.read_bytes()]


def test_what_is_logged_under_the_tag_of_a_withdrawn_piece_is_another_piece(catalogue: Catalogue) -> None:
    log(catalogue, a_piece("K-1", kind=Kind.KEPT, place="attic", customer="F-1"), later(0, "theirs"))
    undo_last(catalogue, "K-1", signed=later(1, "not theirs after all"))
    log(catalogue, a_piece("K-1", place="Bay 1"), later(2, "a roll's end"))
    forget_customer(catalogue, "F-1", signed=SIGNED)
    assert [entry.signed.why for entry in history_of(catalogue, "K-1").entries] == ["", "", "a roll's end"]
    assert show_piece(catalogue, "K-1").piece.place == "Bay 1"


SHOP, HOMES = ("Bay 1", "F-1", "F-2"), {"F-1": ("quern loft", "quern study"), "F-2": ("osier hut", "osier porch")}
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
        self.visits = itertools.count(1)
        self.known: dict[str, Customer] = {}
        for reference in HOMES:
            self.come(reference)
        self.count = itertools.count(1)
        self.hour = 0
        self.lay: dict[str, list[Lies]] = {}
        self.theirs: dict[str, set[int]] = {reference: set() for reference in HOMES}
        self.pictures: dict[int, str] = {}

    def come(self, reference: str) -> None:
        """A customer as new, known by no more than their reference before."""
        visit = next(self.visits)
        known = Customer(reference, f"Person {visit} of {reference}", f"555-{visit}-0199", f"Quince Lane {visit}.")
        self.known[reference] = known
        put_customer(self.catalogue, known, signed=SIGNED, key=f"new {visit}")

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
            picture = Picture(b"\xff\xd8 taken of " + f"{tag}, {signed.why}".encode() * 200, 8, 8)
            with self.catalogue.atomic():
                number = keep_picture(self.catalogue, tag, picture, signed)
            self.pictures[number] = self.now(tag).customer
            self.happened(tag, self.now(tag), self.now(tag))

    @rule(number=numbers, colour=st.sampled_from(["grey", "moss"]))
    def correct(self, number: int, colour: str) -> None:
        tag, signed = self.tag(number), self.signed()
        if tag in self.lay:
            before = show_piece(self.catalogue, tag).standing
            correct_piece(self.catalogue, replace(before.piece, colour=colour), expected=before.version, signed=signed)
            self.happened(tag, self.now(tag), self.now(tag))
            self.lay[tag].append(self.now(tag))

    @rule(reference=st.sampled_from(sorted(HOMES)))
    def forget(self, reference: str) -> None:
        before, others = self.written(), self.facts_of_others(reference)
        known, called = self.known[reference], forget_customer(self.catalogue, reference, signed=later(self.hour)).reference
        after = self.written()
        assert before.keys() <= after.keys()
        for number, (why, facts) in before.items():
            theirs = number in self.theirs[reference]
            assert after[number][0] == ("" if theirs else why)
            if not theirs:
                assert after[number][1] == facts
        assert self.facts_of_others(reference) == others
        self.lay = {
            tag: [Lies(ERASED, called) if lies.customer == reference else lies for lies in stack]
            for tag, stack in self.lay.items()
        }
        self.pictures = {number: customer for number, customer in self.pictures.items() if customer != reference}
        kept = {why for why, _ in after.values()} | {"the customer was forgotten"}
        whys = {before[number][0] for number in self.theirs[reference]} - kept
        self.nothing_is_left(known.name, known.phone, known.address, *HOMES[reference], *whys, f'"customer":"{reference}"')
        self.theirs[reference] = set()
        self.come(reference)

    def facts_of_others(self, reference: str) -> list[dict[str, object]]:
        """All rows that tell of other customers, of other photographs, of pieces that are not theirs."""
        customers = self.catalogue.query("SELECT * FROM customer WHERE reference <> ?", [reference])
        photos = self.catalogue.query("SELECT number, tag, hex(jpeg), gone_who, gone_at FROM photo")
        pieces = self.catalogue.query("SELECT * FROM piece")
        entries = self.catalogue.query("SELECT number, tag FROM entry")
        theirs = {row["tag"] for row in entries if row["number"] in self.theirs[reference]}
        return [
            *(row for row in customers if not str(row["reference"]).startswith(ERASED)),
            *(row for row in photos if self.pictures.get(int(row["number"])) not in (None, reference)),
            *(row for row in pieces if row["tag"] not in theirs),
        ]

    def nothing_is_left(self, *words: str) -> None:
        """In no file of the catalogue, its free pages and its journal too, stands one of the words."""
        found = {path.name: path.read_bytes() for path in Path(self.folder.name).iterdir()}
        assert not [(word, name) for word in words for name, held in found.items() if word.encode() in held]

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


Lending.TestCase.settings = settings(max_examples=few(30), stateful_step_count=25, deadline=None)
TestLending = Lending.TestCase
