"""Makes the pages of the reference that are told by the program itself: `python docs/make_reference.py`.

With `--check` it changes nothing and fails when a page is not current.
"""

import argparse
import ast
import sys
from itertools import pairwise
from pathlib import Path

from remnants import limits
from remnants.cli import VERBS, parser_of
from remnants.cli import __doc__ as cli_doc

SHARED = {"--help", "--catalogue", "--unit"}
REFERENCE = Path(__file__).parent / "reference"
LIMITS_INTRODUCED = (
    "# Limits\n",
    "This page is made by `python docs/make_reference.py` from `remnants/limits.py`.\n",
    "What is over a limit is refused whole, with its place and what to do; nothing is cut off. The limits of what a file holds",
    "are the same for the command line, the pages and the programs' interface; a page takes smaller files.\n",
)


def commands_page() -> str:
    """The page of all commands and their options."""
    exits = (cli_doc or "").split("Exit codes: ")[1].strip()
    parts = [
        "# Commands\n",
        "This page is made by `python docs/make_reference.py` from the commands' own help.\n",
        f"Exit codes: {' '.join(exits.split())}\n",
        "Every command takes these too:\n",
        "\n".join(["| option | meaning |", "| --- | --- |", *options(parser_of("find"), common=True)]) + "\n",
    ]
    for verb, summary in VERBS.items():
        parser = parser_of(verb)
        parts.append(f"## remnants {verb}\n\n{summary[0].upper()}{summary[1:]}.\n")
        parts.append(f"{prose(parser.description or '')}\n")
        parts.append("\n".join(["| option | meaning |", "| --- | --- |", *options(parser)]) + "\n")
    return "\n".join(parts)


def limits_page() -> str:
    """The page of all limits: of each what is counted, the figure, and the rest of what the program's own text says of it."""
    body = ast.parse(Path(limits.__file__).read_text(encoding="utf-8")).body
    rows = []
    for line, below in pairwise(body):
        if isinstance(line, ast.Assign) and isinstance(line.targets[0], ast.Name) and isinstance(below, ast.Expr):
            what, _, why = ast.literal_eval(below.value).partition(". ")
            figure = getattr(limits, line.targets[0].id)
            told = amount(figure) if what.startswith("Bytes") else f"{figure:,}"
            rows.append(f"| {what.removesuffix('.')} | {told} | {why} |")
    head = ["| what | at most | |", "| --- | --- | --- |"]
    return "\n".join([*LIMITS_INTRODUCED, *head, *rows]) + "\n"


def amount(count: int) -> str:
    """Bytes as people count them: in MB or KB where these are whole, of 1024 KB and 1024 bytes."""
    whole = ((limits.MIB, "MB"), (1024, "KB"))
    return next((f"{count // size} {word}" for size, word in whole if count % size == 0), f"{count:,}")


def prose(description: str) -> str:
    """A command's description, its examples set as code."""
    lines = (f"    {line}" if line.startswith("remnants ") else line for line in description.strip().splitlines())
    return "\n".join(lines)


def options(parser: argparse.ArgumentParser, *, common: bool = False) -> list[str]:
    """A table line for each option that is the command's own, or that all share."""
    lines = []
    for action in parser._actions:
        shared = bool(SHARED & set(action.option_strings))
        if action.help == argparse.SUPPRESS or shared != common:
            continue
        names = ", ".join(f"`{name}`" for name in action.option_strings) or f"`{action.metavar or action.dest}`"
        values = f" `{action.metavar or ','.join(map(str, action.choices or ())) or action.dest.upper()}`"
        takes = bool(action.option_strings) and action.nargs != 0
        lines.append(f"| {names}{values if takes else ''} | {action.help or ''} |".replace("%%", "%"))
    return lines


def main() -> int:
    """Writes the pages, or with --check compares them."""
    pages = {REFERENCE / "commands.md": commands_page(), REFERENCE / "limits.md": limits_page()}
    if "--check" in sys.argv[1:]:
        stale = [page.name for page, text in pages.items() if not page.is_file() or page.read_text(encoding="utf-8") != text]
        print(f"{', '.join(stale)} not current: run python docs/make_reference.py" if stale else "current")
        return 1 if stale else 0
    REFERENCE.mkdir(exist_ok=True)
    for page, text in pages.items():
        page.write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
