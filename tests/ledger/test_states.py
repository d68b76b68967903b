"""The table of moves, cell by cell: each is either allowed and leads where the table says, or is refused."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from remnants.errors import BadInput, NotAllowed
from remnants.geometry import rectangle
from remnants.ledger import (
    BESIDE,
    MOVES,
    Act,
    CalledBack,
    Change,
    Corrected,
    Counted,
    Cut,
    Discarded,
    Entry,
    Held,
    Hold,
    LookedAt,
    Moved,
    OnTheWay,
    Photographed,
    PhotoTakenAway,
    Received,
    Released,
    Sent,
    Signed,
    Stage,
    Standing,
    TakenIn,
    Undone,
    applied,
    replay,
)
from remnants.model import Kind, Piece
from remnants.model.look import Look, LookBy, LookKind
from tests.stock_values import SIGNED, a_piece

TODAY = SIGNED.at.date()
JOB = replace(SIGNED, job="Alder Court 7")
LATE = replace(JOB, at=JOB.at + timedelta(days=8))
WAY = OnTheWay("South", "North", TODAY + timedelta(days=1), "Bay 3", "Ana", SIGNED.at)
HOLD = Hold(JOB.job, TODAY + timedelta(days=7))

CHANGES: dict[Act, tuple[Change, ...]] = {
    Act.RECEIVED: (Received(a_piece()),),
    Act.HELD: (Held(JOB.job, HOLD.until),),
    Act.RELEASED: (Released(),),
    Act.CUT: (Cut(rectangle(500, 500), 1.0, 0.0), Cut(None, 1.0, 0.0)),
    Act.MOVED: (Moved("Bay 9"),),
    Act.COUNTED: (Counted("Bay 9", seen=True), Counted("Bay 9", seen=False)),
    Act.SENT: (Sent("South", "North", TODAY),),
    Act.TAKEN_IN: (TakenIn("North Bay 2"),),
    Act.CALLED_BACK: (CalledBack(),),
    Act.CORRECTED: (Corrected(a_piece(colour="Slate")),),
    Act.DISCARDED: (Discarded(),),
}


def a_standing(stage: Stage | None, *, hold: Hold | None = None) -> Standing | None:
    """A piece in that state, held for the job where the state says so."""
    if stage is None:
        return None
    held = HOLD if stage is Stage.HELD else hold if stage in (Stage.MISSING, Stage.ON_THE_WAY) else None
    if stage is Stage.ON_THE_WAY:
        return Standing(a_piece(place=""), stage, 1, SIGNED, SIGNED.at, hold=held, way=WAY)
    return Standing(a_piece(), stage, 1, SIGNED, SIGNED.at, hold=held)


@pytest.mark.parametrize("stage", [None, *Stage])
@pytest.mark.parametrize("act", list(CHANGES))
def test_each_move_is_as_the_table_has_it(stage: Stage | None, act: Act) -> None:
    allowed = MOVES.get((stage, act))
    reached = set()
    for change in CHANGES[act]:
        for hold in (None, HOLD):
            signed = LATE if (stage, act) == (Stage.HELD, Act.DISCARDED) else JOB  # the hold has ended then
            before, entry = a_standing(stage, hold=hold), Entry(2, 2, "R-1", change, signed)
            if allowed is None:
                with pytest.raises(NotAllowed, match="R-1"):
                    applied(before, entry)
            else:
                after = applied(before, entry)
                assert (after.version, after.signed) == (2, signed)
                reached.add(after.stage)
    assert reached == (allowed or set())


def sent(standing: Standing, signed: Signed = SIGNED) -> Standing:
    """It was sent from South to North, to be there on the next day."""
    return applied(standing, Entry(2, 2, "R-1", Sent("South", "North", TODAY + timedelta(days=1)), signed))


def test_what_is_on_the_way_lies_at_no_place_until_it_is_taken_in() -> None:
    start = a_standing(Stage.STOCKED)
    assert start
    away = sent(start)
    assert (away.piece.place, away.way, away.free_for("", TODAY)) == ("", replace(WAY, place=start.piece.place), False)
    assert away.words == "on the way from South to North, sent by Ana on 3 May 2031, expected 4 May 2031"
    assert away.way
    assert (away.way.late(TODAY + timedelta(days=1)), away.way.late(TODAY + timedelta(days=2))) == (False, True)
    with pytest.raises(NotAllowed, match=r"R-1 is on the way from South to North, .*: it can't be cut"):
        applied(away, Entry(3, 3, "R-1", Cut(None, 1, 0), SIGNED))
    there = applied(away, Entry(3, 3, "R-1", TakenIn("North Bay 2"), SIGNED))
    assert (there.stage, there.piece.place, there.way) == (Stage.STOCKED, "North Bay 2", None)


def test_what_is_called_back_or_found_where_it_was_never_left_is_as_it_was() -> None:
    start = a_standing(Stage.STOCKED)
    assert start
    for change in (CalledBack(), Counted(start.piece.place, seen=True), Moved(start.piece.place)):
        back = applied(sent(start), Entry(3, 3, "R-1", change, SIGNED))
        assert (back.stage, back.piece, back.way) == (Stage.STOCKED, start.piece, None)


def test_what_never_came_is_missing_from_where_it_was_seen_last() -> None:
    start = a_standing(Stage.STOCKED)
    assert start
    lost = applied(sent(start), Entry(3, 3, "R-1", Counted("North", seen=False), SIGNED))
    assert (lost.stage, lost.piece, lost.way) == (Stage.MISSING, start.piece, None)


def test_a_held_piece_is_sent_for_its_job_alone_and_stays_held() -> None:
    held = a_standing(Stage.HELD)
    assert held
    with pytest.raises(NotAllowed, match=r"held for Alder Court 7 .*: it is sent for that job only"):
        sent(held)
    away = sent(held, JOB)
    assert away.words.endswith("expected 4 May 2031, held for Alder Court 7 until 10 May 2031")
    assert applied(away, Entry(3, 3, "R-1", TakenIn("North"), SIGNED)).stage is Stage.HELD
    freed = applied(away, Entry(3, 3, "R-1", Released(), SIGNED))
    assert (freed.stage, freed.hold) == (Stage.ON_THE_WAY, None)


@pytest.mark.parametrize("piece", [a_piece(customer="F-1"), a_piece(kind=Kind.KEPT), a_piece(kind=Kind.LAID)])
def test_what_is_with_a_customer_is_fetched_and_not_sent(piece: Piece) -> None:
    with pytest.raises(NotAllowed, match="R-1 is with a customer: it can't be sent; `remnants move` says once it is fetched"):
        sent(Standing(piece, Stage.STOCKED, 1, SIGNED, SIGNED.at))


def test_what_each_entry_changes() -> None:
    start = applied(None, Entry(1, 1, "R-1", Received(a_piece(), "R-0"), SIGNED))
    assert (start.parent, start.piece) == ("R-0", a_piece())
    moved = applied(start, Entry(2, 2, "R-1", Moved("attic", "loft", "C-7"), SIGNED))
    assert (moved.piece.place, moved.piece.room, moved.piece.customer) == ("attic", "loft", "C-7")
    counted = applied(moved, Entry(3, 3, "R-1", Counted("Bay 4", seen=True), SIGNED))
    assert counted.piece.place == "Bay 4"
    assert (counted.piece.room, counted.piece.customer) == ("loft", "C-7"), "as counts were told before they told both"
    back = applied(counted, Entry(4, 4, "R-1", Counted("Bay 4", seen=True, room="", customer=""), SIGNED))
    assert (back.piece.place, back.piece.room, back.piece.customer) == ("Bay 4", "", "")
    cut = applied(counted, Entry(4, 4, "R-1", Cut(rectangle(300, 300), 1, 0), SIGNED))
    assert cut.piece.outline == rectangle(300, 300)
    assert applied(cut, Entry(5, 5, "R-1", Corrected(a_piece(lot="9")), SIGNED)).piece.lot == "9"


def test_a_held_piece_is_its_jobs_alone_until_the_hold_ends() -> None:
    held = a_standing(Stage.HELD)
    assert held
    other = replace(SIGNED, job="Fir Lane 2")
    with pytest.raises(NotAllowed, match=r"held for Alder Court 7 until 10 May 2031 \(by Ana"):
        applied(held, Entry(2, 2, "R-1", Cut(None, 1, 0), other))
    with pytest.raises(NotAllowed, match="can't be held for Fir Lane 2"):
        applied(held, Entry(2, 2, "R-1", Held("Fir Lane 2", HOLD.until), other))
    assert applied(held, Entry(2, 2, "R-1", Held(JOB.job, date(2031, 6, 1)), JOB)).hold == Hold(JOB.job, date(2031, 6, 1))
    late = replace(other, at=SIGNED.at + timedelta(days=8))
    taken = applied(held, Entry(2, 2, "R-1", Held("Fir Lane 2", date(2031, 6, 1)), late))
    assert taken.hold == Hold("Fir Lane 2", date(2031, 6, 1))
    assert not held.free_for("Fir Lane 2", HOLD.until)
    assert held.free_for("Fir Lane 2", HOLD.until + timedelta(days=1))


def test_a_piece_is_discarded_over_nobodys_hold_but_over_one_that_ended() -> None:
    held = a_standing(Stage.HELD)
    assert held
    with pytest.raises(
        NotAllowed, match=r"held for Alder Court 7 until 10 May 2031 .* can't be discarded; let the hold go first"
    ):
        applied(held, Entry(2, 2, "R-1", Discarded(), SIGNED))
    late = replace(SIGNED, at=SIGNED.at + timedelta(days=8))
    assert applied(held, Entry(2, 2, "R-1", Discarded(), late)).stage is Stage.DISCARDED


def test_a_hold_counts_until_the_end_of_its_day_and_no_longer() -> None:
    held = a_standing(Stage.HELD)
    assert held
    assert held.on(HOLD.until) == held
    after = held.on(HOLD.until + timedelta(days=1))
    assert (after.stage, after.hold, after.words) == (Stage.STOCKED, None, "in stock")
    missing = replace(held, stage=Stage.MISSING).on(HOLD.until + timedelta(days=1))
    assert (missing.stage, missing.hold) == (Stage.MISSING, None)


def test_a_missing_piece_that_turns_up_is_held_again() -> None:
    missing = applied(a_standing(Stage.HELD), Entry(2, 2, "R-1", Counted("Bay 3", seen=False), SIGNED))
    assert (missing.stage, missing.free_for(JOB.job, TODAY)) == (Stage.MISSING, False)
    assert missing.words == "missing (by Ana on 3 May 2031, 14:20 UTC)", "though the job holds it, should it turn up"
    assert applied(missing, Entry(3, 3, "R-1", Counted("Bay 3", seen=True), SIGNED)).stage is Stage.HELD


def test_taking_back_leads_to_where_the_piece_stood_before() -> None:
    entries = [
        Entry(1, 1, "R-1", Received(a_piece()), SIGNED),
        Entry(2, 2, "R-1", Moved("Bay 9"), SIGNED),
        Entry(3, 3, "R-1", Cut(None, 1, 0), SIGNED),
        Entry(4, 4, "R-1", Undone(3), SIGNED),
        Entry(5, 5, "R-1", Undone(2), SIGNED),
    ]
    back = replay(entries).standing
    assert back
    assert (back.stage, back.piece, back.version) == (Stage.STOCKED, a_piece(), 5)
    gone = replay([*entries, Entry(6, 6, "R-1", Undone(1), SIGNED)])
    assert gone.standing
    assert gone.standing.stage is Stage.WITHDRAWN
    assert gone.last is None
    with pytest.raises(NotAllowed, match="only its last entry"):
        replay([*entries, Entry(6, 6, "R-1", Undone(3), SIGNED)])
    again = replay([*entries, Entry(6, 6, "R-1", Undone(1), SIGNED), Entry(7, 7, "R-1", Received(a_piece(lot="2")), SIGNED)])
    assert again.standing
    assert (again.standing.stage, again.standing.piece.lot) == (Stage.STOCKED, "2")


LOOKED = LookedAt(Look(2, LookKind.FLOOR_SEAM, (1, 1), LookBy.EYE, (2, 2)))


@pytest.mark.parametrize("stage", list(Stage))
@pytest.mark.parametrize("change", [Photographed(1, 5000, "5f3c"), PhotoTakenAway(1), LOOKED])
def test_a_photograph_or_a_look_is_told_beside_a_piece_in_every_state(stage: Stage, change: Change) -> None:
    before = a_standing(stage)
    assert before
    entry = Entry(2, 2, "R-1", change, SIGNED)
    assert entry.act in BESIDE
    assert applied(before, entry) is before
    with pytest.raises(NotAllowed, match="R-1 is not in the catalogue"):
        applied(None, entry)


def test_taking_back_passes_over_photographs() -> None:
    start = [
        Entry(1, 1, "R-1", Received(a_piece()), SIGNED),
        Entry(2, 2, "R-1", Moved("Bay 9"), SIGNED),
        Entry(3, 3, "R-1", Photographed(1, 5000, "5f3c"), SIGNED),
    ]
    history = replay(start)
    assert history.last and history.standing
    assert (history.last.number, history.standing.version) == (2, 2)
    with pytest.raises(NotAllowed, match="only its last entry"):
        replay([*start, Entry(4, 4, "R-1", Undone(3), SIGNED)])
    back = replay([*start, Entry(4, 4, "R-1", PhotoTakenAway(1), SIGNED), Entry(5, 5, "R-1", Undone(2), SIGNED)]).standing
    assert back and (back.piece, back.version) == (a_piece(), 5)


def test_an_entry_says_who_and_when() -> None:
    with pytest.raises(BadInput, match="name of who"):
        Signed(" ", datetime.now(UTC))
    with pytest.raises(BadInput, match="time zone"):
        Signed("Ana", datetime(2031, 5, 3))
    assert JOB.words == "by Ana for Alder Court 7 on 3 May 2031, 14:20 UTC"
