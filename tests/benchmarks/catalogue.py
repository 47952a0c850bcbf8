"""A seeded catalogue of invented parts, as big as wanted: pans, pickups, gaskets, rings, trays.

    from tests.benchmarks.catalogue import parts, records
    parts(10_000, seed=1)["pan"]          # Part objects
    python -m tests.benchmarks.catalogue 10000 > big.yaml   # record files to load

The figures are drawn with numpy's PCG64 around those of an oil pan for a V6: plausible, of no real maker. Some come
from drawings, some from sellers' lists, some were measured with a caliper or a depth gauge, and some are missing. Pans
have the choices, the flange and the oil ports of one pan of the sample.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy
import yaml

from kb.records.models import part_of
from kb.records.part import Part

SHARES = {"pan": 0.2, "pickup": 0.2, "pan_gasket": 0.1, "pickup_seal": 0.3, "windage_tray": 0.2}
MISSING = 0.04  # share of the figures that nobody recorded
# What every pan has as this one of the sample has it, so that pans can fit its block: choices, flange, oil ports.
MODEL = Path(__file__).parents[2] / "sample_db" / "records" / "pan" / "calder-38-pan.yaml"
COPIED = (
    "rail_pattern", "rear_seal", "front_seal", "dipstick_side", "construction", "baffled", "flange",
    "flange_thickness", "flange_width", "flange_modulus", "ports",
)  # fmt: skip
SAMPLE = yaml.safe_load(MODEL.read_text(encoding="utf-8"))
SHARED = {name: each for name, each in SAMPLE.items() if name in COPIED}
SHARED["known"] = {"how": "drawing"}
# Cords and gasket sheets are sold in a few sizes. Cords: ISO 3601-1; sheets: common practice, no source.
CORDS = (1.78, 2.62, 3.53, 5.33)
SHEETS = (0.8, 1.0, 1.5, 2.0, 2.4, 3.0)
BORES = (12.7, 16.5, 19.0, 22.0)
MOUTHS = (22.0, 24.6, 27.0)  # bores of pump inlets, as the sample has them


class Writer:
    """Draws one part after another."""

    def __init__(self, seed: int) -> None:
        self.draw = numpy.random.Generator(numpy.random.PCG64(seed))

    def pick(self, *of: Any) -> Any:
        return of[int(self.draw.integers(len(of)))]

    def figure(self, record: dict[str, Any], name: str, value: float, half: float, tool: str = "caliper") -> None:
        """A length in mm, told in one of four ways, or not at all."""
        if self.draw.random() < MISSING:
            return
        at = f"{value:.2f} mm"
        way = int(self.draw.integers(4))
        if way == 0:
            record[name] = {"value": f"{value:.2f} +/- {half:.2f} mm", "how": "drawing"}
        elif way == 1:
            record[name] = {"value": at, "how": "listing"}
        elif way == 2:
            record[name] = {"value": at, "with": tool}
        else:
            record[name] = {"value": f"{value:.1f} mm", "how": "listing", "tolerance": f"{2 * half:.2f} mm"}

    def close(self, record: dict[str, Any], name: str, value: float, half: float) -> None:
        """A length that matters to a tenth: from a drawing or a list with its tolerance, or by caliper."""
        if self.draw.random() >= MISSING:
            told: dict[str, Any] = {"value": f"{value:.2f} +/- {half:.2f} mm", "how": self.pick("drawing", "listing")}
            record[name] = self.pick(told, told, {"value": f"{value:.2f} mm", "with": "caliper"})

    def price(self, record: dict[str, Any], low: float, high: float) -> None:
        """Whole cents, or none."""
        if self.draw.random() >= MISSING:
            record["price"] = int(self.draw.integers(int(100 * low), int(100 * high))) / 100

    def pan(self, record: dict[str, Any]) -> None:
        record.update(SHARED)
        depth = self.draw.uniform(150.0, 215.0)
        self.figure(record, "sump_depth", depth, 0.8, "depth-gauge")
        shelf = self.draw.uniform(70.0, 130.0)
        self.figure(record, "shelf_depth", shelf, 0.8, "depth-gauge")
        # The outside, as makers tell it: to the next centimetre.
        outside = {"shelf": f"{10 * math.ceil(0.1 * shelf + 0.5)} +/- 1 mm",
                   "sump": f"{10 * math.ceil(0.1 * depth + 0.5)} +/- 1 mm"}  # fmt: skip
        record["hull"] = [{**box, "depth": outside[box["id"]]} for box in SAMPLE["hull"]]
        if self.draw.random() < 0.5:
            record["capacity"] = f"{self.draw.uniform(3.5, 6.5):.1f} L"
        self.price(record, 40, 400)

    def pickup(self, record: dict[str, Any]) -> None:
        joint = self.pick("radial", "radial", "face", "press")
        bore = self.pick(*BORES)
        record.update(joint=joint, foot_shape="round", bends=int(self.draw.integers(1, 4)), entrance="square")
        record["flange_bolts"] = 0 if joint == "press" else 2
        record["brace"] = bool(self.draw.random() < 0.8)
        self.figure(record, "hang", self.draw.uniform(145.0, 210.0), 1.0, "depth-gauge")
        self.figure(record, "foot_length", self.draw.uniform(45.0, 95.0), 0.5)
        self.figure(record, "tube_bore", bore, 0.15)
        self.figure(record, "tube_length", self.draw.uniform(150.0, 320.0), 3.0, "steel-rule")
        self.figure(record, "top_depth", self.draw.uniform(10.0, 60.0), 1.0, "depth-gauge")
        if joint == "radial":
            # Spigots are turned for the bores that pumps have and the cords that rings have.
            mouth, cord = self.pick(*MOUTHS), self.pick(*CORDS[1:3])
            self.close(record, "groove_diameter", mouth - 2.0 * cord * self.draw.uniform(0.74, 0.88), 0.05)
            self.close(record, "groove_width", 1.35 * cord, 0.1)
            self.close(record, "groove_from_flange", self.draw.uniform(4.0, 9.0), 0.1)
            self.close(record, "spigot_length", self.draw.uniform(10.0, 16.0), 0.2)
        self.price(record, 20, 180)

    def pan_gasket(self, record: dict[str, Any]) -> None:
        record.update(style=self.pick("sheet", "molded"), material=self.pick("cork_rubber", "nitrile", "silicone"))
        sheet = self.pick(*SHEETS)
        tell = self.pick("drawing", "listing")
        if self.draw.random() >= MISSING:
            record["free_thickness"] = {"value": f"{1.25 * sheet:.2f} +/- 0.10 mm", "how": tell}
        if self.draw.random() >= MISSING:
            name = "stop_thickness" if record["style"] == "molded" else "installed_thickness"
            record[name] = {"value": f"{sheet:.2f} +/- {self.pick('0.05', '0.20')} mm", "how": tell}
        self.price(record, 5, 60)

    def pickup_seal(self, record: dict[str, Any]) -> None:
        record["material"] = self.pick("nitrile", "fluoroelastomer", "silicone")
        self.close(record, "cord", self.pick(*CORDS), 0.08)
        self.close(record, "inner_diameter", float(self.draw.integers(28, 50)) / 2.0, 0.2)
        self.price(record, 1, 6)

    def windage_tray(self, record: dict[str, Any]) -> None:
        self.figure(record, "rim_thickness", self.pick(0.0, 0.8, 1.2), 0.1)
        self.figure(record, "top_depth", self.draw.uniform(5.0, 40.0), 1.0, "depth-gauge")
        self.figure(record, "bottom_depth", self.draw.uniform(45.0, 70.0), 1.0, "depth-gauge")
        record["pickup_way"] = self.pick("cut_out", "below")
        self.price(record, 15, 90)


def records(count: int, seed: int = 1) -> Iterator[dict[str, Any]]:
    """About `count` records, the kinds in the proportion of SHARES; the same for the same seed."""
    writer = Writer(seed)
    for kind, share in SHARES.items():
        for number in range(round(count * share)):
            record: dict[str, Any] = {"kind": kind, "id": f"gen-{kind.replace('_', '-')}-{number:05d}"}
            record["name"] = f"{kind.replace('_', ' ')} number {number}"
            record["maker"] = writer.pick("Aldine Castings", "Brightwater Fab", "Hob Lane Engineering")
            getattr(writer, kind)(record)
            yield record


def parts(count: int, seed: int = 1) -> dict[str, list[Part]]:
    """The same as parts, by kind."""
    found: dict[str, list[Part]] = {kind: [] for kind in SHARES}
    for record in records(count, seed):
        found[record["kind"]].append(part_of(record))
    return found


if __name__ == "__main__":
    import json

    for each in records(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000):
        print("---")
        print(json.dumps(each))
