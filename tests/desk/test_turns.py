"""Long work in turns: so many at once, the rest waits, and a fault gives its turn back."""

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from remnants.desk.turns import MOST_AT_ONCE, in_turn


def test_no_more_than_so_many_work_at_once_and_all_get_their_turn() -> None:
    """Each one waits until as many are at work as may be, so that they meet however busy the machine is."""
    at_work, most, lock, met = list[int](), list[int](), threading.Lock(), threading.Event()

    @in_turn
    def work(number: int) -> int:
        with lock:
            at_work.append(number)
            most.append(len(at_work))
            if len(at_work) == MOST_AT_ONCE:
                met.set()
        met.wait(60)
        threading.Event().wait(0.01)
        with lock:
            at_work.remove(number)
        return number

    with ThreadPoolExecutor(8) as pool:
        assert list(pool.map(work, range(12))) == list(range(12))
    assert max(most) == MOST_AT_ONCE


def test_a_fault_gives_its_turn_back() -> None:
    def broken() -> None:
        raise ValueError

    for _ in range(2 * MOST_AT_ONCE):
        with pytest.raises(ValueError):
            in_turn(broken)()
    assert in_turn(lambda: "done")() == "done"
