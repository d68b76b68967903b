"""`remnants fit` with several jobs, limits and Ctrl-C: here and in processes."""

import json
import os
import pty
import re
import shutil
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from remnants.actions import fit_jobs
from remnants.actions.fit_job import Offer
from remnants.actions.fit_jobs import fit_in_processes
from remnants.actions.fit_tasks import Limits, Task
from remnants.cli.progress import Searching
from remnants.errors import GaveUp
from remnants.exchange import read_job, read_stock
from remnants.late import Late
from tests.commands import Remnants
from tests.fitting.many import a_job, contest, scraps
from tests.thorough import some

ROOT = Path(__file__).parent.parent
FOREVER = "1000000000"


def given(remnants: Remnants, **jobs: dict[str, Any]) -> list[Path]:
    return [remnants.file(f"{name}.json", job) for name, job in jobs.items()]


def test_several_jobs_are_answered_in_order_each_on_its_own(remnants: Remnants) -> None:
    source = remnants.file("stock.json", scraps(3))
    files = given(remnants, b=a_job("Birch Row 2", 2), a=a_job("Alder Court 7", 1), c=a_job("Cedar Rise 3", 4))
    answers = json.loads(remnants.ok("fit", *files, "--stock", source, "--json"))
    assert [(answer["job"], answer["verdict"]) for answer in answers] == [
        ("Birch Row 2", "whole"),
        ("Alder Court 7", "whole"),
        ("Cedar Rise 3", "partly"),
    ]
    for file, answer in zip(files, answers, strict=True):
        assert json.loads(remnants.ok("fit", file, "--stock", source, "--json")) == answer


def test_a_piece_that_two_jobs_want_is_told(remnants: Remnants) -> None:
    files = given(remnants, a=a_job("Alder Court 7", 1), b=a_job("Birch Row 2", 2))
    args: tuple[str | Path, ...] = ("fit", *files, "--stock", remnants.file("stock.json", scraps(3)))
    told = "S-0 is wanted by Alder Court 7 and Birch Row 2."
    shown = remnants.ok(*args)
    assert told in shown and "S-1 is wanted" not in shown and "S-2 is wanted" not in shown
    assert "In all 2 jobs: 2 in one piece." in shown
    assert shown.index("Alder Court 7: YES") < shown.index("Birch Row 2: YES") < shown.index("In all")
    assert f"note: {told}" in remnants(*args, "--json").err
    alone = given(remnants, c=a_job("Cedar Rise 3", 1, style="Harrow Twist"))
    assert "is wanted by" not in remnants.ok("fit", files[0], *alone, *args[3:])


def test_drawings_of_several_jobs_go_into_a_folder_each(remnants: Remnants) -> None:
    files = given(remnants, a=a_job("Alder Court 7", 1), b=a_job("alder/court 7", 1))
    remnants.ok("fit", *files, "--stock", remnants.file("stock.json", scraps(3)), "--svg", remnants.folder / "out")
    written = sorted(str(path.relative_to(remnants.folder / "out")) for path in (remnants.folder / "out").rglob("*.svg"))
    assert {Path(path).parent.name for path in written} == {"Alder-Court-7", "alder-court-7-2"}
    assert len(written) == 4


def test_all_faults_of_all_job_files_are_told_and_nothing_is_answered(remnants: Remnants) -> None:
    files = given(remnants, a=a_job("A", 1), b=a_job("B", 1) | {"patches": [{"width": 3, "pile": "up"}]}, c=a_job("A", 2))
    missing = remnants.folder / "none.json"
    told = remnants.refused("fit", *files, missing, "--stock", remnants.file("stock.json", scraps(3)), code=2)
    assert f"{files[1]}: patches[0].pile" in told
    assert f"{missing}: there is no such file" in told and f"{missing}, {missing}" not in told
    assert f"{files[0]}, {files[2]}: all are named 'A'" in told


@pytest.mark.parametrize("from_catalogue", some([False, True], of=2))
def test_processes_give_the_same_answers_as_one(remnants: Remnants, *, from_catalogue: bool) -> None:
    source = remnants.file("stock.json", scraps(5))
    if from_catalogue:
        remnants.ok("log", source)
        remnants.ok("hold", *given(remnants, h=a_job("Holm 1", 1)), "--by", "Bo")
    where = () if from_catalogue else ("--stock", source)
    files = given(remnants, a=a_job("Alder Court 7", 6), b=a_job("Birch Row 2", 3), c=contest("Cedar Rise 3"))
    out = remnants.folder / "out"
    words: tuple[str | Path, ...] = ("fit", *files, *where, "--tries", "5", "--json", "--svg", out)
    one = remnants(*words)
    drawn = {path.relative_to(out): path.read_bytes() for path in out.rglob("*.svg")}
    shutil.rmtree(out)
    more = remnants(*words, "--workers", "2")
    assert (one.code, more.code) == (0, 0)
    assert one.out == more.out and one.err == more.err
    redrawn = {path.relative_to(out): path.read_bytes() for path in out.rglob("*.svg")}
    assert drawn and redrawn == drawn, "what is drawn needs the stock, which is not sent back"


def test_what_a_process_that_ends_was_doing_is_done_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    offer = Offer(read_stock(json.dumps(scraps(3))))
    tasks = [Task(read_job(json.dumps(a_job(f"Job {count}", count))), offer) for count in (1, 2, 3)]
    mark = tmp_path / "once"
    monkeypatch.setenv("REMNANTS_TEST_MARK", str(mark))
    fitted = fit_in_processes([*tasks, EndsOnce(tasks[0].job, offer)], Limits(), workers=2, stop=lambda: False)
    assert mark.exists()
    assert [each.plan.job for each in fitted] == ["Job 1", "Job 2", "Job 3", "Job 1"]
    monkeypatch.setenv("REMNANTS_TEST_MARK", "")
    with pytest.raises(GaveUp, match="'Job 1'"):
        fit_in_processes([EndsOnce(tasks[0].job, offer)], Limits(), workers=1, stop=lambda: False)


class EndsOnce(Task):
    """A task that ends the process that takes it out of its parcel, unless the mark is there."""

    def __reduce__(self) -> Any:
        return _end_once, (self.job, self.offer, os.getpid())


def _end_once(job: Any, offer: Any, sender: int) -> Task:
    mark = os.environ["REMNANTS_TEST_MARK"]
    if os.getpid() != sender and not (mark and Path(mark).exists()):
        if mark:
            Path(mark).touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return Task(job, offer)


@pytest.mark.parametrize("how", [(), ("--workers", "2")])
def test_ctrl_c_gives_the_best_so_far_and_says_so(remnants: Remnants, monkeypatch: pytest.MonkeyPatch, how: tuple[str]) -> None:
    files = given(remnants, a=contest("Alder Court 7"), b=a_job("Birch Row 2", 1))
    asked, before = 0, signal.getsignal(signal.SIGINT)

    def stop(search: Searching) -> bool:
        nonlocal asked
        asked += 1
        if asked == 5:
            signal.raise_signal(signal.SIGINT)
        return search.asked_to_stop

    monkeypatch.setattr(Searching, "stop", stop)
    source = remnants.file("stock.json", scraps(1))
    done = remnants("fit", *files, "--stock", source, "--tries", FOREVER, "--json", *how)
    assert done.code == 130
    answers = json.loads(done.out)
    assert [answer["verdict"] for answer in answers] == ["partly", "whole"]
    assert answers[0]["bound"] == "at most 1 patch not filled from the best"
    assert "stopped by hand: the best found so far for Alder Court 7;" in done.err
    assert signal.getsignal(signal.SIGINT) is before


def test_a_time_limit_ends_a_search_that_tries_would_not(remnants: Remnants) -> None:
    files = given(remnants, a=contest("Alder Court 7"))
    odd = scraps(1)  # with a hole that is no rectangle, so that no model of three parts bounds it
    odd["pieces"][0] |= {"width": 41, "length": 41, "cutouts": [[[0.1, 0.1], [0.6, 0.2], [0.3, 0.6]]]}
    args: tuple[str | Path, ...] = ("fit", *files, "--stock", remnants.file("stock.json", odd))
    shown = remnants.ok(*args, "--seconds", "1")
    assert "1 of 2 patches can be made; at most 1 patch not filled from the best." in shown


def test_progress_shows_the_best_and_the_bound_at_a_terminal_only(remnants: Remnants) -> None:
    (job,) = given(remnants, a=contest("Alder Court 7"))
    source = remnants.file("stock.json", scraps(1))
    program = "import sys; from remnants.cli import main; sys.exit(main())"
    command = [sys.executable, "-c", program, "fit", str(job), "--stock", str(source), "--seconds", "1", "--json"]
    ours, theirs = pty.openpty()
    env = {**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm", "COLUMNS": "120"}
    done = subprocess.run(command, stderr=theirs, stdout=subprocess.PIPE, env=env, check=False)
    os.close(theirs)
    drawn = os.read(ours, 100_000).decode()
    os.close(ours)
    assert done.returncode == 0
    assert json.loads(done.stdout)["verdict"] == "partly"
    assert re.search(r"best yet: 1 not filled, \d+ to be seen; at best 0 and \d+", drawn)
    assert remnants("fit", job, "--stock", source, "--tries", "1").err == ""


def test_workers_and_a_cluster_are_not_asked_together(remnants: Remnants) -> None:
    told = remnants.refused("fit", *given(remnants, a=a_job("A", 1)), "--workers", "2", "--cluster", "tcp://127.0.0.1:1", code=2)
    assert "not allowed with" in told


def test_a_cluster_without_its_package_is_refused_in_words(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)  # as if it were not there
    monkeypatch.delitem(sys.modules, "remnants.actions.cluster", raising=False)
    monkeypatch.setattr(fit_jobs, "cluster", Late("remnants.actions.cluster"))
    source = remnants.file("stock.json", scraps(1))
    told = remnants.refused("fit", *given(remnants, a=a_job("A", 1)), "--stock", source, "--cluster", "tcp://127.0.0.1:1", code=2)
    assert "`pip install 'remnants[cluster]'` brings it" in told
