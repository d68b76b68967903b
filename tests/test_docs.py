"""Every command that a page's code blocks show runs as printed, in a folder of its own with the demo beside it."""

import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from pydantic.json_schema import models_json_schema

from remnants.cli import main
from remnants.exchange.room_entries import RoomsFile
from remnants.exchange.schema import file_schemas
from tests.matching.test_photo import a_photo

ROOT = Path(__file__).parent.parent
PAGES = [
    page.relative_to(ROOT)
    for page in (ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md")))
    if page != ROOT / "docs" / "reference" / "commands.md"  # made from the help texts, and checked against them
]
STOCKED = {"look-back.md", "print-a-job.md", "read-the-answer.md", "use-a-photograph.md"}
"""Pages that begin with a stock and a job at hand; the others begin with an empty catalogue."""
ON_A_SERVER = {"use-a-server.md"}
"""Pages whose catalogue is on a database server: on the tests' own."""
SERVED = {"encrypt.md"}
"""Pages whose command serves until it is stopped: `tests/web/browser/test_encrypted.py` follows this one."""
STEP = re.compile(
    r"^Save [^\n]*`(?P<name>[^`]+)`:\n\n```json\n(?P<content>.*?)^```$"
    r"|^ {4,}(?P<command>remnants [^#\n]+?)\s*$"
    r"|^```text\n(?P<shown>.*?)^```$",
    flags=re.MULTILINE | re.DOTALL,
)
"""What a page has its reader do: save a file, run a command, compare what the command shows (`…` stands for lines left out)."""


def commands(page: Path) -> list[str]:
    """The `remnants` commands of a page's code blocks, in order."""
    return [step["command"] for step in steps(page) if step["command"]]


def steps(page: Path) -> list[re.Match[str]]:
    return list(STEP.finditer((ROOT / page).read_text(encoding="utf-8")))


@pytest.mark.parametrize("page", [page for page in PAGES if commands(page) and page.name not in SERVED], ids=str)
def test_commands_run_and_answer_as_printed(
    page: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    request: pytest.FixtureRequest,
) -> None:
    shutil.copytree(ROOT / "demo", tmp_path / "demo", ignore=shutil.ignore_patterns("out"))
    shutil.copy(ROOT / "demo" / "hallway.json", tmp_path / "job.json")
    (tmp_path / "hall.jpg").write_bytes(a_photo())
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("REMNANTS_CATALOGUE", request.getfixturevalue("server_address") if page.name in ON_A_SERVER else "shop.db")
    if page.name in STOCKED:
        assert main(["log", "demo/stock.json"]) == 0
    out = ""
    for step in steps(page):
        if step["name"]:
            Path(step["name"]).write_text(step["content"], encoding="utf-8")
        elif step["command"]:
            out = run(step["command"], capsys)
        else:
            assert_shown(step["shown"], out)


def run(command: str, capsys: pytest.CaptureFixture[str]) -> str:
    """Runs a command as printed, `> FILE` too, and gives what it showed."""
    line, _, kept_in = command.partition(" > ")
    capsys.readouterr()
    code = main(shlex.split(line)[1:])
    told = capsys.readouterr()
    assert code == 0, f"{command}\n{told.err}"
    if kept_in:
        Path(kept_in).write_text(told.out, encoding="utf-8")
    return told.out


def assert_shown(shown: str, out: str) -> None:
    """Each line that a page shows stands in the command's output, in that order, next to each other unless `…` is between."""
    at, told, gap = 0, [line.rstrip() for line in out.splitlines()], True
    for line in shown.splitlines():
        if line.strip() == "…":
            gap = True
            continue
        found = next((place for place in range(at, len(told)) if is_shown(line.rstrip(), told[place])), None)
        assert found is not None and (gap or found == at), f"the page shows {line!r}; the command says\n{out}"
        at, gap = found + 1, False


def is_shown(line: str, told: str) -> bool:
    """Whether a page's line is the one told; `…` at its end stands for the rest of a line."""
    return told.startswith(line.removesuffix("…")) if line.endswith("…") else told == line


def test_the_pages_that_tell_how_show_commands() -> None:
    shown = {page.name for page in PAGES if commands(page)}
    assert {"README.md", "tutorial.md", *(page.name for page in (ROOT / "docs" / "how-to").glob("*.md"))} <= shown


def test_the_scripts_that_the_readme_shows_are_there() -> None:
    scripts = re.findall(r"^ {4}sh (\S+)", (ROOT / "README.md").read_text(encoding="utf-8"), flags=re.MULTILINE)
    assert scripts == ["demo/run.sh", "tests/run.sh"]
    assert all((ROOT / script).is_file() for script in scripts)


def test_the_readme_tells_how_many_patches_the_demo_answers() -> None:
    """`for job in whole hallway …` in the script, and `--way 2` once: one is answered in two ways."""
    script, readme = ((ROOT / name).read_text(encoding="utf-8") for name in ("demo/run.sh", "README.md"))
    (jobs,) = re.findall(r"^for job in (.+); do$", script, flags=re.MULTILINE)
    assert len(jobs.split()) == 4 and "four patches answered, one in two ways" in readme and "four patches" in script
    assert len(re.findall(r"^remnants fit .* --way 2$", script, flags=re.MULTILINE)) == 1


@pytest.mark.skipif(Path(sys.prefix) != ROOT / ".venv", reason="would set up an environment first; `sh tests/run.sh` has it")
def test_the_demo_runs_and_says_where_its_pictures_lie() -> None:
    done = subprocess.run(["sh", "demo/run.sh"], cwd=ROOT, capture_output=True, text=True, check=True)
    for told in (
        "YES, in one piece",
        "YES, joined from parts",
        "bedroom: NO",
        "Shave the patch 2 in",
        "Outline 1 (recommended)",
        "cost not told",
        "demo/out/hallway/patch-hall.svg",
        "remnants serve --demo",
    ):
        assert told in done.stdout
    assert all(list((ROOT / "demo" / "out" / job).glob("*.svg")) for job in ("whole", "hallway", "cannot", "burn"))


@pytest.mark.parametrize(("name", "entry"), sorted(file_schemas().items()))
def test_the_page_of_files_names_every_key(name: str, entry: dict[str, object]) -> None:
    """Also the added ones, so that none is left for a reader to guess."""
    told = set(re.findall(r"`([a-z_]+)`", (ROOT / "docs" / "reference" / "files.md").read_text(encoding="utf-8")))
    keys = entry.get("properties", {})
    assert isinstance(keys, dict)
    assert keys.keys() <= told, name


def test_the_page_of_orders_names_every_key_of_a_rooms_file() -> None:
    """What stands in a job file too is told on the page of files, to which it sends its reader."""
    pages = [ROOT / "docs" / page for page in ("how-to/order.md", "reference/files.md")]
    told = set(re.findall(r"`([a-z_]+)`|\b(tread|riser)\b", "".join(page.read_text(encoding="utf-8") for page in pages)))
    words = {word for pair in told for word in pair}
    _, schemas = models_json_schema([(RoomsFile, "validation")])
    keys = {key for entry in schemas["$defs"].values() for key in entry.get("properties", {})}
    assert {"order", "rooms", "most_runs", "feet_turn"} <= keys <= words


def test_every_test_module_and_file_that_a_page_names_is_there() -> None:
    """A claim carries the name of the test that holds it: one that was renamed would hold nothing."""
    tests = [path.read_text(encoding="utf-8") for path in (ROOT / "tests").rglob("*.py")]
    there = {path.stem for path in (ROOT / "tests").rglob("*.py")} | set(re.findall(r"def (test_\w+)", "\n".join(tests)))
    for page in [ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").rglob("*.md")]:
        text = page.read_text(encoding="utf-8").replace("tests/test_cli_VERB.py", "")
        assert set(re.findall(r"\btest_\w+", text)) <= there, page
        for run in re.findall(r"python -m ([\w.]+)", text):
            assert list(ROOT.glob(f"{run.replace('.', '/')}*")), f"{page}: {run}"
        for named in re.findall(r"`([\w]+/[\w/]+\.(?:py|csv|sh|json))`", text):
            assert any((ROOT / start / named).exists() for start in ("", "remnants")), f"{page}: {named}"


def test_every_link_between_pages_leads_somewhere() -> None:
    for page in [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")]:
        for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
            assert (page.parent / target).exists(), f"{page}: {target}"
