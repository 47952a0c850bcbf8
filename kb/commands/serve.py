"""The browser pages."""

from __future__ import annotations

import argparse


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("--host", default="127.0.0.1", help="address to listen on (default: this machine only)")
    sub.add_argument("--port", type=int, default=8640, help="port (default: 8640; 0 takes a free one)")
    sub.add_argument("--public", action="store_true", help="for a club's server: nothing can be written")
    for rank, may in (
        ("reader", "reads (matters with --private)"),
        ("contributor", "adds measurements, readings and reports, fills builds"),
        ("keeper", "also reviews and replaces (the local user is one)"),
    ):
        sub.add_argument(
            f"--{rank}", action="append", default=[], metavar="NAME",
            help=f"print a one-use sign-in address for NAME, who {may}; repeat it for more",
        )  # fmt: skip
    sub.add_argument("--private", action="store_true", help="who is not signed in sees nothing")
    sub.add_argument(
        "--name",
        action="append",
        default=[],
        metavar="HOST",
        help="a name that the server is reached by, as behind a proxy",
    )
    sub.add_argument(
        "--proxy",
        default="",
        metavar="ADDRESS",
        help="IP address of a reverse proxy with TLS, whose word is taken on it",
    )
    sub.set_defaults(run=run_serve)


def run_serve(given: argparse.Namespace) -> int:
    from kb.web.serve import serve

    people = [(name, rank) for rank in ("keeper", "contributor", "reader") for name in getattr(given, rank)]
    return serve(
        given.db, given.host, given.port, given.public,
        people=people, private=given.private, names=given.name, proxy=given.proxy,
    )  # fmt: skip
