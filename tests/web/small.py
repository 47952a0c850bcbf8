"""A small base for the tests of the pages. All figures and names are invented for the tests."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from kb.store.load import init
from kb.store.write import write_record

SCRIPT = "<script>alert(1)</script>"
BREAK_OUT = "\"'><img src=x onerror=alert(2)>"
SQL = "x'; DROP TABLE part; --"
TERM = {"kind": "term", "id": "rail_pattern/early", "meaning": "early rail"}
# The gap under the foot is sump depth + clamped gasket - hang (tray absent): about 190 + 2 - 184 = 8 mm, well inside
# the rule's limits; with the long tube about 190 + 2 - 191.8 = 0.2 mm, well outside. Derived from the definition.
PARTS: list[dict[str, Any]] = [
    {"kind": "pan", "id": "deep-pan", "name": "Deep pan", "maker": "Aldine Castings", "rail_pattern": "early",
     "sump_depth": [{"value": "190 +/- 0.2 mm", "how": "drawing"}, {"value": "190.1 mm", "with": "depth-gauge"}],
     "flange": [{"id": "R1", "height": "0.1 mm"}]},
    {"kind": "pan", "id": "my-pan", "name": "Pan on the bench", "based_on": "deep-pan"},
    {"kind": "pan", "id": "two-tales", "name": "Pan of two tales",
     "sump_depth": [{"value": "180 mm", "with": "depth-gauge"}, {"value": "190 mm", "with": "depth-gauge"}]},
    {"kind": "pan", "id": "hostile-pan", "name": f"{SCRIPT} pan {SQL}", "maker": BREAK_OUT,
     "notes": SCRIPT + BREAK_OUT},
    {"kind": "pan_gasket", "id": "thin-gasket", "name": "Thin gasket", "installed_thickness": "2 +/- 0.05 mm"},
    {"kind": "pickup", "id": "short-tube", "name": "Short tube", "hang": "184 +/- 0.2 mm"},
    {"kind": "pickup", "id": "long-tube", "name": "Long tube", "hang": "191.8 +/- 0.2 mm"},
]  # fmt: skip
BUILD = {
    "kind": "build", "id": "drover", "name": "Drover on trial",
    "roles": {"pan": "my-pan", "pickup": "short-tube", "pan_gasket": "thin-gasket"},
}  # fmt: skip
HOSTILE_BUILD = {"kind": "build", "id": "hostile", "name": f"{SCRIPT}{BREAK_OUT}", "roles": {"pan": "hostile-pan"}}
CLASH = {
    "kind": "incompatibility", "id": "hostile-clash", "title": f"{SCRIPT} {SQL}",
    "parties": [{"role": "pan", "part": "hostile-pan"}], "symptom": BREAK_OUT, "cause": SCRIPT, "found": "bench",
    "evidence": [{"text": BREAK_OUT}], "remedy": SCRIPT, "harm": ["leaks"], "milestone": "drive", "by": SCRIPT,
}  # fmt: skip


def make(folder: Path) -> str:
    """The path of a fresh small base."""
    path = str(folder / "small.db")
    init(path)
    for record in (TERM, *PARTS, BUILD, HOSTILE_BUILD, CLASH):
        write_record(path, record, by="tests", origin="tests")
    return path
