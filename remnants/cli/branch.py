"""Puts a branch of the shop in, tells one anew, or lists them with what lies there.

    remnants branch South --new
    remnants branch North --new --away South "40 km"
    remnants branch North --places "Unit 12"
    remnants branch North --person Ana --may work
    remnants branch

A place belongs to the branch whose name, or whose `--places`, it begins with: `North Bay 3`, `Unit 12 rack 4`. Every other place
is the first branch's, so nothing that is logged has to be typed anew. A shop that never puts a branch in sees none anywhere.

People may do everywhere what their role says. Once somebody is given a role at a branch (`--person Ana --may work`), they change
stock only where they may work, and look at the rest.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.branch_people import roles_at_branches, set_role_at
from remnants.actions.branches import branches_of, close_branch, pieces_by_place, put_branch
from remnants.cli.options import add_signature, signature
from remnants.cli.printing import show, show_text
from remnants.errors import BadInput, Fault
from remnants.model import Role
from remnants.report.branches import branch_table

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants branch`."""
    parser.add_argument("name", metavar="NAME", nargs="?", help="the branch; none lists all")
    parser.add_argument("--new", action="store_true", help="put it in")
    parser.add_argument("--places", metavar="WORDS", action="append", default=[], help="its places begin with these words too")
    parser.add_argument(
        "--away", metavar=("BRANCH", "DISTANCE"), nargs=2, action="append", default=[], help="how far another is by road"
    )
    parser.add_argument(
        "--call", metavar="NAME", default="", help="another name; places that begin with the one before stay its own"
    )
    parser.add_argument("--person", metavar="NAME", default="", help="somebody who may sign in, with --may")
    parser.add_argument(
        "--may", choices=("work", "look", "nothing"), help="what they may do at this branch; `nothing` takes the role there away"
    )
    parser.add_argument("--close", action="store_true", help="take it away; nothing may lie there")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Stores, closes or lists."""
    told = args.new or args.places or args.away or args.call
    if args.person or args.may:
        return _give_role(args, told=bool(told or args.close))
    if not args.name:
        if told or args.close:
            raise BadInput([Fault("NAME", "say which branch is meant")])
        with open_catalogue(args.catalogue, write=False) as catalogue:
            found = branches_of(catalogue)
            counts = pieces_by_place(catalogue, found)
            roles = roles_at_branches(catalogue)
        if not found.branches:
            show_text("no branches: every place is the shop's")
            return 0
        show(branch_table(found, counts, roles))
        return 0
    if args.close:
        if told:
            raise BadInput([Fault("--close", "it goes with nothing else: close it, or tell it anew")])
        with open_catalogue(args.catalogue, write=True) as catalogue:
            name = close_branch(catalogue, args.name, signed=signature(args), key=args.key)
        show_text(f"{name} is closed")
        return 0
    if not told:
        raise BadInput([Fault(args.name, "say what to do: --new puts it in, --places, --away or --call tell it anew")])
    with open_catalogue(args.catalogue, write=True) as catalogue:
        signed = signature(args)
        name = put_branch(
            catalogue, args.name, new=args.new, places=args.places, away=args.away, called=args.call, signed=signed, key=args.key
        )
    show_text(f"branch {name} is stored")
    return 0


def _give_role(args: argparse.Namespace, *, told: bool) -> int:
    """Gives somebody a role at the branch, or takes it away."""
    if told or not args.name or not args.person or not args.may:
        raise BadInput([Fault("--person", "say it as NAME --person PERSON --may work, and with nothing else")])
    role = None if args.may == "nothing" else Role(args.may)
    with open_catalogue(args.catalogue, write=True) as catalogue:
        branch, person = set_role_at(catalogue, args.name, args.person, role, signed=signature(args))
    show_text(f"{person} may {args.may} at {branch}" if role else f"{person} has no role of their own at {branch}")
    return 0
