"""The browser pages."""

from __future__ import annotations

import argparse


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("--host", default="127.0.0.1", help="address to listen on (default: this machine only)")
    sub.add_argument("--port", type=int, default=8640, help="port (default: 8640; 0 takes a free one)")
    sub.add_argument("--public", action="store_true", help="for a club's server: nothing can be written")
    sub.set_defaults(run=run_serve)


def run_serve(given: argparse.Namespace) -> int:
    from kb.web.serve import serve

    return serve(given.db, host=given.host, port=given.port, public=given.public)
