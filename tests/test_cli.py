"""The command line itself: help, unknown commands, exit codes, and how soon help comes."""

import subprocess
import sys
from pathlib import Path

import pytest

from docs import make_reference
from remnants import cli, errors
from remnants.cli import VERBS, main, order
from remnants.cli.order import TRIES_A_SECOND
from tests.commands import Remnants

HEAVY = {"shapely", "numpy", "pydantic", "rich", "rapidfuzz"}


def test_help_lists_every_command(remnants: Remnants) -> None:
    for words in ((), ("--help",), ("help",)):
        shown = remnants.ok(*words)
        assert all(f"  {verb} " in shown for verb in VERBS)
    assert remnants.ok("--version").startswith("remnants ")


def test_every_command_tells_its_own_help(remnants: Remnants) -> None:
    for verb in VERBS:
        shown = remnants.ok(verb, "--help")
        assert f"usage: remnants {verb}" in shown
        assert "--catalogue FILE" in shown


def test_help_loads_nothing_heavy() -> None:
    seen = f"import sys; from remnants.cli import main; main(['--help']); sys.exit(bool(sys.modules.keys() & {HEAVY}))"
    assert subprocess.run([sys.executable, "-c", seen], stdout=subprocess.DEVNULL, check=False).returncode == 0


def test_an_unknown_command_is_refused_with_the_nearest(remnants: Remnants) -> None:
    assert remnants.refused("shw", code=2) == "remnants: there is no command 'shw'; is `remnants show` meant?\n"
    assert "--no-such" in remnants.refused("show", "x", "--no-such", code=2)


def test_a_bad_option_is_refused_in_one_line(remnants: Remnants) -> None:
    told = remnants.refused("find", "x", "--unit", "furlong", code=2)
    assert told == "remnants: --unit: 'furlong' is none of mm, cm, m, in, ft; `remnants find --help` tells every option\n"


@pytest.mark.parametrize(
    "kind", [kind for kind in vars(errors).values() if isinstance(kind, type) and issubclass(kind, errors.RemnantsError)]
)
def test_every_refusal_has_an_exit_code_and_no_traceback(
    kind: type[errors.RemnantsError], remnants: Remnants, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_: list[str]) -> int:
        raise kind("so it is", "so it is", ("J-0001",), "so it is") if kind is errors.SameName else kind("so it is")

    monkeypatch.setattr(cli, "_run", refuse)
    expected = 2 if issubclass(kind, errors.BadInput | errors.CatalogueUnusable) else 70 if kind is errors.Unproved else 1
    assert remnants.refused("show", code=expected).endswith("so it is\n")


def test_stopping_by_hand_is_quiet(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(_: list[str]) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr(cli, "_run", stop)
    assert "nothing half done" in remnants.refused("show", code=130)


def test_a_reader_that_goes_away_is_no_failure(remnants: Remnants) -> None:
    remnants.log()
    command = "import sys; from remnants.cli import main; sys.exit(main())"
    script = f"'{sys.executable}' -c '{command}' find velder | true; exit $PIPESTATUS"
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


def test_the_catalogue_and_unit_may_be_set_once_for_all(
    remnants: Remnants, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("REMNANTS_UNIT", "cm")
    remnants.log("--width", "100", "--length", "200")
    assert "100.0 cm × 200.0 cm" in remnants.ok("show", "R-0001")
    monkeypatch.setenv("REMNANTS_UNIT", "ell")
    assert "REMNANTS_UNIT is 'ell'" in remnants.refused("show", "R-0001", code=2)
    monkeypatch.delenv("REMNANTS_UNIT")
    monkeypatch.delenv("REMNANTS_CATALOGUE")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    remnants.log()
    assert (tmp_path / "data" / "remnants" / "stock.db").is_file()


def test_a_catalogue_that_cannot_be_used_is_told_in_one_line(remnants: Remnants) -> None:
    remnants.file("stock.db", "no catalogue at all " * 50)
    told = remnants.refused("find", "x", code=2)
    assert told.count("\n") == 1
    assert "nor any database" in told


def test_the_page_of_commands_is_current(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(order, "TRIES_A_SECOND", TRIES_A_SECOND)  # as in a shop: a run of tests looks less far
    folder = Path(make_reference.__file__).parent / "reference"
    for name, text in (("commands.md", make_reference.commands_page()), ("limits.md", make_reference.limits_page())):
        assert (folder / name).read_text(encoding="utf-8") == text, "run python docs/make_reference.py"


def test_main_reads_the_words_of_the_process(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "argv", ["remnants", "--version"])
    assert main() == 0
    assert capsys.readouterr().out.startswith("remnants ")


def test_the_program_runs_as_a_module() -> None:
    done = subprocess.run([sys.executable, "-m", "remnants", "--help"], capture_output=True, text=True, check=False)
    assert done.returncode == 0 and "fit" in done.stdout
