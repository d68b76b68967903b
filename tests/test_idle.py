"""What stands in the program is asked by the program: what tests alone ask has to say why."""

import ast
import re
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

ASKED_BY_TESTS = {
    "order_from_roll": "an order of one carpet, without its choices: what the laws of orders are asked of",
    "photos_of": "a piece's photographs with those taken away, which no page shows",
    "every_history": "the whole ledger, for what must hold of all of it",
    "every_standing": "the whole stock, for what must hold of all of it",
    "RoomsFile": "a rooms file as a whole, whose every key its page must name",
}


def names(tree: ast.Module) -> list[str]:
    """What a module defines at its top and no decorator hands on: functions, classes, named values."""
    found: list[str] = []
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.decorator_list:
            found.append(node.name)
        elif isinstance(node, ast.Assign):
            found += [target.id for target in node.targets if isinstance(target, ast.Name)]
    return [name for name in found if not name.startswith("__")]


def idle(sources: dict[str, str], beside: str = "") -> set[str]:
    """The names that stand nowhere but where they are defined, and in lists of what a module offers."""
    told = [re.sub(r"^__all__ = \[[^\]]*\]", "", source, flags=re.MULTILINE) for source in sources.values()]
    uses = Counter(re.findall(r"\w+", "\n".join([*told, beside])))
    defined = Counter(name for source in sources.values() for name in names(ast.parse(source)))
    return {name for name, count in defined.items() if uses[name] <= count}


def test_what_nobody_asks_is_found() -> None:
    sources = {
        "one": "__all__ = ['a', 'b']\nSIZE = 3\nLEFT = 4\ndef a(): return SIZE\ndef b(): return 1\n",
        "two": "from one import a",
    }
    assert idle(sources) == {"LEFT", "b"}
    assert idle(sources, "{{ b }} LEFT") == set()


def test_the_program_asks_all_that_it_has() -> None:
    files = [*(ROOT / "remnants").rglob("*.py"), *(ROOT / "web").rglob("*.py"), *(ROOT / "docs").glob("*.py")]
    beside = "\n".join(page.read_text(encoding="utf-8") for page in (ROOT / "web").rglob("templates/*.html"))
    beside += (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    found = idle({str(file): file.read_text(encoding="utf-8") for file in files}, beside)
    assert found == ASKED_BY_TESTS.keys(), "not asked: take it away, or tell why it stands"
