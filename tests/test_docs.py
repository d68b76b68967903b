"""Every command that the pages named here show runs as printed, in a folder of its own with the demo beside it."""

import re
import shlex
import shutil
from pathlib import Path

import pytest

from remnants.cli import main

ROOT = Path(__file__).parent.parent
PAGES = ["README.md", "docs/tutorial.md", "docs/how-to/many-patches.md"]


def commands(page: str) -> list[str]:
    """The `remnants` commands of a page's code blocks, in order."""
    text = (ROOT / page).read_text(encoding="utf-8")
    return re.findall(r"^ {4,}(remnants [^#\n]+?)\s*$", text, flags=re.MULTILINE)


@pytest.mark.parametrize("page", PAGES)
def test_commands_run_as_printed(page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(ROOT / "demo", tmp_path / "demo", ignore=shutil.ignore_patterns("out"))
    monkeypatch.chdir(tmp_path)
    found = commands(page)
    assert len(found) >= 3
    for command in found:
        assert main(shlex.split(command)[1:]) == 0, command


def test_every_link_between_pages_leads_somewhere() -> None:
    for page in [ROOT / "README.md", *(ROOT / "docs").rglob("*.md")]:
        for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
            assert (page.parent / target).exists(), f"{page}: {target}"
