"""Logging at the dock by questions: one piece after another; a wrong answer is asked again, and nothing typed is lost."""

import argparse
import copy
import sys
from collections.abc import Callable

from remnants.actions import Catalogue
from remnants.actions.log_pieces import known_styles, log_pieces, next_tag
from remnants.cli.options import signature
from remnants.cli.piece_options import kind_of, stock_from_options
from remnants.cli.printing import remark
from remnants.errors import BadInput
from remnants.units import typed_size

__all__ = ["log_answers"]

_KEPT = ("style", "colour", "lot", "place")
"""Answers that the next piece is likely to share: an empty answer takes them over."""


def log_answers(catalogue: Catalogue, args: argparse.Namespace) -> tuple[str, ...]:
    """Asks for pieces until an empty style or the end of input; each is stored once it is told. Gives the tags."""
    tags: list[str] = []
    last: dict[str, str] = {}
    print("Enter takes what stands in brackets; a full stop as the style ends.", file=sys.stderr)
    try:
        while (style := _asked("style", last.get("style", ""))) not in ("", "."):
            tag = _log_one(catalogue, args, last | {"style": style}, last)
            tags.append(tag)
            print(f"logged {tag}", file=sys.stderr)
    except EOFError:
        print(file=sys.stderr)
    return tuple(tags)


def _log_one(catalogue: Catalogue, args: argparse.Namespace, known: dict[str, str], last: dict[str, str]) -> str:
    questions: dict[str, tuple[str, str, Callable[[str], object]]] = {
        "colour": ("colour", known.get("colour", ""), str),
        "lot": ("dye lot", known.get("lot", ""), str),
        "width": (f"width ({args.unit} unless you give another)", "", lambda text: typed_size(text, args.unit)),
        "length": (f"length ({args.unit} unless you give another)", "", lambda text: typed_size(text, args.unit)),
        "pile": ("pile, degrees clockwise from up the length", "0", float),
        "worn": ("worn, 0 new to 4 heavily, or in words", "0", str),
        "place": ("place", known.get("place", ""), str),
    }
    answers = {"style": known["style"]} | {name: _asked(*question) for name, question in questions.items()}
    while True:
        told = copy.copy(args)
        for name, text in answers.items():
            setattr(told, name, {"pile": float}.get(name, str)(text) if text else None)
        try:
            tag = args.tag or next_tag(catalogue, kind_of(args))
            log_pieces(catalogue, stock_from_options(told, tag, known_styles(catalogue), remark), signed=signature(args))
            break
        except BadInput as error:
            again = [fault.where.removeprefix("--") for fault in error.faults]
            if not questions.keys() >= set(again):
                raise
            for name, fault in zip(again, error.faults, strict=True):
                print(f"{name}: {fault.what}", file=sys.stderr)
            answers |= {name: _asked(questions[name][0], answers[name], questions[name][2]) for name in dict.fromkeys(again)}
    last.update({name: answers[name] for name in _KEPT})
    return tag


def _asked(question: str, usual: str, check: Callable[[str], object] = str) -> str:
    """The answer, asked until `check` takes it. Raises EOFError when input ends."""
    while True:
        print(f"{question}{f' [{usual}]' if usual else ''}: ", end="", file=sys.stderr, flush=True)
        answer = input().strip() or usual
        try:
            check(answer)
            return answer
        except ValueError as error:
            print(f"  {error}", file=sys.stderr)
