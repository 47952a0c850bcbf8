"""All benchmarks, or those named: figures for docs/performance.md, never part of the tests.

    python -m tests.benchmarks [NAME ...]

Each is a command of its own too (`python -m tests.benchmarks.NAME --help`). Those that lack a peer say which package to
install: pip install '.[bench]'.
"""

from __future__ import annotations

import subprocess
import sys

NAMES = (
    "check", "chance", "belts", "isolate", "trace", "search_peers", "search", "plan", "plan_peers", "load", "pages",
)  # fmt: skip


def main() -> int:
    wanted = sys.argv[1:] or NAMES
    unknown = [each for each in wanted if each not in NAMES]
    if unknown:
        print(f"there is no benchmark {unknown[0]!r}: one of {', '.join(NAMES)}", file=sys.stderr)
        return 2
    status = 0
    for name in wanted:
        print(f"\n## {name}", flush=True)
        status |= subprocess.run([sys.executable, "-m", f"tests.benchmarks.{name}"], check=False).returncode
    return status


if __name__ == "__main__":
    raise SystemExit(main())
