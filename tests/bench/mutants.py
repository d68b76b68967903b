"""How much of the proof do its tests hold? Small mistakes are planted one at a time; those that no test sees are printed.

    python -m tests.bench.mutants [--most 40] [--seed 1] [MODULE ...]

A mutant turns one comparison, sign, word or figure of a function into another. Each is tried in a process of its own, forked from
one that has everything loaded: the code of the module's functions is exchanged, and its tests are run until one fails.
"""

import argparse
import ast
import os
import random
import signal
import sys
import types
from collections.abc import Callable, Iterator, Sequence
from copy import deepcopy
from functools import partial
from importlib import import_module
from inspect import signature
from itertools import product
from pathlib import Path
from typing import Any

PLANS, ORDERS = "tests.proof.test_planted_faults", "tests.proof.test_planted_faults_of_orders"
OF_BOTH = ("leaving", "lines", "motion", "regions", "remains")
TESTS: dict[str, tuple[str, ...]] = {
    **{
        f"remnants.proof.{path.stem}": ("tests.proof.test_regions", PLANS, ORDERS)
        if path.stem in OF_BOTH
        else (ORDERS if path.stem.startswith("order") else PLANS,)
        for path in sorted(Path("remnants/proof").glob("[a-z]*.py"))
    },
    "remnants.geometry.lie": ("tests.geometry.test_lie", "tests.geometry.test_room"),
    "remnants.ledger.states": ("tests.ledger.test_states",),
}
"""Each module that is tried, and the tests that should see a mistake in it."""

SECONDS = 20
"""Of the processor: a mutant that runs on for so long is seen, as no test takes as long."""

COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
REVERSED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt,
}  # fmt: skip
COUNTED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Mod: ast.Mult,
}  # fmt: skip
NAMED = {"min": "max", "max": "min", "any": "all", "all": "any"}


def other_ways(node: ast.AST) -> Iterator[ast.AST]:
    """Wrong ways to write a node."""
    match node:
        case ast.Compare(ops=[operator]):
            for table in (COMPARED, REVERSED):
                if type(operator) in table:
                    yield ast.Compare(node.left, [table[type(operator)]()], node.comparators)
        case ast.BinOp() if type(node.op) in COUNTED:
            yield ast.BinOp(node.left, COUNTED[type(node.op)](), node.right)
        case ast.BoolOp():
            yield ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            yield node.operand
        case ast.IfExp():
            yield ast.IfExp(node.test, node.orelse, node.body)
        case ast.Call(func=ast.Name(id=name)) if name in NAMED:
            yield ast.Call(ast.Name(NAMED[name], ast.Load()), node.args, node.keywords)
        case ast.Constant(value=bool(value)):
            yield ast.Constant(not value)
        case ast.Constant(value=int(value) | float(value)):
            yield ast.Constant(value + 1)


def mutants(source: str) -> Iterator[tuple[int, str, ast.Module]]:
    """Each mutant of a module: the line, what is written instead of what, and the whole."""
    tree = ast.parse(source)
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    inner = {id(child) for function in functions for child in ast.walk(function) if child is not function}
    for function in functions:
        if id(function) in inner:
            continue
        for place, node in enumerate(ast.walk(function)):
            for way, new in enumerate(other_ways(node)):
                whole = deepcopy(tree)
                twin = next(
                    each for each in ast.walk(whole) if isinstance(each, ast.FunctionDef) and each.lineno == function.lineno
                )
                old = list(ast.walk(twin))[place]
                wrong = list(other_ways(old))[way]
                _Exchange(old, wrong).visit(twin)
                yield getattr(node, "lineno", function.lineno), f"{ast.unparse(node)}  ->  {ast.unparse(new)}", whole


class _Exchange(ast.NodeTransformer):
    """Puts one node in the place of another."""

    def __init__(self, old: ast.AST, new: ast.AST) -> None:
        self.old, self.new = old, new

    def visit(self, node: ast.AST) -> Any:
        return ast.copy_location(self.new, node) if node is self.old else self.generic_visit(node)


def put_in(module: types.ModuleType, mutant: ast.Module) -> None:
    """Exchanges the code of every function and method of a loaded module for that of the mutant."""
    space = dict(vars(module))
    exec(compile(ast.fix_missing_locations(mutant), str(module.__file__), "exec"), space)
    for name, value in list(vars(module).items()):
        if getattr(value, "__module__", None) == module.__name__ and name in space:
            _exchange(value, space[name])


def _exchange(old: Any, new: Any) -> None:
    if isinstance(old, type):
        for name, value in vars(old).items():
            if name in vars(new):
                _exchange(value, vars(new)[name])
    for inner in ("fget", "func", "__func__"):
        if hasattr(old, inner):
            old, new = getattr(old, inner), getattr(new, inner)
    if isinstance(old, types.FunctionType):
        old.__code__, old.__defaults__, old.__kwdefaults__ = new.__code__, new.__defaults__, new.__kwdefaults__


def cases(tests: types.ModuleType) -> Iterator[Callable[[], None]]:
    """Every test of a module with each of its parameters; those that need a fixture are left out."""
    for name, test in vars(tests).items():
        if name.startswith("test_"):
            marks = [mark for mark in getattr(test, "pytestmark", ()) if mark.name == "parametrize"]
            choices = [[(_keys(mark.args[0]), value) for value in mark.args[1]] for mark in marks]
            for chosen in product(*choices):
                given = {
                    key: part
                    for keys, value in chosen
                    for key, part in zip(keys, value if len(keys) > 1 else (value,), strict=True)
                }
                if set(signature(test).parameters) == set(given):
                    yield partial(test, **given)


def _keys(told: str | Sequence[str]) -> list[str]:
    return told.replace(" ", "").split(",") if isinstance(told, str) else list(told)


def is_seen(module: types.ModuleType, mutant: ast.Module, tests: Sequence[Callable[[], None]]) -> bool:
    """True if a test fails, or runs on, where the mutant stands for the module."""
    child = os.fork()
    if child == 0:
        signal.setitimer(signal.ITIMER_PROF, SECONDS)
        try:
            put_in(module, mutant)
            for test in tests:
                test()
        except BaseException:
            os._exit(1)
        os._exit(0)
    return os.waitpid(child, 0)[1] != 0


def main() -> None:
    """Prints the survivors of each module, and the table."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("modules", nargs="*", help="modules to try; all that are known unless given")
    options.add_argument("--most", type=int, default=0, help="tries at most so many of each module, by chance; 0 tries all")
    options.add_argument("--seed", type=int, default=1)
    chosen = options.parse_args()
    rows = []
    for name in chosen.modules or TESTS:
        module = import_module(name)
        tests = [test for held in TESTS[name] for test in cases(import_module(held))]
        found = list(mutants(Path(str(module.__file__)).read_text(encoding="utf-8")))
        if chosen.most and len(found) > chosen.most:
            found = random.Random(chosen.seed).sample(found, chosen.most)
        found.sort(key=lambda each: each[0])
        left = [(line, what) for line, what, mutant in found if not is_seen(module, mutant, tests)]
        for line, what in left:
            print(f"{name}:{line}: {what}", flush=True)
        rows.append((name, len(found), len(left)))
        print(f"{name}: {len(found)} mutants, {len(left)} survived", file=sys.stderr, flush=True)
    print("\n| module | mutants | survivors |\n| --- | --- | --- |")
    for name, count, survived in rows:
        print(f"| `{name}` | {count} | {survived} |")


if __name__ == "__main__":
    main()
