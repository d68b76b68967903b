"""Processes that work on questions: what they answer and raise comes back, and what takes too much is ended."""

import os
import pickle
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import pytest

from remnants.desk import workers
from remnants.desk.workers import Budget, Worker, outcome_of, value_of
from remnants.errors import BadInput, Fault, GaveUp
from remnants.question import Stop

MB = 1024 * 1024


@dataclass(frozen=True)
class Sum:
    """A question that is worked out at once."""

    one: int
    other: int

    def answer(self, stop: Stop) -> int:
        """Their sum. Raises BadInput below nothing."""
        if self.one < 0:
            raise BadInput([Fault("one", f"{self.one} is below nothing")])
        return self.one + self.other


class CtrlC:
    """A question during which somebody presses Ctrl-C, which reaches every process of a terminal."""

    def answer(self, stop: Stop) -> bool:
        """Whether Ctrl-C is kept from this process, from its start on."""
        for process in (os.getpid(), os.getppid()):  # this one, and the one that it is forked from
            os.kill(process, signal.SIGINT)
        return signal.SIGINT in signal.pthread_sigmask(signal.SIG_BLOCK, ())


@dataclass(frozen=True)
class Search:
    """A question that is worked on until it is asked to stop."""

    heeds: bool = True

    def answer(self, stop: Stop) -> str:
        """The best so far."""
        while not (self.heeds and stop()):
            pass
        return "the best so far"


@dataclass(frozen=True)
class Greedy:
    """A question that takes memory."""

    size: int

    def answer(self, stop: Stop) -> int:
        """How much it took."""
        return len(bytearray(self.size))


class Dies:
    """A question that ends its process."""

    def answer(self, stop: Stop) -> None:
        """Never."""
        os._exit(1)


class Broken:
    """A question with a slip of the program in it."""

    def answer(self, stop: Stop) -> None:
        """Never."""
        raise ZeroDivisionError("a slip")


@contextmanager
def a_worker(budget: Budget) -> Iterator[Worker]:
    worker = Worker(budget, (__name__,))
    try:
        yield worker
    finally:
        worker.end()


@pytest.fixture(scope="module")
def worker() -> Iterator[Worker]:
    with a_worker(Budget(seconds=60, memory=1024 * MB)) as made:
        yield made


def test_answers_and_refusals_come_back_one_after_the_other(worker: Worker) -> None:
    assert value_of(worker.work(pickle.dumps(Sum(2, 3)))) == 5
    with pytest.raises(BadInput) as refused:
        value_of(worker.work(pickle.dumps(Sum(-2, 3))))
    assert refused.value.faults == (Fault("one", "-2 is below nothing"),)
    assert value_of(worker.work(pickle.dumps(Sum(4, 3)))) == 7


def test_ctrl_c_reaches_no_worker_nor_what_it_is_forked_from(worker: Worker) -> None:
    assert value_of(worker.work(pickle.dumps(CtrlC()))) is True
    with a_worker(Budget(seconds=60)) as another:
        assert value_of(another.work(pickle.dumps(Sum(4, 3)))) == 7


def test_what_takes_too_much_memory_is_told_and_the_next_is_worked_out(worker: Worker) -> None:
    with pytest.raises(GaveUp, match="took more memory than is given"):
        value_of(worker.work(pickle.dumps(Greedy(2048 * MB))))
    assert worker.fit_to_go_on and value_of(worker.work(pickle.dumps(Sum(2, 3)))) == 5


def test_a_search_that_nobody_waits_for_gives_what_it_has(worker: Worker) -> None:
    assert value_of(worker.work(pickle.dumps(Search()), lambda: False)) == "the best so far"
    assert worker.fit_to_go_on and value_of(worker.work(pickle.dumps(Sum(2, 3)))) == 5


def test_a_search_past_its_seconds_gives_what_it_has(worker: Worker, monkeypatch: pytest.MonkeyPatch) -> None:
    assert value_of(worker.work(pickle.dumps(Sum(2, 3)))) == 5
    monkeypatch.setattr(worker, "_budget", Budget(seconds=0.2))
    monkeypatch.setattr(workers, "GRACE_SECONDS", 60)
    assert value_of(worker.work(pickle.dumps(Search()))) == "the best so far"


def test_one_that_heeds_nothing_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workers, "GRACE_SECONDS", 0.1)
    with a_worker(Budget(seconds=0.2, memory=None)) as hurried:
        with pytest.raises(GaveUp, match=r"not worked out within 0\.2 seconds; ask for less"):
            value_of(hurried.work(pickle.dumps(Search(heeds=False))))
        assert not hurried.fit_to_go_on


def test_a_process_that_ends_by_itself_is_told_and_not_asked_again() -> None:
    with a_worker(Budget(memory=None)) as frail:
        with pytest.raises(GaveUp, match="or broke off"):
            value_of(frail.work(pickle.dumps(Dies())))
        assert not frail.fit_to_go_on


def test_a_slip_of_the_program_tells_where_it_was() -> None:
    with pytest.raises(ZeroDivisionError) as raised:
        value_of(outcome_of(Broken(), lambda: False))
    assert "test_workers.py" in "".join(raised.value.__notes__)
