"""Keeps what is seen of a repair, once it is made, beside what was foretold of it; or tells both.

    remnants look-back J-0012
    remnants look-back J-0012 3 "seen when looked for"
    remnants look-back J-0012 3 as foretold
    remnants look-back J-0012 1 --step "R-0142 2.1 ± 0.8 (graded 2.3 ± 0.9)"
    remnants look-back J-0012 3 --take-back

Alone it lists what the plan foretold, each with its number, and what was seen. Stand where people stand, in the room's own light,
once the pile is brushed. Say a grade: hard to find, seen when looked for, seen, plain; or as foretold, better, worse.

--step keeps the step that `remnants measure --shades` tells of a photograph taken afterwards. Another word stands in for one that
was wrong, and --take-back takes it back; the ledger keeps each. `remnants foretold` tells what it all comes to.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.look_back import look_back, measure_back, sights_looked, take_look_back
from remnants.cli.options import add_signature, signature
from remnants.cli.printing import show_text
from remnants.errors import BadInput, Fault
from remnants.model.look import LookBy
from remnants.report.look_text import looked_lines

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants look-back`."""
    parser.add_argument("job", metavar="JOB", help="the number or name of a job that is cut")
    parser.add_argument("sight", metavar="NUMBER", nargs="?", type=int, help="which of the things foretold")
    parser.add_argument("seen", metavar="SEEN", nargs="*", help="what is seen: a grade, or as foretold, better, worse")
    parser.add_argument("--step", metavar="STEP", help="of carpet beside the floor: its step in shade, measured in a photograph")
    parser.add_argument(
        "--take-back", choices=[by.value for by in LookBy], nargs="?", const="eye", help="take back what was told"
    )
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Lists, keeps or takes back."""
    seen = " ".join(args.seen)
    asked = [word for word in (seen, args.step, args.take_back) if word]
    if args.sight is None and not asked:
        with open_catalogue(args.catalogue, write=False) as catalogue:
            lines = looked_lines(sights_looked(catalogue, args.job))
        show_text("\n".join(lines) or "nothing to look at: the job is not cut, or its plan foretells nothing that is seen")
        return 0
    if args.sight is None or len(asked) != 1:
        raise BadInput([Fault("SEEN", "give a number, and one of: what is seen, --step, --take-back")])
    with open_catalogue(args.catalogue, write=True) as catalogue:
        job, number, signed, key = args.job, args.sight, signature(args), args.key
        if args.take_back:
            told = take_look_back(catalogue, job, number, by=LookBy(args.take_back), signed=signed, key=key)
        elif args.step:
            told = measure_back(catalogue, job, number, args.step, signed=signed, key=key)
        else:
            told = look_back(catalogue, job, number, seen, signed=signed, key=key)
    show_text("\n".join(looked_lines([told])))
    return 0
