"""The line of questions: in turns of the people, bounded, left by those who don't look again."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remnants.desk.line import LEFT_AFTER_S, Line, Place
from remnants.errors import Crowded
from remnants.limits import QUESTIONS, QUESTIONS_EACH


class Desk:
    """A line, with a clock that tests turn."""

    def __init__(self) -> None:
        self.now = 100.0
        self.line = Line(lambda: self.now)

    def ask(self, *keys: str, who: str, large: bool = False) -> None:
        for key in keys:
            self.line.ask(key, who, b"", large=large)

    def taken(self, *, large: bool = True) -> str:
        asked = self.line.take(large=large)
        return asked.key if asked else ""


@pytest.fixture
def desk() -> Desk:
    return Desk()


def test_people_take_turns_however_much_one_of_them_asks(desk: Desk) -> None:
    desk.ask("l1", "l2", "l3", who="Lou")
    desk.ask("w1", who="Wim")
    assert [desk.taken() for _ in range(5)] == ["l1", "w1", "l2", "l3", ""]


def test_the_place_is_told_by_turns_and_then_how_long_it_is_worked_on(desk: Desk) -> None:
    desk.ask("l1", "l2", "l3", who="Lou")
    desk.ask("w1", who="Wim")
    assert [desk.line.place(key).before for key in ("l1", "w1", "l2", "l3")] == [0, 1, 2, 3]
    assert desk.taken() == "l1"
    desk.now += 3
    assert desk.line.place("l1") == Place(worked_s=3.0)
    assert [desk.line.place(key).before for key in ("w1", "l2", "l3")] == [0, 1, 2]


def test_whoever_asks_the_same_waits_for_the_same(desk: Desk) -> None:
    desk.ask("same", who="Lou")
    desk.ask("same", who="Wim")
    assert desk.taken() == "same" and desk.taken() == ""
    desk.line.leave("same", "Lou")
    assert desk.line.wanted("same")
    desk.line.leave("same", "Wim")
    assert not desk.line.wanted("same")


def test_a_question_that_nobody_looks_for_goes_and_one_at_work_is_wanted_no_longer(desk: Desk) -> None:
    desk.ask("at work", "left", who="Lou")
    desk.ask("looked for", who="Wim")
    assert desk.taken() == "at work"
    desk.now += LEFT_AFTER_S - 1
    desk.ask("looked for", who="Wim")
    assert desk.line.wanted("at work")
    desk.now += 2
    assert not desk.line.wanted("at work")
    assert [desk.taken(), desk.taken()] == ["looked for", ""]


def test_what_was_left_while_it_was_worked_on_can_be_waited_for_again(desk: Desk) -> None:
    desk.ask("one", who="Lou")
    assert desk.taken() == "one"
    desk.line.leave("one", "Lou")
    desk.ask("one", who="Lou")
    assert desk.line.wanted("one") and desk.taken() == ""
    desk.line.end("one")
    assert not desk.line.wanted("one")


def test_large_ones_keep_out_of_the_way_of_small_ones(desk: Desk) -> None:
    """One who works on small ones takes no large one; nobody has two large ones worked on at once."""
    desk.ask("big 1", "big 2", who="Lou", large=True)
    assert desk.taken(large=False) == ""
    desk.ask("small", who="Lou")
    assert desk.taken() == "big 1"
    assert desk.taken(large=False) == "small"
    assert desk.taken() == ""
    desk.ask("Wim's", who="Wim", large=True)
    assert desk.taken() == "Wim's"
    desk.line.end("big 1")
    assert desk.taken() == "big 2"


def test_one_who_is_for_large_ones_leaves_small_ones_to_the_others(desk: Desk) -> None:
    desk.ask("small", who="Lou")
    assert desk.line.take(large=True, small=False) is None
    desk.ask("big", who="Lou", large=True)
    taken = desk.line.take(large=True, small=False)
    assert taken is not None and taken.key == "big"


def test_too_many_of_one_person_or_of_all_are_refused_with_the_bound(desk: Desk) -> None:
    desk.ask(*(f"l{number}" for number in range(QUESTIONS_EACH)), who="Lou")
    with pytest.raises(Crowded, match=f"you wait for {QUESTIONS_EACH} answers already"):
        desk.ask("one more", who="Lou")
    desk.ask("l0", who="Lou")
    for number in range(QUESTIONS - QUESTIONS_EACH):
        desk.ask(f"w{number}", who=f"Wim {number}")
    with pytest.raises(Crowded, match=f"{QUESTIONS} questions wait already"):
        desk.ask("one more", who="Maud")
    desk.line.leave("l0", "Lou")
    desk.ask("one more", who="Maud")


PEOPLE = st.sampled_from(("Lou", "Wim", "Maud"))


@given(asked=st.lists(PEOPLE, max_size=20), served=st.integers(0, 6))
def test_whatever_was_asked_the_place_that_is_told_is_the_place_that_comes_true(asked: list[str], served: int) -> None:
    """And nobody is served twice while another who waited all that time is not."""
    desk, waiting = Desk(), dict[str, str]()
    for number, who in enumerate(asked):
        if sum(each == who for each in waiting.values()) < QUESTIONS_EACH:
            desk.ask(f"{number}", who=who)
            waiting[f"{number}"] = who
    for _ in range(min(served, len(waiting))):
        desk.line.end(key := desk.taken())
        del waiting[key]
    told = sorted(waiting, key=lambda key: desk.line.place(key).before)
    assert [desk.line.place(key).before for key in told] == list(range(len(waiting)))
    taken = [desk.taken() for _ in told]
    assert taken == told
    turns = [waiting[key] for key in taken]
    for number, who in enumerate(turns):
        until = next((later for later in range(number + 1, len(turns)) if turns[later] == who), number)
        assert set(turns[until:]) <= {who, *turns[number:until]} if until > number else True
