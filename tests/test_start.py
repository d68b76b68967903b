"""A command starts in a blink: it loads no large library that it doesn't use."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from remnants.cli import THREADS
from remnants.packing import exact_solver
from tests.commands import Remnants

DEMO = Path(__file__).resolve().parent.parent / "demo"

LARGE = (
    *("numpy", "shapely", "pydantic", "highspy", "ortools", "pandas"),
    *("PIL", "cv2", "pi_heif", "ezdxf", "reportlab", "segno", "distributed", "flask", "sqlite_utils"),
    *("numpy.ma", "multiprocessing", "urllib.request", "psycopg", "psycopg_pool"),
)
"""What is slow to load: most of these take as long as a command may take to answer, or longer."""

RUN = """
import json, sys
from remnants.cli import main
code = main(sys.argv[2:])
sys.stdout.flush()
print(json.dumps(sorted(set(sys.argv[1].split()) & sys.modules.keys())), file=sys.stderr)
sys.exit(code)
"""


def loaded(*words: str | os.PathLike[str], code: int = 0) -> set[str]:
    """Which of the large libraries a command loads, run in a process of its own as a user's is."""
    given = [sys.executable, "-c", RUN, " ".join(LARGE), *map(str, words)]
    done = subprocess.run(given, capture_output=True, text=True, check=False)
    assert done.returncode == code, done.stderr
    return set(json.loads(done.stderr.splitlines()[-1]))


MAY_LOAD: dict[tuple[str, ...], set[str]] = {
    ("find", "veldr", "loop"): {"numpy"},
    ("show", "R-0001"): set(),
    ("show", "R-0001", "--json"): set(),
    ("history", "R-0001"): set(),
    ("move", "R-0001", "Bay 4"): set(),
    ("undo", "R-0001"): set(),
    ("discard", "R-0001", "--why", "moths"): set(),
    ("verify",): set(),
    ("age",): set(),
    ("worth",): set(),
    ("racks",): set(),
    ("count", "Bay 3", "R-0001", "--yes"): set(),
    ("log", "--style", "Velder Loop", "--width", "40", "--length", "60"): {"pydantic"},
    ("fit", str(DEMO / "whole.json"), "--stock", str(DEMO / "stock.json")): {"numpy", "shapely", "pydantic"},
    ("order", str(DEMO / "rooms.json"), "--no-stock", "--tries", "1"): {
        "numpy",
        "shapely",
        "pydantic",
        "highspy",
        "ortools",
        "pandas",
        "numpy.ma",
    },
    ("serve", "--help"): set(),
}
"""What each command may load of the large libraries."""


@pytest.mark.parametrize("words", MAY_LOAD, ids=[words[0] for words in MAY_LOAD])
def test_a_command_loads_no_large_library_that_it_does_not_use(words: tuple[str, ...], remnants: Remnants) -> None:
    remnants.log()
    assert loaded(*words) <= MAY_LOAD[words]


def test_help_comes_without_the_catalogue() -> None:
    """Whoever asks what the commands are waits for no database."""
    told = "import sys, remnants.cli as cli; cli.main(['--help']); print('remnants.store' in sys.modules, file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    assert done.stderr.split() == ["False"]


def test_the_pages_start_without_what_a_page_may_never_need() -> None:
    told = "import json, sys; from remnants_web import serving; print(json.dumps(sorted(set(sys.argv[1:]) & sys.modules.keys())))"
    done = subprocess.run([sys.executable, "-c", told, *LARGE], capture_output=True, text=True, check=True)
    assert not set(json.loads(done.stdout)) & {"ortools", "pandas", "highspy", "ezdxf", "distributed"}


def test_numpy_multiplies_in_one_thread_unless_told_otherwise(remnants: Remnants) -> None:
    remnants.log()
    run = "from remnants.cli import main; main(['find', 'loop']); import numpy, os; print(len(os.listdir('/proc/self/task')))"
    untold = {name: value for name, value in os.environ.items() if name not in (THREADS, "OMP_NUM_THREADS")}
    told = subprocess.run([sys.executable, "-c", run], env=untold, capture_output=True, text=True, check=True).stdout
    assert told.splitlines()[-1] == "1"


def two_halls(remnants: Remnants) -> Path:
    """A job of two patches, and a piece that makes one of them: that no plan makes both is the exact solver's to prove."""
    remnants.log("--width", "15", "--length", "35")
    patches = [{"name": name, "width": 30, "length": 12, "pile": 90, "edges": "seam"} for name in ("hall", "landing")]
    job = {"unit": "in", "job": "two halls", "style": "velder loop", "allowance": {"seam": 1}, "patches": patches}
    return remnants.file("job.json", job)


def test_the_exact_solver_is_loaded_where_it_runs(remnants: Remnants) -> None:
    assert "ortools" in loaded("fit", two_halls(remnants), "--tries", "1")


def test_a_missing_library_is_named_though_it_is_missed_late(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    def not_there() -> None:
        raise ModuleNotFoundError("No module named 'ortools'", name="ortools")

    monkeypatch.setattr(exact_solver.cp_model, "CpModel", not_there)
    told = remnants.refused("fit", two_halls(remnants), "--tries", "1", code=2)
    assert "`remnants fit` needs ortools, which is not installed; `pip install ortools` brings it" in told
