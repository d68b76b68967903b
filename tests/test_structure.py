"""The house and its rules, read from the source: who may import whom, where things stand, what every module must carry.

DEVELOPERS.md tells the same in words. A package that is new must be given its place in TIERS, and its line there.
"""

import ast
import re
import sys
import tomllib
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, wraps
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

from remnants.store.migrations import MIGRATIONS
from remnants.store.server.tables import BEGUN_AT

ROOT = Path(__file__).resolve().parent.parent

TIERS = (
    {"limits", "marks", "kept_whole", "days"},
    {"errors", "units", "number_words", "late", "cells", "private", "question"},
    {"geometry", "desk"},
    {"rules"},
    {"model"},
    {"packing", "proof"},
    {"sights", "belonging"},
    {"matching"},
    {"fitting", "estimating", "materials", "ledger", "photo"},
    {"exchange", "report", "store"},
    {"actions"},
    {"cli", "web"},
    {"__main__"},
)
"""A package imports only from tiers before its own."""

INSIDE = (
    (
        "remnants.fitting.patch",
        "remnants.fitting.sharing",
        "remnants.fitting.telling",
        "remnants.fitting.solve",
        "remnants.fitting.bargains",
        "remnants.fitting.outline",
    ),
    ("remnants.estimating.rooms", "remnants.estimating.roll", "remnants.estimating.stock", "remnants.estimating.order"),
)
"""Inside a large package, too, each part imports only from those before its own."""

PEERS = {("units", "errors"), ("units", "number_words"), ("cli", "web")}
"""(importer, imported) within one tier, where that is allowed: `serve` is the one door to the pages, opened only when asked."""

WEB_MAY_IMPORT = {
    "actions",
    "desk",
    "exchange",
    "report",
    "model",
    "rules",
    "units",
    "cells",
    "errors",
    "limits",
    "marks",
    "question",
    "kept_whole",
    "days",
}
PROOF_MAY_IMPORT = {"model", "units", "errors"}

ONLY_IN = {
    "shapely": {"geometry"},
    "pyclipper": {"geometry"},
    "sqlite3": {"store"},
    "psycopg": {"store"},
    "psycopg_pool": {"store"},
    "rapidfuzz": {"matching"},
    "pydantic": {"exchange"},
    "flask": {"web"},
    "distributed": {"actions"},
    "cv2": {"photo"},
    "pi_heif": {"matching"},
}
"""Third-party and standard modules that are kept behind one door."""

RECTPACK_ADAPTER = "rectpack_bins"
EXACT_SOLVER = "remnants.packing.exact_solver"

PURE = {
    "limits",
    "days",
    "marks",
    "units",
    "number_words",
    "cells",
    "geometry",
    "rules",
    "model",
    "packing",
    "proof",
    "belonging",
    "matching",
    "fitting",
    "estimating",
} | {
    "sights",
    "materials",
    "ledger",
    "photo",
    "report",
}
IMPURE = {
    "os",
    "sys",
    "pathlib",
    "shutil",
    "subprocess",
    "tempfile",
    "socket",
    "threading",
    "multiprocessing",
    "urllib",
    "http",
    "logging",
}
"""What the pure core does without: it reads no file, environment or network."""

BESIDE = {("remnants.packing.exact_solver", "threading")}
"""The exact solver runs beside a look at the watch, so that a request to stop is heard while it works."""

MOST_MODULE_LINES = 350
MOST_FUNCTION_LINES = 60

TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "CHANGELOG.md",
    "pyproject.toml",
    "remnants",
    "web",
    "tests",
    "demo",
    "docs",
}
MADE_BY_TOOLS = re.compile(r"\..*|.*\.egg-info|build|__pycache__|.*\.db(-wal|-shm)?")


@dataclass(frozen=True)
class Module:
    """A source file of the project: `remnants.geometry.turn`."""

    path: Path

    @cached_property
    def name(self) -> str:
        root = ROOT / "web" if self.path.is_relative_to(ROOT / "web") else ROOT
        parts = self.path.relative_to(root).with_suffix("").parts
        return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)

    @cached_property
    def text(self) -> str:
        return self.path.read_text(encoding="utf-8")

    @cached_property
    def tree(self) -> ast.Module:
        return ast.parse(self.text)

    @property
    def area(self) -> str:
        """The part of the house that it belongs to: `geometry`, `units`, `web`; empty for the root package."""
        return area_of(self.name)

    @cached_property
    def imports(self) -> frozenset[str]:
        """Every module named in an import, anywhere in the file, also as a text; relative ones start with a dot."""
        return imports_of(self.tree, self.name)


def area_of(name: str) -> str:
    first, _, rest = name.partition(".")
    return {"remnants": rest.partition(".")[0], "remnants_web": "web"}.get(first, first)


def is_ours(name: str) -> bool:
    return name.partition(".")[0] in {"remnants", "remnants_web"}


def imports_of(tree: ast.Module, own_name: str) -> frozenset[str]:
    """The modules that a source imports; one that a text names in a way that can't be read here is `?`."""
    loading = loaders(tree)
    texts = {
        target.id: node.value
        for node in tree.body
        if isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant | ast.JoinedStr)
        for target in node.targets
        if isinstance(target, ast.Name)
    }
    return frozenset(name for node in ast.walk(tree) for name in imported(node, loading, texts, own_name))


LOADERS = frozenset({"Late", "import_module", "__import__"})
"""What loads the module that a text names, whatever it is called where it is used."""


def loaders(tree: ast.Module) -> frozenset[str]:
    """Every name that a loader has in a source."""
    known = set(LOADERS)
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom):
            known |= {alias.asname for alias in node.names if alias.asname and alias.name in LOADERS}
    while True:
        more = {
            name.id
            for node in ast.walk(tree)
            if isinstance(node, ast.Assign | ast.AnnAssign | ast.NamedExpr) and node.value and is_loader(node.value, known)
            for target in (node.targets if isinstance(node, ast.Assign) else [node.target])
            for name in ast.walk(target)
            if isinstance(name, ast.Name)
        }
        if more <= known:
            return frozenset(known)
        known |= more


def is_loader(node: ast.AST, known: Collection[str]) -> bool:
    return (isinstance(node, ast.Name) and node.id in known) or (isinstance(node, ast.Attribute) and node.attr in LOADERS)


def imported(node: ast.AST, loading: Collection[str], texts: Mapping[str, ast.expr], own_name: str) -> Iterator[str]:
    match node:
        case ast.Import(names=names):
            yield from (alias.name for alias in names)
        case ast.ImportFrom(module=module, names=names, level=level):
            base = "." * level + (module or "")
            yield base
            yield from (f"{base}.{alias.name}" for alias in names if f"{base}.{alias.name}" in NAMES)
        case ast.Call(func=called, args=args, keywords=keywords):
            given = [*args, *(keyword.value for keyword in keywords)]
            if is_loader(called, loading) or any(is_loader(each, loading) for each in given):
                named = [each for each in given if not is_loader(each, loading)]
                yield from (name for each in named for name in named_by(each, texts, own_name))


def named_by(node: ast.expr, texts: Mapping[str, ast.expr], own_name: str) -> Iterator[str]:
    """The modules that a text names: every one of ours that it may be, where a part of it is told elsewhere."""
    match node:
        case ast.Constant(value=str(name)):
            yield name
        case ast.Name(id=name) if name in texts:
            yield from named_by(texts[name], {}, own_name)
        case ast.Tuple(elts=each) | ast.List(elts=each) | ast.Set(elts=each):
            yield from (name for element in each for name in named_by(element, texts, own_name))
        case ast.JoinedStr(values=parts):
            pattern = "".join(
                re.escape(part.value)
                if isinstance(part, ast.Constant) and isinstance(part.value, str)
                else re.escape(own_name)
                if ast.unparse(part).strip("f'\"") == "{__name__}"
                else ".+"
                for part in parts
            )
            found = [name for name in NAMES if re.fullmatch(pattern, name)]
            yield from found or ["?"]
        case _:
            yield "?"


def source_files(*folders: str) -> list[Path]:
    return sorted(path for folder in folders for path in (ROOT / folder).rglob("*.py"))


MODULES = [Module(path) for path in source_files("remnants", "web")]
NAMES = {module.name for module in MODULES}


def tier_of(area: str) -> int:
    for index, tier in enumerate(TIERS):
        if area in tier:
            return index
    pytest.fail(f"{area!r} has no place in TIERS: decide what it may import, and say so in DEVELOPERS.md")


def each_module(rule: Callable[[Module], None]) -> Callable[[], None]:
    """A test that asks the rule of every module, and tells all that break it: a test for each would be half of all tests."""

    @wraps(rule, assigned=("__module__", "__name__", "__qualname__", "__doc__"))
    def asked_of_each() -> None:
        broken = []
        for module in MODULES:
            try:
                rule(module)
            except AssertionError as told:
                broken.append(f"{module.name}: {told}")
        assert not broken, "\n".join(broken)

    del asked_of_each.__wrapped__
    return asked_of_each


@each_module
def test_imports_run_one_way(module: Module) -> None:
    if not module.area:
        assert not [name for name in module.imports if is_ours(name)], "the root package imports nothing of its own"
        return
    wrong = [
        name
        for name in module.imports
        if is_ours(name) and (area := area_of(name)) and area != module.area
        if tier_of(area) >= tier_of(module.area) and (module.area, area) not in PEERS
    ]
    assert not wrong, f"{module.name} may not import {wrong}: {module.area} stands no higher than they do"


@pytest.mark.parametrize("parts", INSIDE, ids=lambda parts: parts[0].split(".")[1])
def test_the_parts_of_a_large_package_import_one_way(parts: tuple[str, ...]) -> None:
    within = {part: [module for module in MODULES if f"{module.name}.".startswith(f"{part}.")] for part in parts}
    assert all(within.values()), "a part that is named here has no module"
    wrong = [
        f"{module.name} imports {name}"
        for place, part in enumerate(parts)
        for module in within[part]
        for name in module.imports
        if any(f"{name}.".startswith(f"{later}.") for later in parts[place + 1 :])
    ]
    assert not wrong, wrong


@each_module
def test_each_door_is_the_only_one(module: Module) -> None:
    roots = {name.partition(".")[0] for name in module.imports}
    wrong = {root for root in roots & ONLY_IN.keys() if module.area not in ONLY_IN[root]}
    assert not wrong, f"{module.name} imports {wrong}, which only {[ONLY_IN[root] for root in wrong]} may"
    if "rectpack" in roots:
        assert module.path.stem == RECTPACK_ADAPTER, f"rectpack is used through {RECTPACK_ADAPTER} alone"
    if "ortools" in roots:
        assert module.name == EXACT_SOLVER, f"OR-Tools is used through {EXACT_SOLVER} alone, which loads it when it is first used"


@each_module
def test_the_pure_core_touches_nothing_outside(module: Module) -> None:
    if module.area in PURE:
        wrong = {name for name in module.imports if name.partition(".")[0] in IMPURE and (module.name, name) not in BESIDE}
        assert not wrong, f"{module.name} belongs to the pure core and may not import {wrong}: take what it gives as an argument"


@each_module
def test_imports_are_absolute_and_stand_at_the_top(module: Module) -> None:
    assert not [name for name in module.imports if name.startswith(".")], "no relative imports"
    inside = [
        f"line {inner.lineno}"
        for node in ast.walk(module.tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        for inner in ast.walk(node)
        if isinstance(inner, ast.Import | ast.ImportFrom)
    ]
    assert not inside, f"{module.name} imports inside a function: {inside}"


def test_the_proof_shares_no_code_with_the_makers() -> None:
    for module in MODULES:
        if module.area == "proof":
            wrong = [name for name in module.imports if is_ours(name) and area_of(name) not in PROOF_MAY_IMPORT | {"proof"}]
            assert not wrong, f"{module.name} may not import {wrong}"


def test_pages_reach_the_stock_through_actions_alone() -> None:
    for module in MODULES:
        if module.area == "web":
            wrong = [name for name in module.imports if is_ours(name) and area_of(name) not in WEB_MAY_IMPORT | {"web", ""}]
            assert not wrong, f"{module.name} may not import {wrong}"


READS_NO_NAME = {"remnants.late"}
"""It loads what it is told elsewhere."""


@each_module
def test_what_is_loaded_by_a_text_can_be_read_here(module: Module) -> None:
    assert "?" not in module.imports or module.name in READS_NO_NAME, f"{module.name} loads what nobody can read off: name it"
    called = {node.func.id for node in ast.walk(module.tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)}
    texts = {node.value for node in ast.walk(module.tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)}
    assert not called & {"exec", "eval"} and not texts & LOADERS - {"Late"}, f"{module.name} runs what a text says"


@pytest.mark.parametrize(
    ("source", "loaded"),
    [
        ('from remnants.late import Late\nx = Late("shapely")', {"shapely"}),
        ('from remnants.late import Late as Later\nx = Later("remnants.units")', {"remnants.units"}),
        ('import remnants.late as late\nx = late.Late(name="shapely")', {"shapely"}),
        ('import importlib as i\nx = i.import_module("sqlite3")', {"sqlite3"}),
        ('from importlib import import_module as load\nx = load("sqlite3")', {"sqlite3"}),
        ('x = __import__("flask").Flask', {"flask"}),
        ('fetch = __import__\nget = fetch\nx = get("flask")', {"flask"}),
        ('import builtins\nx = builtins.__import__("flask")', {"flask"}),
        ('HOME = "remnants.units"\nx = import_module(HOME)', {"remnants.units"}),
        ('x = [*map(Late, ("numpy", "shapely"))]', {"numpy", "shapely"}),
        ('x = partial(import_module, "remnants.units")()', {"remnants.units"}),
        ('x = import_module(f"remnants.proof.{which}ling")', {"remnants.proof.filling", "remnants.proof.telling"}),
        ('x = import_module(f"{__name__}.units")', {"remnants.units"}),
        ("x = import_module(which)", {"?"}),
        ('x = later("shapely")', set()),
    ],
)
def test_an_import_is_seen_whatever_it_is_called(source: str, loaded: set[str]) -> None:
    tree = ast.parse(source)
    above = [node for node in ast.walk(tree) if isinstance(node, ast.Import | ast.ImportFrom)]
    plainly = {name for node in above for name in imported(node, (), {}, "")}
    assert imports_of(tree, "remnants") - plainly == loaded


def circle(imports: Mapping[str, Collection[str]]) -> str:
    """The first circle of imports among modules by name; empty if there is none."""
    done: set[str] = set()

    def follow(name: str, trail: tuple[str, ...]) -> str:
        if name in trail:
            return " -> ".join((*trail[trail.index(name) :], name))
        if name not in done:
            for other in sorted(imports[name]):
                if other in imports and other != name and (found := follow(other, (*trail, name))):
                    return found
            done.add(name)
        return ""

    return next((found for name in imports if (found := follow(name, ()))), "")


def test_no_module_is_part_of_a_circle() -> None:
    assert not circle({module.name: module.imports for module in MODULES})


def test_a_circle_that_a_text_closes_is_found() -> None:
    sources = {
        "remnants.units": 'from remnants.late import Late as Later\ncells = Later("remnants.cells")',
        "remnants.cells": "from remnants.marks import seen",
        "remnants.marks": "import remnants.units",
    }
    found = circle({name: imports_of(ast.parse(source), name) for name, source in sources.items()})
    assert found == "remnants.units -> remnants.cells -> remnants.marks -> remnants.units"


def test_every_package_says_what_it_offers() -> None:
    packages = [module for module in MODULES if module.path.name == "__init__.py"]
    assert packages
    assert not [module.name for module in packages if offered(module.tree) is None], "these have no __all__"


def offered(tree: ast.Module) -> set[str] | None:
    """The names in the module's `__all__`; None when it has none."""
    for node in tree.body:
        match node:
            case (
                ast.Assign(targets=[ast.Name(id="__all__")], value=value)
                | ast.AnnAssign(target=ast.Name(id="__all__"), value=ast.expr() as value)
            ):
                return set(ast.literal_eval(value))
    return None


def undocumented(node: ast.Module | ast.ClassDef, name: str, public: set[str] | None) -> Iterator[str]:
    """Public things from here down that have no docstring. `public` names those of this level; None is all without underscore."""
    if not ast.get_docstring(node):
        yield name
    for inner in node.body:
        if not isinstance(inner, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) or inner.name.startswith("_"):
            continue
        if public is not None and inner.name not in public:
            continue
        if isinstance(inner, ast.ClassDef):
            yield from undocumented(inner, f"{name}.{inner.name}", None)
        elif not ast.get_docstring(inner) and "override" not in [ast.unparse(mark) for mark in inner.decorator_list]:
            yield f"{name}.{inner.name}"


@each_module
def test_what_is_public_is_documented(module: Module) -> None:
    assert not list(undocumented(module.tree, module.name, offered(module.tree)))


@each_module
def test_modules_and_functions_stay_short(module: Module) -> None:
    lines = module.text.count("\n")
    assert lines <= MOST_MODULE_LINES, f"{module.name} has {lines} lines: find the seam in it"
    long = [
        f"{node.name} ({end - node.lineno + 1} lines)"
        for node in ast.walk(module.tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        if (end := node.end_lineno or node.lineno) - node.lineno >= MOST_FUNCTION_LINES
    ]
    assert not long, f"{module.name}: {long}"


def verbs() -> list[Module]:
    """The modules of `cli` that are one command each: they have `add_arguments` and `run`."""
    return [
        module
        for module in MODULES
        if module.area == "cli"
        if {"add_arguments", "run"} <= {node.name for node in module.tree.body if isinstance(node, ast.FunctionDef)}
    ]


def test_every_command_has_help_a_docs_section_and_a_test() -> None:
    commands = ROOT / "docs" / "reference" / "commands.md"
    reference = commands.read_text(encoding="utf-8") if commands.is_file() else ""
    tests = {path.stem for path in source_files("tests")}
    for module in verbs():
        verb = module.path.stem.strip("_").replace("_", "-")
        assert ast.get_docstring(module.tree), f"{module.name}: its docstring is its help"
        assert re.search(rf"^#+ `?remnants {verb}`?$", reference, re.MULTILINE), (
            f"{commands.name} has no section `remnants {verb}`"
        )
        named = re.compile(rf"test_(cli_)?{verb.replace('-', '_')}(_\w+)?")
        assert any(named.fullmatch(stem) for stem in tests), f"no test file is named test_cli_{verb}.py"


def plain(distribution: str) -> str:
    return re.split(r"[\s<>=!~\[;]", distribution, maxsplit=1)[0].lower().replace("_", "-")


def declared() -> set[str]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    groups = [project["dependencies"], *project["optional-dependencies"].values()]
    return {plain(line) for group in groups for line in group}


def test_every_dependency_is_declared_pinned_and_has_its_licence_told() -> None:
    pinned = {plain(line) for line in (ROOT / ".setup" / "requirements.txt").read_text().splitlines() if "==" in line}
    told = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").lower()
    assert not declared() - pinned
    assert not [name for name in sorted(declared()) if f"| {name} |" not in told], "the table in DEVELOPERS.md lacks them"


def test_nothing_is_imported_that_is_not_declared() -> None:
    providers = packages_distributions()
    roots = {name.partition(".")[0] for module in MODULES for name in module.imports}
    for root in sorted(roots - set(sys.stdlib_module_names) - {"remnants", "remnants_web", "", "?"}):
        given = {plain(name) for name in providers.get(root, [])}
        assert given & declared(), f"{root} is imported, but no declared dependency provides it"


def texts() -> Iterator[tuple[Path, str]]:
    """Every text file of the project, outside what tools make."""
    for path in sorted(ROOT.rglob("*")):
        inside = path.relative_to(ROOT).parts
        ours = inside[0] in TOP_LEVEL | {".setup", ".ci", ".gitignore"}
        if not ours or not path.is_file() or "__pycache__" in inside or inside[:2] == ("demo", "out"):
            continue
        try:
            yield path, path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue


REGISTRIES = ("pypi" + r"\.org", "python" + "hosted", "npm" + "js", "debian" + r"\.org")
FOLDERS_OF_ONE_MACHINE = ("home", "root", "work", "tmp", "opt", "Users", "mnt")
MACHINE_PATHS = tuple(rf"(?<![\w.]){'/'}{folder}/" for folder in FOLDERS_OF_ONE_MACHINE)


def test_the_tree_names_no_registry_and_no_place_on_one_machine() -> None:
    forbidden = re.compile("|".join(REGISTRIES + MACHINE_PATHS))
    read = 0
    for path, text in texts():
        read += 1
        if path != Path(__file__):
            found = forbidden.search(text)
            assert found is None, f"{path.relative_to(ROOT)} holds {found[0]!r}"
    assert read > 20


def test_the_top_level_holds_what_it_should_and_nothing_more() -> None:
    found = {path.name for path in ROOT.iterdir() if not MADE_BY_TOOLS.fullmatch(path.name)}
    assert found <= TOP_LEVEL, f"these belong elsewhere: {found - TOP_LEVEL}"


def test_an_installed_program_has_every_file_that_it_reads() -> None:
    given = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]["package-data"]
    brought = {
        path
        for package, globs in given.items()
        for glob in globs
        for path in (ROOT / ("web" if package.startswith("remnants_web") else "") / package.replace(".", "/")).glob(glob)
    }
    kept = {path for folder in ("remnants", "web") for path in (ROOT / folder).rglob("*") if path.is_file()}
    kept = {path for path in kept if path.suffix not in {".py", ".pyc"} and not any(part.startswith(".") for part in path.parts)}
    assert kept and not kept - brought, "add them to package-data in pyproject.toml"


TOLERANCES = {"remnants.geometry.tolerances", "remnants.proof.lines"}
"""Where tolerances of lengths are told, each with its reason: the second for the proof, which leans on nobody."""

SMALL = 0.01


def is_small(node: ast.AST) -> bool:
    match node:
        case ast.Constant(value=float(value)):
            return 0 < value <= SMALL
        case ast.BinOp(left=ast.Constant(), op=ast.Pow(), right=ast.UnaryOp(op=ast.USub(), operand=ast.Constant())):
            return True
    return False


def reasoned(tree: ast.Module) -> Iterator[ast.Assign]:
    """Constants of a module under a name of their own, with their reason below; one may stand for a few in a row."""
    for node, *after in (tree.body[at:] for at in range(len(tree.body))):
        told = next((each for each in after if not isinstance(each, ast.Assign)), None)
        if not isinstance(node, ast.Assign) or not isinstance(told, ast.Expr) or not isinstance(told.value, ast.Constant):
            continue
        if all(name.id.isupper() for target in node.targets for name in ast.walk(target) if isinstance(name, ast.Name)):
            yield node


def bare_tolerances(tree: ast.Module, *, home: bool) -> list[str]:
    """Small figures without a name and a reason; outside their home, of lengths, those with both."""
    named = list(reasoned(tree))
    lengths = [node for node in named if not home and any(ast.unparse(target).endswith("_MM") for target in node.targets)]
    inside = {id(child) for node in named if node not in lengths for child in ast.walk(node)}
    return [
        f"line {node.lineno}: {ast.unparse(node)}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant | ast.BinOp) and is_small(node) and id(node) not in inside
    ]


@each_module
def test_every_tolerance_has_a_name_a_reason_and_one_home(module: Module) -> None:
    found = bare_tolerances(module.tree, home=module.name in TOLERANCES)
    assert not found, f"{module.name}: {found}; lengths are compared by those of remnants.geometry.tolerances"


@pytest.mark.parametrize(
    ("source", "count"),
    [
        ("def near(a, b):\n    return abs(a - b) < 1e-6", 1),
        ("def near(a, b, give=0.01):\n    return abs(a - b) <= give", 1),
        ("class Near:\n    give: float = 1e-9", 1),
        ("GIVE_MM = 0.005", 1),
        ('GIVE_MM = 0.005\n"""Told, but elsewhere than the others."""', 1),
        ('LEAST_SHARE = 0.005\n"""No length."""', 0),
        ('MOST, LEAST = 1.0, 1e-3\nSTEP = 1e-4\n"""One reason for both."""', 0),
        ("def near(a, b):\n    return abs(a - b) < 10**-6", 1),
        ("def half(a):\n    return a * 0.5 - 100", 0),
    ],
)
def test_a_bare_tolerance_is_found(source: str, count: int) -> None:
    assert len(bare_tolerances(ast.parse(source), home=False)) == count


@each_module
def test_days_are_written_on_every_system(module: Module) -> None:
    """A minus in a format of strftime is known on some systems alone."""
    assert "%-" not in module.text


def test_a_step_that_a_server_can_not_read_tells_it_in_the_servers_words() -> None:
    """Triggers are written otherwise there, and to drop a table takes what refers to it along."""
    own = re.compile(r"\b(CREATE TRIGGER|DROP TABLE|json_each|json_object|GLOB|NOCASE|iif|randomblob|strftime)\b")
    lacking = [step.name for step in MIGRATIONS[BEGUN_AT:] if step.on_server is None and own.search(step.sql)]
    assert not lacking, f"{lacking}: say `on_server` what does the same on PostgreSQL (remnants/store/migrations.py)"


def test_no_extra_of_ours_is_named_that_does_not_exist() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = {extra for module in MODULES for extra in re.findall(r"remnants\[(\w+)\]", module.text)}
    assert (
        named == {"web", "drawings", "spreadsheets", "cluster", "photo", "server"}
        and named <= project["optional-dependencies"].keys()
    )


OPTIONAL = {
    "remnants.actions.cluster",  # fit --cluster and serve --cluster, the extra cluster
    "remnants.actions.cluster_desk",
    "remnants.actions.one_time_codes",  # the pages, the extra web
    "remnants.actions.passphrases",
    "remnants.exchange.drawing_rooms",  # rooms in a drawing, the extra drawings; loaded late
    "remnants.exchange.plans.dxf",
    "remnants.exchange.plans.dxf_strokes",
    "remnants.exchange.plans.pdf",
    "remnants.exchange.plans.pdf_pages",
    "remnants.exchange.sent_drawing",
    "remnants.exchange.office_open",  # workbooks, the extra spreadsheets; loaded late
    "remnants.exchange.opendocument",
    "remnants.matching.heif",  # HEIC pictures, the extra photo; loaded late
    "remnants.store.server.looking",  # a catalogue on a server, the extra server; loaded late
    "remnants.store.server.opening",
    "remnants.store.server.pool",
    "remnants.store.server.refusals",
    "remnants.store.server.server_catalogue",
    "remnants.store.server.soundness",
    "remnants.photo.marker_page",  # measuring in photographs, the extra photo; loaded late
    "remnants.photo.detect",
    "remnants.photo.light",
    "remnants.photo.overhead",
    "remnants.photo.preview",
    "remnants.photo.seams_drawn",
    "remnants.photo.texture",
    "remnants.photo.flat",
    "remnants.photo.rows",
    "remnants.photo.stain",
}


def test_what_every_command_imports_comes_with_the_plain_program() -> None:
    """`remnants order` on plain rooms stopped for want of a reader of drawings."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    core = {plain(line) for line in project["dependencies"]}
    given = packages_distributions()
    roots = {
        name.partition(".")[0]
        for module in MODULES
        if module.area != "web" and module.name not in OPTIONAL
        for name in module.imports
    }
    for root in sorted(roots - set(sys.stdlib_module_names) - {"remnants", "remnants_web", "", "?"}):
        assert {plain(name) for name in given.get(root, [])} & core, f"{root} does not come with the plain program"


@each_module
def test_no_word_of_an_enum_stands_for_an_empty_tuple(module: Module) -> None:
    """Python 3.11.2, which Debian 12 brings, makes a bare object of it: no line could be drawn."""
    kinds = [node for node in ast.walk(module.tree) if isinstance(node, ast.ClassDef)]
    words = [word for kind in kinds if any("Enum" in ast.unparse(base) for base in kind.bases) for word in kind.body]
    assert not [ast.unparse(word) for word in words if isinstance(word, ast.Assign) and ast.unparse(word.value) == "()"]
