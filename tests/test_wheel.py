"""What is published works where nothing but it and what it declares is installed.

The wheel is built and put in a folder of its own, outside the checkout. To install each extra anew would take a network; instead
every package that the plain program and the extra under test do not declare, by themselves or through what they bring, is hidden
from the program: it is told that there is no such module, as in an environment that holds nothing else.
"""

import json
import re
import sqlite3
import subprocess
import sys
import urllib.request
import zipfile
from collections.abc import Iterator, Mapping
from functools import cache
from importlib import metadata
from pathlib import Path

import ezdxf
import openpyxl
import pytest
from packaging.requirements import Requirement

from tests.ports import free_port
from tests.thorough import some

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "demo"

ONLY_WITH = """
import sys
from importlib.machinery import BuiltinImporter, FrozenImporter, PathFinder

class Declared(PathFinder):
    @classmethod
    def find_spec(cls, name, path=None, target=None):
        return None if name.partition(".")[0] in HIDDEN else super().find_spec(name, path, target)

HIDDEN = set(sys.argv.pop(1).split(","))
sys.path.insert(0, sys.argv.pop(1))
sys.meta_path[:] = [BuiltinImporter, FrozenImporter, Declared]
from remnants.cli import main
"""
ONE = f"{ONLY_WITH}raise SystemExit(main())"
SEVERAL = f"""{ONLY_WITH}
import json
for words in json.loads(sys.argv[1]):
    try:
        code = main(words)
    except SystemExit as ended:
        code = ended.code
    if code:
        raise SystemExit(code)
    print(chr(30))
"""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, made from a copy of what is in the checkout, so that nothing is left behind there."""
    copy = tmp_path_factory.mktemp("source")
    names = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard", "remnants", "web", "pyproject.toml", "README.md", "LICENSE"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    ).stdout.splitlines()
    for name in names:
        if (ROOT / name).is_file():
            (copy / name).parent.mkdir(parents=True, exist_ok=True)
            (copy / name).write_bytes((ROOT / name).read_bytes())
    out = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "wheel", "--quiet", "--no-deps", "--no-build-isolation"]
    subprocess.run([*pip, "--wheel-dir", str(out), str(copy)], check=True, capture_output=True)
    (made,) = out.glob("*.whl")
    return made


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that the wheel is installed in: its files, unpacked, as the format says (PEP 427)."""
    folder = tmp_path_factory.mktemp("installed")
    with zipfile.ZipFile(wheel) as held:
        held.extractall(folder)
    return folder


def declared(folder: Path, extra: str) -> set[str]:
    """The distributions that the plain program and this extra bring, and what those bring in turn."""
    (ours,) = (one for one in metadata.distributions(path=[str(folder)]) if one.name == "remnants")
    wanted = [(Requirement(line), extra) for line in ours.requires or ()]
    found: set[str] = set()
    while wanted:
        one, with_extra = wanted.pop()
        name = plain(one.name)
        if (one.marker and not one.marker.evaluate({"extra": with_extra})) or name in found:
            continue
        found.add(name)
        try:
            lines = metadata.requires(name) or ()
        except metadata.PackageNotFoundError:  # not for this system
            continue
        wanted += [(Requirement(line), "") for line in lines]
        wanted += [(Requirement(line), more) for more in one.extras for line in lines]
    return found


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


@cache
def hidden_from(folder: Path, extra: str) -> str:
    """The modules that it does not declare, with commas between."""
    brought = declared(folder, extra)
    hidden = {root for root, givers in givers_of_modules().items() if not brought & {plain(name) for name in givers}}
    assert "pytest" in hidden and "shapely" not in hidden
    return ",".join(sorted(hidden - {"remnants", "remnants_web"}))


@cache
def givers_of_modules() -> Mapping[str, list[str]]:
    return metadata.packages_distributions()


def command(folder: Path, extra: str, *words: str | Path) -> list[str]:
    """A command line that runs the installed program with nothing beside it but what it declares."""
    return [sys.executable, "-I", "-u", "-c", ONE, hidden_from(folder, extra), str(folder), *map(str, words)]


def run(folder: Path, extra: str, *words: str | Path, code: int = 0) -> str:
    done = subprocess.run(command(folder, extra, *words), capture_output=True, text=True, cwd=folder, check=False)
    assert done.returncode == code, done.stderr
    return done.stdout if code == 0 else done.stderr


def run_several(folder: Path, extra: str, *commands: tuple[str | Path, ...]) -> list[str]:
    """What commands answer that one process is given in turn: to start one takes longer than most of them."""
    line = command(folder, extra, json.dumps(commands, default=str))
    line[line.index(ONE)] = SEVERAL
    done = subprocess.run(line, capture_output=True, text=True, cwd=folder, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout.split(chr(30))[:-1]


def test_it_claims_its_own_names_alone_and_carries_licence_and_types(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    assert {name.partition("/")[0] for name in names if ".dist-info" not in name} == {"remnants", "remnants_web"}
    assert {"remnants/py.typed", "remnants_web/py.typed", "remnants_web/static/shop.css"} <= set(names)
    assert any(name.endswith("licenses/LICENSE") for name in names)


def test_its_page_in_an_index_tells_what_it_is(installed: Path) -> None:
    (told,) = (one.metadata for one in metadata.distributions(path=[str(installed)]) if one.name == "remnants")
    assert told["License-Expression"] == "Apache-2.0"
    assert told["Summary"] and told["Keywords"] and told.get_all("Classifier")
    assert "A carpet repairer kneels" in str(told.json["description"])


@pytest.mark.parametrize("extra", ["", *some(["web", "drawings", "spreadsheets", "cluster"], of=4)])
def test_every_extra_alone_does_the_main_job(installed: Path, extra: str, tmp_path: Path) -> None:
    room = {
        "unit": "ft",
        "roll_width": 12,
        "style": "velder loop",
        "rooms": [{"name": "hall", "width": 6, "length": 9, "pile": 0}],
    }
    (tmp_path / "rooms.json").write_text(json.dumps(room), encoding="utf-8")
    shop = ("--catalogue", tmp_path / "shop.db")
    usage, _, found, answer, _, ordered = run_several(
        installed,
        extra,
        ("--help",),
        ("log", DEMO / "stock.json", *shop),
        ("find", "velder oatmeal", *shop),
        ("fit", DEMO / "hallway.json", "--json", *shop),
        ("sheet", DEMO / "hallway.json", "--output", tmp_path / "sheet.pdf", *shop),
        ("order", tmp_path / "rooms.json", "--tries", "1", *shop),
    )
    assert "usage: remnants" in usage
    assert "R-0142" in found
    assert json.loads(answer)["verdict"] == "joined"
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")
    assert "to order" in ordered


def test_drawings_are_read_with_their_extra_alone_and_the_command_that_brings_it_is_told(installed: Path, tmp_path: Path) -> None:
    drawing = ezdxf.new(units=4)  # type: ignore[attr-defined]  # typed, but not among what ezdxf says it exports
    drawing.modelspace().add_lwpolyline([(0, 0), (3000, 0), (3000, 2000), (0, 2000)], close=True)
    drawing.saveas(tmp_path / "rooms.dxf")
    order = ("order", tmp_path / "rooms.dxf", "--roll-width", "4 m", "--no-stock", "--tries", "1")
    told = run(installed, "", *order, code=2)
    assert told.count("\n") == 1 and "`pip install 'remnants[drawings]'` brings it" in told
    assert "to order" in run(installed, "drawings", *order)


def test_workbooks_are_read_with_their_extra_alone_and_the_command_that_brings_it_is_told(
    installed: Path, tmp_path: Path
) -> None:
    book = openpyxl.Workbook()
    for row in (("Tag", "Style", "Width", "Length"), ("A-1", "Velder Loop", 40, 60)):
        book.active.append(row)
    book.save(tmp_path / "racks.xlsx")
    log = ("log", tmp_path / "racks.xlsx", "--catalogue", tmp_path / "shop.db")
    told = run(installed, "", *log, code=2)
    assert told.count("\n") == 1 and "`pip install 'remnants[spreadsheets]'` brings it" in told
    assert run(installed, "spreadsheets", *log) == "logged 1 piece: A-1\n"


def test_pages_that_are_not_installed_are_told_with_the_command_that_brings_them(installed: Path) -> None:
    told = run(installed, "", "serve", "--demo", code=2)
    assert told == "remnants: the pages are not installed; `pip install 'remnants[web]'` brings them\n"


def test_a_cluster_that_is_not_installed_is_told_with_the_command_that_brings_it(installed: Path) -> None:
    jobs = (DEMO / "whole.json", DEMO / "cannot.json")
    told = run(installed, "", "fit", *jobs, "--stock", DEMO / "stock.json", "--cluster", "tcp://127.0.0.1:1", code=2)
    assert told.count("\n") == 1
    assert "`pip install 'remnants[cluster]'` brings it" in told


@pytest.fixture
def served(installed: Path) -> Iterator[str]:
    port = free_port()
    with subprocess.Popen(
        command(installed, "web", "serve", "--demo", "--port", str(port)), stdout=subprocess.PIPE, text=True, cwd=installed
    ) as server:
        assert server.stdout is not None
        assert str(port) in server.stdout.readline() + server.stdout.readline()
        yield f"http://127.0.0.1:{port}"
        server.terminate()
        server.wait(60)


def test_the_pages_come_up_with_their_style_sheet(served: str) -> None:
    with urllib.request.urlopen(f"{served}/sign-in", timeout=60) as page:
        sheet = re.search(r'href="(/static/shop[^"]*\.css[^"]*)"', page.read().decode())
    assert sheet
    with urllib.request.urlopen(served + sheet[1], timeout=60) as style:
        assert style.headers["Content-Type"].startswith("text/css") and len(style.read()) > 1000


@pytest.mark.parametrize("step", ["step-1", "step-4"])
def test_an_upgrade_keeps_an_older_catalogue(installed: Path, step: str, tmp_path: Path) -> None:
    shop = tmp_path / "shop.db"
    with sqlite3.connect(shop) as connection:
        connection.executescript((ROOT / "tests" / "store" / "old" / f"{step}.sql").read_text(encoding="utf-8"))
    connection.close()
    assert "4471-B" in run(installed, "", "show", "R-0001", "--catalogue", shop)
    assert "closet" in run(installed, "", "show", "L-0001", "--catalogue", shop)
    run(installed, "", "verify", "--catalogue", shop)
