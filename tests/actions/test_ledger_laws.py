"""Laws of the ledger, over random sequences of what a shop does: replay gives the stored state, areas balance."""

import itertools
import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from pytest import approx

from remnants.actions import open_catalogue
from remnants.actions.branches import put_branch, put_van
from remnants.actions.change_piece import discard_piece, move_piece
from remnants.actions.count_place import book_count, count_place
from remnants.actions.customers import put_customer
from remnants.actions.fit_job import Fitted, fit_job
from remnants.actions.job_names import Which, jobs_called
from remnants.actions.keep_job import State, cut_job, cut_plan, every_job, find_job, hold_job, release_job
from remnants.actions.keep_safe import verify
from remnants.actions.loans import ON_LOAN, lend, what_is_lent
from remnants.actions.log_pieces import log_pieces
from remnants.actions.rack import pieces_at
from remnants.actions.show_piece import history_of, show_piece
from remnants.actions.transfers import call_back, not_there, on_the_way, send, take_in
from remnants.actions.undo import undo_last
from remnants.errors import BadInput, NoPlan, NotAllowed, NotFound
from remnants.geometry import rectangle
from remnants.ledger import MOVES, Act, Cut, History, Signed, Stage
from remnants.ledger.over_time import Step
from remnants.ledger.states import ON_HAND
from remnants.model import Allowance, Finish, Job, Patch, Wanted
from remnants.model.branches import Van
from remnants.model.customer import Customer
from remnants.store import ledger, over_time, pieces
from remnants.store.file_catalogue import of_file
from remnants.store.ways import STORE_TOLD_NOW
from tests.stock_values import IN, SIGNED, a_piece, a_stock, a_style
from tests.thorough import few

PLACES = ("Bay 1", "North Bay 2")
GOALS = ("South", "North", "Van 3")
PLAIN = (a_style(repeat=None, row_mm=None),)
JOBS = ("Alder Court 7", "Fir Lane 2")
numbers = st.integers(0, 7)


class Shop(RuleBasedStateMachine):
    """A shop with a few pieces, two places and two jobs; refusals are part of its day."""

    @initialize()
    def open(self) -> None:
        self.folder = tempfile.TemporaryDirectory()
        self.day = 0
        self.opened = open_catalogue(Path(self.folder.name) / "stock.db", write=True, now=lambda: self.signed.at)
        self.catalogue = self.opened.__enter__()
        self.count = itertools.count()
        for name in ("South", "North"):
            put_branch(self.catalogue, name, new=True, signed=SIGNED)
        put_customer(self.catalogue, Customer("C-7", "Invented Person"), signed=SIGNED)
        put_van(self.catalogue, Van("Van 3", "Ana", "North"), signed=SIGNED)

    def teardown(self) -> None:
        self.opened.__exit__(None, None, None)
        self.folder.cleanup()

    @property
    def signed(self) -> Signed:
        return replace(SIGNED, at=SIGNED.at + timedelta(days=self.day))

    def tag(self, number: int) -> str:
        tags = pieces.all_tags(self.catalogue)
        return tags[number % len(tags)] if tags else "none"

    def attempt(self, do: Callable[[], object]) -> None:
        """What is refused changes nothing at all."""
        before = list(of_file(self.catalogue, instead="").conn.iterdump())
        try:
            do()
        except (NotAllowed, NotFound, NoPlan, BadInput):
            assert list(of_file(self.catalogue, instead="").conn.iterdump()) == before

    @rule(width=st.integers(8, 80), length=st.integers(8, 80), place=st.sampled_from(PLACES), pile=st.sampled_from([0, 90]))
    def log(self, width: int, length: int, place: str, pile: float) -> None:
        piece = a_piece(f"R-{next(self.count)}", width, length, place=place, pile_deg=pile)
        self.attempt(lambda: log_pieces(self.catalogue, a_stock(piece, styles=PLAIN), signed=self.signed))

    @rule(number=numbers)
    def log_a_tag_again(self, number: int) -> None:
        self.attempt(lambda: log_pieces(self.catalogue, a_stock(a_piece(self.tag(number)), styles=PLAIN), signed=self.signed))

    @rule(number=numbers, place=st.sampled_from(PLACES))
    def move(self, number: int, place: str) -> None:
        self.attempt(lambda: move_piece(self.catalogue, self.tag(number), place, signed=self.signed))

    @rule(some=st.sets(numbers, min_size=1, max_size=2), days=st.integers(-1, 3), customer=st.sampled_from(["C-7", "C-8"]))
    def lend(self, some: set[int], days: int, customer: str) -> None:
        until = self.signed.at.date() + timedelta(days=days)
        tags = [self.tag(number) for number in sorted(some)]
        self.attempt(lambda: lend(self.catalogue, tags, customer, until=until, signed=self.signed))

    @rule(number=numbers)
    def discard(self, number: int) -> None:
        self.attempt(lambda: discard_piece(self.catalogue, self.tag(number), signed=self.signed))

    @rule(seen=st.sets(numbers), place=st.sampled_from(PLACES))
    def count_a_place(self, seen: set[int], place: str) -> None:
        self.attempt(
            lambda: book_count(
                self.catalogue, count_place(self.catalogue, place, [self.tag(n) for n in sorted(seen)]), signed=self.signed
            )
        )

    @rule(
        job=st.sampled_from(JOBS),
        width=st.integers(5, 30),
        length=st.integers(5, 30),
        days=st.integers(-1, 5),
        again=st.booleans(),
    )
    def hold(self, job: str, width: int, length: int, days: int, *, again: bool) -> None:
        until = self.signed.at.date() + timedelta(days=days)
        which, own = self.which(job, again=again)
        fitted = self.fitted(job, width, length, own)
        self.attempt(lambda: hold_job(self.catalogue, fitted, until=until, signed=self.signed, which=which))

    @rule(number=numbers)
    def release(self, number: int) -> None:
        self.attempt(lambda: release_job(self.catalogue, f"J-{number}", signed=self.signed))

    @rule(number=numbers)
    def cut_held(self, number: int) -> None:
        self.attempt(lambda: cut_job(self.catalogue, f"J-{number}", signed=self.signed))

    @rule(job=st.sampled_from(JOBS), width=st.integers(5, 30), length=st.integers(5, 30), again=st.booleans())
    def cut_at_once(self, job: str, width: int, length: int, *, again: bool) -> None:
        which, own = self.which(job, again=again)
        fitted = self.fitted(job, width, length, own)
        self.attempt(lambda: cut_plan(self.catalogue, fitted, signed=self.signed, which=which))

    def which(self, job: str, *, again: bool) -> tuple[Which, str]:
        """Another job of the name, or the newest that has it planned anew; and what the ledger calls it."""
        same = jobs_called(self.catalogue, job)
        if again or not same:
            return Which(again=again), "" if same else job
        return Which(f"J-{same[-1].number}"), same[-1].name

    @rule(number=numbers)
    def undo(self, number: int) -> None:
        self.attempt(lambda: undo_last(self.catalogue, self.tag(number), signed=self.signed))

    @rule(some=st.sets(numbers, min_size=1, max_size=2), goal=st.sampled_from(GOALS), job=st.sampled_from(("", *JOBS)))
    def send(self, some: set[int], goal: str, job: str) -> None:
        tags = [self.tag(number) for number in sorted(some)]
        self.attempt(lambda: send(self.catalogue, tags, goal, signed=replace(self.signed, job=job)))

    @rule(number=numbers, end=st.sampled_from((take_in, take_in, call_back, not_there)))
    def end_a_way(self, number: int, end: Callable[..., object]) -> None:
        """Of what is on the way, where anything is."""
        away = on_the_way(self.catalogue)
        tag = away[number % len(away)].piece.tag if away else self.tag(number)
        self.attempt(lambda: end(self.catalogue, [tag], signed=self.signed))

    @rule()
    def next_day(self) -> None:
        self.day += 1

    def fitted(self, job: str, width: int, length: int, own: str) -> Fitted:
        ring = rectangle(width * IN, length * IN).ring
        patch = Patch("hall", ring, 0.0, (Finish.SEAM,) * 4, Wanted("Velder Loop"))
        return fit_job(self.catalogue, Job(job, (patch,), Allowance(25.0), 50.0), today=self.signed.at.date(), own=own)

    @invariant()
    def all_is_well(self) -> None:
        if not hasattr(self, "catalogue"):
            return
        assert verify(self.catalogue).faults == ()
        for _, entries in ledger.every_history(self.catalogue):
            history = History()
            for entry in entries:
                before = history.standing.stage if history.standing else None
                history = history.then(entry)
                assert history.standing
                assert entry.act is Act.UNDONE or history.standing.stage in MOVES[before, entry.act]

    @invariant()
    def what_is_lent_is_with_a_customer_and_listed(self) -> None:
        if not hasattr(self, "catalogue"):
            return
        out = [each for each in pieces.every_standing(self.catalogue) if each.lent_until and each.stage in ON_HAND]
        assert all(each.piece.customer == "C-7" for each in out)
        listed = what_is_lent(self.catalogue, most=100)
        assert {each.piece.tag for each in listed.first} == {each.piece.tag for each in out} and listed.count == len(out)
        assert listed.late == sum(each.late(self.signed.at.date()) for each in out)

    @invariant()
    def every_view_says_the_same_of_what_is_held(self) -> None:
        """A piece is held by one job at most, for as long as that hold lasts; jobs, racks, lists and pages agree."""
        if not hasattr(self, "catalogue"):
            return
        today = self.signed.at.date()
        shown = {tag: show_piece(self.catalogue, tag).standing for tag in pieces.all_tags(self.catalogue)}
        holder = {tag: standing.hold.job for tag, standing in shown.items() if standing.hold and standing.hold.binds(today)}
        for tag, standing in shown.items():
            assert (standing.hold is not None) == (tag in holder)
            assert standing.stage is not Stage.HELD or tag in holder
            assert history_of(self.catalogue, tag).standing == standing
            assert standing.free_for("another job", today) == (standing.stage is Stage.STOCKED)
        for place in PLACES:
            for standing in pieces_at(self.catalogue, place):
                assert standing == shown[standing.piece.tag]
        for kept in every_job(self.catalogue):
            assert find_job(self.catalogue, kept.number).stage is kept.stage
            own = {tag for tag in kept.versions if holder.get(tag) == kept.label}
            if kept.stage is not State.CUT:
                assert (kept.stage is State.HELD) == (own == set(kept.versions))
                assert (kept.stage is State.PARTLY) == (set() < own < set(kept.versions))

    @invariant()
    def a_piece_is_at_one_place_or_on_the_way_and_never_lost(self) -> None:
        """What exists and isn't used up is at a place, missing from one, or on the way; no plan uses what is on the way."""
        if not hasattr(self, "catalogue"):
            return
        away = {standing.piece.tag for standing in on_the_way(self.catalogue)}
        there = {
            standing.piece.tag for place in ("Bay 3", ON_LOAN, *PLACES, *GOALS) for standing in pieces_at(self.catalogue, place)
        }
        for standing in pieces.every_standing(self.catalogue):
            tag = standing.piece.tag
            assert (standing.way is not None) == (standing.stage is Stage.ON_THE_WAY) == (tag in away)
            if standing.stage in (Stage.STOCKED, Stage.HELD, Stage.MISSING) and standing.piece.place:
                assert tag in there
            assert not (tag in there and (tag in away or not standing.piece.place))
        assert away.isdisjoint(each.piece.tag for each in pieces.on_hand(self.catalogue))

    @invariant()
    def stock_over_time_is_what_the_entries_say(self) -> None:
        """Each entry's change of what is in store, and what counting cuts took, told by replay; and told anew for old files."""
        if not hasattr(self, "catalogue"):
            return
        changes: dict[int, Any] = {}
        taken, undone = 0.0, False
        for _, entries in ledger.every_history(self.catalogue):
            history = History()
            for entry in entries:
                before, history = in_store(history), history.then(entry)
                step = tuple(after - was for after, was in zip(in_store(history), before, strict=True))
                changes |= {entry.number: step} if any(step) else {}
                undone |= entry.act is Act.UNDONE
            taken += sum(entry.change.taken_mm2 for entry, _ in history.counting if isinstance(entry.change, Cut))
        written = self.catalogue.execute("SELECT number, pieces, area_mm2 FROM store_change").fetchall()
        assert {number: (count, approx(area, abs=1)) for number, count, area in written} == changes
        assert sum(each.taken_mm2 for each in over_time.cut_sums(self.catalogue, Step.MONTH)) == approx(taken)
        told = self.catalogue.execute(STORE_TOLD_NOW).fetchall()
        assert sum(row[3] for row in told) == sum(step[0] for step in changes.values())
        assert sum(row[4] for row in told) == approx(sum(step[1] for step in changes.values()), abs=10)
        if not undone:
            assert {row[0]: (row[3], approx(row[4], abs=1)) for row in told} == changes
        ages = over_time.age_sums(self.catalogue, self.signed.at.date())
        assert sum(each.pieces for each in ages) == sum(step[0] for step in changes.values())


def in_store(history: History) -> tuple[int, float]:
    there = history.standing and history.standing.stage in (Stage.STOCKED, Stage.HELD)
    return (1, history.standing.piece.outline.usable_area_mm2) if there and history.standing else (0, 0.0)


Shop.TestCase.settings = settings(max_examples=few(30), stateful_step_count=25, deadline=None)
TestShop = Shop.TestCase
