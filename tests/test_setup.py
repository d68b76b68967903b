"""Setting up a fresh machine: what is missing is seen, and the right thing is asked for.

The real scripts run under each shell there is, on a path that holds nothing but a few plain tools and stand-ins: small programs
that say a thing is missing, and write down what was asked of them.
"""

import runpy
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PLAIN_TOOLS = ("sed", "grep", "mkdir", "dirname", "cat", "cp", "rm")
SHELLS = {"dash": ("dash",), "bash": ("bash",), "busybox": ("busybox", "sh")}

PYTHON = """case "$*" in
*version_info*) exit {old} ;;
*ensurepip*) [ -e "$WORLD/venv-is-here" ] || exit {no_venv} ;;
*--ready*) exit {unready} ;;
*-m\\ pytest*|*-m\\ tests.reached*) echo "ran the tests" ;;
esac"""

BRINGS = """case "$*" in
*install*python3\\ *) cp "$WORLD/later" "$WORLD/bin/python3" ;;
*install*python3-venv*) {venv} ;;
esac"""


class Machine:
    """A machine with a shell, a few plain tools, and what stand-ins make of it; `asked` is what they were asked, in order."""

    def __init__(self, folder: Path, shell: str, *, root: bool) -> None:
        self.folder, self.project, self.bin = folder, folder / "project", folder / "bin"
        self.bin.mkdir()
        for name in (".setup", "tests", "demo"):
            (self.project / name).mkdir(parents=True)
        for name in (".setup/prepare.sh", ".setup/debian.txt", "tests/run.sh", "demo/run.sh"):
            shutil.copy(ROOT / name, self.project / name)
        for name in PLAIN_TOOLS:
            found = shutil.which(name)
            assert found
            (self.bin / name).symlink_to(found)
        program, *words = SHELLS[shell]
        path = shutil.which(program)
        if path is None:
            pytest.skip(f"no {program} here")
        self.shell = [path, *words]
        self.stand_in("id", f"echo {0 if root else 1000}")
        self.stand_in("dpkg-query", 'case "$*" in *chromium*) exit 1 ;; esac\necho "install ok installed"')
        self.stand_in("apt-get", BRINGS.format(venv='cat /dev/null >"$WORLD/venv-is-here"'))
        self.python()
        for name in ("remnants", "ruff", "mypy"):
            self.stand_in(name, "")

    def stand_in(self, name: str, body: str, *, to: Path | None = None) -> None:
        path = to or self.bin / name
        path.write_text(f'#!/bin/sh\nprintf "%s\\n" "{name} $*" >>"$WORLD/asked"\n{body}\n')
        path.chmod(0o755)

    def python(self, *, old: bool = False, no_venv: bool = False, unready: bool = True) -> None:
        body = PYTHON.format(old=int(old), no_venv=int(no_venv), unready=int(unready))
        self.stand_in("python3", body)
        self.stand_in("python", body)
        self.stand_in("python3", PYTHON.format(old=0, no_venv=0, unready=1), to=self.folder / "later")

    def run(self, script: str, *words: str, **environment: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [*self.shell, script, *words],
            cwd=self.project,
            env={"PATH": str(self.bin), "WORLD": str(self.folder), **environment},
            capture_output=True,
            text=True,
            check=False,
        )

    @property
    def asked(self) -> list[str]:
        log = self.folder / "asked"
        return log.read_text().splitlines() if log.exists() else []

    @property
    def fetched(self) -> list[str]:
        """The packages that were asked of apt-get, in order."""
        asked = [line.split() for line in self.asked if line.startswith("apt-get") and " install " in line]
        return [word for line in asked for word in line[line.index("install") + 1 :] if not word.startswith("-")]


@pytest.fixture(params=SHELLS)
def shell(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def owner(tmp_path: Path, shell: str) -> Machine:
    return Machine(tmp_path, shell, root=True)


@pytest.fixture
def guest(tmp_path: Path, shell: str) -> Machine:
    return Machine(tmp_path, shell, root=False)


def test_the_test_command_brings_the_browser_that_is_missing_and_nothing_else(owner: Machine) -> None:
    done = owner.run("tests/run.sh")
    assert owner.fetched == ["chromium"], done.stderr
    assert done.returncode == 0 and "ran the tests" in done.stdout


@pytest.mark.parametrize(
    "name", [line for line in (ROOT / ".setup/debian.txt").read_text().splitlines() if line[:1] not in ("", "#")]
)
def test_each_package_that_the_tests_need_is_asked_for_when_it_is_missing(tmp_path: Path, shell: str, name: str) -> None:
    machine = Machine(tmp_path, shell, root=True)
    machine.stand_in("dpkg-query", f'case "$*" in *" {name}") exit 1 ;; esac\necho "install ok installed"')
    machine.run("tests/run.sh")
    assert machine.fetched == [name]


def test_the_last_package_counts_without_an_end_of_line(owner: Machine) -> None:
    (owner.project / ".setup/debian.txt").write_text("fonts-dejavu-core\nchromium")
    owner.run("tests/run.sh")
    assert owner.fetched == ["chromium"]


def test_where_nothing_may_be_installed_the_missing_package_is_named_and_the_tests_go_on(guest: Machine) -> None:
    done = guest.run("tests/run.sh")
    assert "apt-get install chromium" in done.stderr
    assert guest.fetched == [] and done.returncode == 0 and "ran the tests" in done.stdout


def test_where_nothing_is_missing_nothing_is_asked_for(owner: Machine) -> None:
    owner.stand_in("dpkg-query", 'echo "install ok installed"')
    done = owner.run("tests/run.sh")
    assert (owner.fetched, done.stderr, done.returncode) == ([], "", 0)


@pytest.mark.parametrize("words, measured", [((), True), (("tests/test_units.py", "-k", "the feet"), False)])
def test_only_the_whole_run_has_a_floor_for_what_the_tests_reach(guest: Machine, words: tuple[str, ...], measured: bool) -> None:
    done = guest.run("tests/run.sh", *words)
    asked = [line for line in guest.asked if line.startswith("python -m ")]
    assert done.returncode == 0 and len(asked) == (2 if measured else 1)
    assert any("--fail-under 95" in line for line in asked) is measured
    tests = "tests.reached .cache/reached.json" if measured else "pytest"
    assert asked[0] == f"python -m {tests} -n 2 --dist worksteal {' '.join(words)}".strip()


@pytest.mark.parametrize("words", [(), ("tests/test_units.py",)])
def test_a_wrong_type_is_told_and_fails_the_run(guest: Machine, words: tuple[str, ...]) -> None:
    guest.stand_in("mypy", "echo 'one wrong type'; exit 1")
    done = guest.run("tests/run.sh", *words)
    assert "one wrong type" in done.stdout and done.returncode == 1


def test_a_test_that_fails_fails_the_run_and_types_are_told_all_the_same(guest: Machine) -> None:
    guest.stand_in("python", 'case "$*" in *tests.reached*) exit 5 ;; esac')
    guest.stand_in("mypy", "echo 'no wrong type'")
    done = guest.run("tests/run.sh")
    assert "no wrong type" in done.stdout and done.returncode == 5
    assert not any("--merge" in line for line in guest.asked)


@pytest.mark.parametrize("environment", [{}, {"FOR": "tests"}])
def test_the_demo_asks_for_no_package_of_the_tests(owner: Machine, environment: dict[str, str]) -> None:
    done = owner.run("demo/run.sh", **environment)
    assert (owner.fetched, done.returncode) == ([], 0), done.stderr
    verbs = [line.split()[1] for line in owner.asked if line.startswith("remnants")]
    assert verbs == ["fit"] * 6 + ["propose", "log", "worth", "age"]


def test_a_python_that_is_too_old_is_joined_by_a_new_one(owner: Machine) -> None:
    owner.python(old=True)
    done = owner.run("demo/run.sh")
    assert (owner.fetched, done.returncode) == (["python3", "python3-venv"], 0), done.stderr


def test_no_python_at_all_is_the_same(owner: Machine) -> None:
    for name in ("python", "python3"):
        (owner.bin / name).unlink()
    done = owner.run("demo/run.sh")
    assert (owner.fetched, done.returncode) == (["python3", "python3-venv"], 0), done.stderr


def test_a_guest_is_told_which_python_is_needed(guest: Machine) -> None:
    guest.python(old=True)
    done = guest.run("demo/run.sh")
    assert (guest.fetched, done.returncode) == ([], 1)
    assert "needs Python 3.11 or later and found none" in done.stderr and "PYTHON=" in done.stderr


def test_a_python_that_makes_no_environments_is_helped(owner: Machine) -> None:
    owner.python(no_venv=True)
    done = owner.run("demo/run.sh")
    assert (owner.fetched, done.returncode) == (["python3-venv"], 0), done.stderr


def test_a_guest_is_told_of_a_python_that_makes_no_environments(guest: Machine) -> None:
    guest.python(no_venv=True)
    done = guest.run("demo/run.sh")
    assert (guest.fetched, done.returncode) == ([], 1)
    assert "can't make virtual environments" in done.stderr and "python3-venv" in done.stderr


def test_a_python_that_the_package_does_not_help_is_told_too(owner: Machine) -> None:
    """Debian's package serves Debian's Python; one that was named may stand elsewhere."""
    owner.python(no_venv=True)
    owner.stand_in("apt-get", "")
    done = owner.run("demo/run.sh")
    assert (owner.fetched, done.returncode) == (["python3-venv"], 1)
    assert "can't make virtual environments" in done.stderr


def test_an_environment_that_is_ready_needs_no_python_that_makes_one(guest: Machine) -> None:
    guest.python(no_venv=True, unready=False)
    assert guest.run("demo/run.sh").returncode == 0


def test_a_refusal_of_the_package_manager_is_told_with_what_to_do(owner: Machine) -> None:
    owner.stand_in("apt-get", "exit 100")
    done = owner.run("tests/run.sh")
    assert done.returncode == 1 and "could not install chromium" in done.stderr and "by hand" in done.stderr


def test_the_demo_ends_with_its_pictures_and_what_to_try_next(owner: Machine) -> None:
    out = owner.project / "demo/out/hallway"
    out.mkdir(parents=True)
    (out / "patch-hall.svg").write_text("<svg/>")
    last = owner.run("demo/run.sh").stdout.splitlines()[-4:]
    assert any("demo/out/hallway/patch-hall.svg" in line for line in last)
    assert "remnants serve --demo" in last[-1]


def test_the_first_set_up_tells_how_far_it_is() -> None:
    prepare = runpy.run_path(str(ROOT / ".setup/prepare.py"))
    pins = prepare["pins"](ROOT / ".setup/requirements.txt")
    assert pins > 50
    told = prepare["Progress"](3)
    lines = [
        "Looking in links",
        "Collecting a==1",
        "  Downloading a",
        "Collecting b==2",
        "Collecting c==3",
        "Installing collected",
    ]
    assert [told.after(line) for line in lines] == [
        "",
        "1 of 3 packages",
        "",
        "2 of 3 packages",
        "3 of 3 packages",
        "putting them in place",
    ]
