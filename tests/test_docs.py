"""Every command that a page's code blocks show runs as printed, in a folder of its own with the demo beside it."""

import re
import shlex
import shutil
from pathlib import Path

import pytest

from remnants.cli import main

ROOT = Path(__file__).parent.parent
PAGES = [
    page.relative_to(ROOT)
    for page in (ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md")))
    if page != ROOT / "docs" / "reference" / "commands.md"  # made from the help texts, and checked against them
]
STOCKED = {"print-a-job.md"}
"""Pages that begin with a stock and a job at hand; the others begin with an empty catalogue."""


def commands(page: Path) -> list[str]:
    """The `remnants` commands of a page's code blocks, in order."""
    return re.findall(r"^ {4,}(remnants [^#\n]+?)\s*$", (ROOT / page).read_text(encoding="utf-8"), flags=re.MULTILINE)


@pytest.mark.parametrize("page", [page for page in PAGES if commands(page)], ids=str)
def test_commands_run_as_printed(
    page: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(ROOT / "demo", tmp_path / "demo", ignore=shutil.ignore_patterns("out"))
    shutil.copy(ROOT / "demo" / "hallway.json", tmp_path / "job.json")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("REMNANTS_CATALOGUE", "shop.db")
    if page.name in STOCKED:
        assert main(["log", "demo/stock.json"]) == 0
    for command in commands(page):
        line, _, kept_in = command.partition(" > ")
        capsys.readouterr()
        assert main(shlex.split(line)[1:]) == 0, f"{command}\n{capsys.readouterr().err}"
        if kept_in:
            Path(kept_in).write_text(capsys.readouterr().out, encoding="utf-8")


def test_the_pages_that_tell_how_show_commands() -> None:
    shown = {page.name for page in PAGES if commands(page)}
    assert {"README.md", "tutorial.md", *(page.name for page in (ROOT / "docs" / "how-to").glob("*.md"))} <= shown


def test_the_scripts_that_the_readme_shows_are_there() -> None:
    scripts = re.findall(r"^ {4}sh (\S+)", (ROOT / "README.md").read_text(encoding="utf-8"), flags=re.MULTILINE)
    assert scripts == ["demo/run.sh", "tests/run.sh"]
    assert all((ROOT / script).is_file() for script in scripts)


def test_every_link_between_pages_leads_somewhere() -> None:
    for page in [ROOT / "README.md", *(ROOT / "docs").rglob("*.md")]:
        for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
            assert (page.parent / target).exists(), f"{page}: {target}"
