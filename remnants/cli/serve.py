"""Serves the pages: the phone in the hallway, the screen at the dock, the desk.

    remnants serve
    remnants serve --demo
    remnants serve --listen 0.0.0.0 --host racks.local

With --demo it serves a shop that does not exist, to try things out: its stock, the last twelve weeks of its ledger and three
people, whose passphrases are drawn at the start and printed. Its pages and prints say so. Your own catalogue isn't touched,
and nothing of it stays.

With --cluster the questions that take long are worked out on a Dask cluster, for one shop or a chain of them
(docs/how-to/many-patches.md); the pages and the catalogue stay here.

On its first start it prints a one-time link for the manager. Without --listen only this machine can reach it. With --listen
0.0.0.0 it prints the addresses that phones on the network open, the first as a code to scan. Better put something in front that
encrypts, and say so with --https (docs/how-to/encrypt.md): phones keep pages for times without signal, and use their camera, only
over https.

Ctrl-C, or SIGTERM as services are stopped with, ends it within two seconds. What was sent before, such as a booking, is finished
and told; what is still being worked out is broken off, and whoever waits for it is told so.
"""

import argparse
import importlib
import importlib.util

from remnants.cli.options import at_least_one
from remnants.errors import BadInput, CatalogueUnusable

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants serve`."""
    parser.add_argument("--demo", action="store_true", help="serve an invented shop to try things out, gone when it is stopped")
    parser.add_argument("--listen", default="127.0.0.1", metavar="ADDRESS", help="address to listen on (default 127.0.0.1)")
    parser.add_argument("--port", type=at_least_one, default=8080, metavar="N", help="port to listen on (default 8080)")
    parser.add_argument(
        "--host", action="append", default=[], metavar="NAME", help="a name under which browsers ask for it; may be repeated"
    )
    parser.add_argument("--https", action="store_true", help="browsers reach it encrypted, through a proxy in front")
    parser.add_argument(
        "--proxies", type=int, choices=range(4), default=0, metavar="N", help="proxies in front whose word counts (default 0)"
    )
    parser.add_argument(
        "--processes",
        type=at_least_one,
        default=1,
        metavar="N",
        help="processes that answer pages; what takes long is worked out beside them (default 1)",
    )
    parser.add_argument(
        "--cluster",
        default="",
        metavar="ADDRESS",
        help="work out what takes long on the Dask cluster whose scheduler is at tcp://HOST:PORT",
    )


def run(args: argparse.Namespace) -> int:
    """Serves until stopped by hand."""
    if importlib.util.find_spec("remnants_web") is None or importlib.util.find_spec("flask") is None:
        raise BadInput("the pages are not installed; `pip install 'remnants[web]'` brings them")
    if args.demo and args.catalogue_named:
        raise BadInput("--demo serves an invented shop of its own; leave out --catalogue, or leave out --demo")
    serving = importlib.import_module("remnants_web.serving")  # the one door to the pages, opened only where they are served
    names = {"hosts": tuple(args.host), "https": args.https, "proxies": args.proxies, "cluster": args.cluster}
    door = serving.Door(args.listen, args.port, processes=args.processes, **names)
    try:
        if args.demo:
            serving.serve_demo(door)
        else:
            serving.serve(args.catalogue, door)
    except CatalogueUnusable:
        raise
    except OSError as error:
        raise BadInput(f"can't listen on {args.listen}, port {args.port} ({error.strerror}); name another with --port") from None
    return 0
