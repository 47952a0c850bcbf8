"""One search from a cold process: a database file on disk, the number of combinations that fit on paper.

    python -m tests.benchmarks.search_cold catalogue.db    # matchmark's own database
    python -m tests.benchmarks.search_cold --sqlite plain.db    # the peer: SQLite, hand-factored

Both are what `tests.benchmarks.search` starts again and again.
"""

from __future__ import annotations

import sys


def ours(path: str) -> int:
    import numpy

    from kb.build import Build
    from kb.chance import Settings
    from kb.search.counting import Factored
    from kb.store import read
    from kb.store.columns import columns
    from tests.benchmarks.search_exact import BUILD, READ, lowered

    con = read.open_readonly(path)
    domains = {}
    for kind, names in READ.items():
        made = columns(con, kind, names)
        some = [at for at, id in enumerate(made.ids) if id.startswith("exact-")]  # the sample's own parts are left out
        domains[kind] = made.take(numpy.array(some))
    parts = read.parts(con, BUILD.values())
    fixed = Build("", "", lowered({role: parts[id] for role, id in BUILD.items()}), loose=True)
    return Factored(domains, fixed, Settings(), fits_only=True).counts().fitting


def peer(path: str) -> int:
    from tests.benchmarks.search_peers import SQLite

    return SQLite(None, path).factored_count()


if __name__ == "__main__":
    print(peer(sys.argv[2]) if sys.argv[1] == "--sqlite" else ours(sys.argv[1]))
