"""Makes the pages of the reference that are told by the program itself: `python docs/make_reference.py`.

With `--check` it changes nothing and fails when a page is not current.
"""

import argparse
import sys
from pathlib import Path

from remnants.cli import VERBS, parser_of
from remnants.cli import __doc__ as cli_doc

SHARED = {"--help", "--catalogue", "--unit"}
REFERENCE = Path(__file__).parent / "reference"


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
    page, text = REFERENCE / "commands.md", commands_page()
    if "--check" in sys.argv[1:]:
        current = page.is_file() and page.read_text(encoding="utf-8") == text
        print("current" if current else f"{page.name} is not current: run python docs/make_reference.py")
        return 0 if current else 1
    page.parent.mkdir(exist_ok=True)
    page.write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
