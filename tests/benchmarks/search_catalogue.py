"""A seeded catalogue of exact parts for the search against other engines: whole micrometres, whole cents, no spread.

    made = Catalogue(seed=1, pans=10_000, pickups=10_000)
    made.pan["depth"]            # whole numbers, one a part, as the other engines take them
    made.domains()["pan"]        # the same as columns of facts, as kb.search takes them
    made.candidates("pan")       # the same as parts, for the judge
    made.records("pan")          # the same as records to load

Every pan has the flange, the oil ports and the plan of the outside of one pan of the sample; what is drawn of it are
its figures, whether it is for this block at all, and its price. The figures are plausible and of no real maker. The
other engines are told nothing of flange and ports, on which all pans agree: that is in their favour.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

import numpy

from kb.base import Base
from kb.build import Build
from kb.measure import Dimension
from kb.records.part import Part
from kb.search.candidates import Candidate
from kb.search.columns import Column, Columns
from tests.benchmarks.catalogue import CORDS, SAMPLE
from tests.benchmarks.search_exact import BUILD, JOINTS, RAILS, REARS, SIDES, UM, exact_part, lowered

SHEETS = (800, 1_000, 1_500, 2_000, 2_100, 2_400, 3_000)
HOLES = ({"id": "rear-feed"}, {"id": "rear-return"})
SHAPES = ("round", "slot")
MOUTHS = (22.0, *[24.6] * 5, 27.0)  # mm; the pump here has the middle one
RINGS = (*CORDS[1:3], *CORDS[1:])
BORES = (12_700, 16_500, 19_000, 22_000)
STYLES = ("sheet", "molded")
ROLES = ("pan", "pickup", "pan_gasket", "pickup_seal")
Ints = Mapping[str, Any]


class Catalogue:
    """The same for the same seed and sizes. Missing figures (a slot's width is told, a round foot's is not) are 0."""

    def __init__(self, seed: int, pans: int, pickups: int, gaskets: int = 50, seals: int = 20) -> None:
        self.draw = numpy.random.Generator(numpy.random.PCG64(seed))
        self.sizes = {"pan": pans, "pickup": pickups, "pan_gasket": gaskets, "pickup_seal": seals}
        self.pan, self.pickup = self._pans(pans), self._pickups(pickups)
        self.pan_gasket, self.pickup_seal = self._gaskets(gaskets), self._seals(seals)

    def _of(self, several: tuple[Any, ...], count: int) -> Any:
        return self.draw.integers(len(several), size=count)

    def _pans(self, count: int) -> Ints:
        depth = self.draw.integers(150_000, 215_001, size=count)
        shelf = self.draw.integers(70_000, 130_001, size=count)
        return {
            "rail": self._of(RAILS, count),
            "rear": self._of(REARS, count),
            "side": self._of(SIDES, count),
            "depth": depth,
            # The outside as makers tell it: to the next half centimetre, wall included.
            "sump": -(-(depth + 2_000) // 5_000) * 5_000,
            "shelf": -(-(shelf + 2_000) // 5_000) * 5_000,
            "price": self.draw.integers(4_000, 40_000, size=count),
        }

    def _pickups(self, count: int) -> Ints:
        joint, shape = self._of(JOINTS, count), self._of(SHAPES, count)
        radial = numpy.array(JOINTS)[joint] == "radial"
        length = self.draw.integers(45_000, 95_001, size=count)
        mouth = numpy.array(MOUTHS)[self._of(MOUTHS, count)] * 1000.0
        cord = numpy.array(CORDS[1:3])[self._of((0, 1), count)] * 1000.0
        squeezed = self.draw.uniform(0.76, 0.86, size=count)
        whole = lambda each: numpy.where(radial, numpy.rint(each), 0).astype(numpy.int64)  # noqa: E731
        return {
            "joint": joint,
            "bolts": self.draw.integers(0, 3, size=count),
            "brace": (self.draw.random(count) < 0.8).astype(numpy.int64),
            "shape": shape,
            "hang": self.draw.integers(145_000, 210_001, size=count),
            "length": length,
            "width": numpy.where(shape == 1, (length * self.draw.uniform(0.5, 0.9, size=count)).astype(numpy.int64), 0),
            "bore": numpy.array(BORES)[self._of(BORES, count)],
            "groove": whole(mouth - 2.0 * cord * squeezed),
            "groove_width": whole(1.35 * cord),
            "groove_at": whole(self.draw.integers(2_500, 9_001, size=count)),
            "spigot": whole(self.draw.integers(10_000, 18_001, size=count)),
            "price": self.draw.integers(2_000, 18_000, size=count),
        }

    def _gaskets(self, count: int) -> Ints:
        return {
            "style": self._of(STYLES, count),
            "holes": (self.draw.random(count) < 0.8).astype(numpy.int64),
            "thick": numpy.array(SHEETS)[self._of(SHEETS, count)] + 100 * self.draw.integers(0, 2, size=count),
            "price": self.draw.integers(500, 6_000, size=count),
        }

    def _seals(self, count: int) -> Ints:
        return {
            "cord": numpy.rint(1000.0 * numpy.array(RINGS)[self._of(RINGS, count)]).astype(numpy.int64),
            "inner": 500 * self.draw.integers(34, 43, size=count),
            "price": self.draw.integers(100, 600, size=count),
        }

    # -- as columns of facts -------------------------------------------------------------------------------------

    def columns(self, kind: str) -> Columns:
        """The parts of a kind as kb.search takes them, without making parts."""
        made, facts = getattr(self, kind), {}
        for name, values in _CHOICES[kind].items():
            told, codes = _distinct(values)
            facts[_NAMES.get(name, name)] = Column.coded(codes[made[name]], told)
        for name, feature in _FIGURES[kind].items():
            facts[feature] = Column.exact(numpy.where(made[name] > 0, made[name] * UM, numpy.nan))
        count = self.sizes[kind]
        if kind == "pan":
            for name, value in PAN.facts.items():
                if name not in facts and name not in ("sump_depth", "shelf_depth", "capacity", "floor", "hull"):
                    facts[name] = Column.coded(numpy.zeros(count, dtype=numpy.int32), (value,))
            both, at = numpy.unique(made["shelf"] * 1_000_000 + made["sump"], return_inverse=True)
            hulls = tuple(_hull(int(each) // 1_000_000, int(each) % 1_000_000) for each in both)
            facts["hull"] = Column.coded(at, hulls)
        elif kind == "pan_gasket":
            thick = made["thick"] * UM
            facts["installed_thickness"] = Column.exact(numpy.where(made["style"] == 0, thick, numpy.nan))
            facts["stop_thickness"] = Column.exact(numpy.where(made["style"] == 1, thick, numpy.nan))
        elif kind == "pickup":
            facts["flange_bolts"] = Column.coded(made["bolts"], (0, 1, 2))
            facts["brace"] = Column.coded(made["brace"], (False, True))
        return Columns(kind, Ids(kind, count), made["price"] / 100.0, facts)

    def domains(self) -> dict[str, Columns]:
        return {kind: self.columns(kind) for kind in ROLES}

    def candidates(self, kind: str) -> list[Candidate]:
        """The parts of a kind, for the judge."""
        made = self.columns(kind)
        parts = [made.part(at) for at in range(len(made))]
        return [Candidate(part, part.price) for part in parts]

    # -- as records ----------------------------------------------------------------------------------------------

    def records(self, kind: str) -> Iterator[dict[str, Any]]:
        """Record files' content, figures by definition: exact."""
        made = getattr(self, kind)
        for at in range(self.sizes[kind]):
            record: dict[str, Any] = {"kind": kind, "id": identity(kind, at), "name": f"{kind} number {at}"}
            for name, values in _CHOICES[kind].items():
                value = values[int(made[name][at])]
                if value is not None:
                    record[_NAMES.get(name, name)] = value
            for name, feature in _FIGURES[kind].items():
                if made[name][at]:
                    record[feature] = _told(made[name][at])
            if kind == "pan":
                record.update(SHARED)
                record["hull"] = [
                    {**box, "depth": _told(made[box["id"]][at])} for box in SAMPLE["hull"]
                ]  # fmt: skip
            elif kind == "pan_gasket":
                name = "installed_thickness" if made["style"][at] == 0 else "stop_thickness"
                record[name] = _told(made["thick"][at])
                record["holes"] = [dict(each) for each in HOLES if made["holes"][at]]
            elif kind == "pickup":
                record["flange_bolts"], record["brace"] = int(made["bolts"][at]), bool(made["brace"][at])
            record["price"] = int(made["price"][at]) / 100
            yield record


class Ids:
    """Names of the parts, made when asked for."""

    def __init__(self, kind: str, count: int) -> None:
        self.kind, self.count = kind, count

    def __len__(self) -> int:
        return self.count

    def __getitem__(self, at: int) -> str:
        if not 0 <= at < self.count:
            raise IndexError(at)
        return identity(self.kind, at)


def identity(kind: str, at: int) -> str:
    return f"exact-{kind.replace('_', '-')}-{at:07d}"


def _told(value: Any) -> dict[str, str]:
    return {"value": f"{int(value) / 1000:.3f} mm", "how": "definition"}


def _stated(text: str) -> dict[str, str]:
    """A figure of the sample without what it may be off by."""
    return {"value": re.sub(r" \+/- [0-9.]+", "", text), "how": "definition"}


def _distinct(values: tuple[Any, ...]) -> tuple[tuple[Any, ...], Any]:
    """The different values, and for each place the place among these."""
    told = [each for at, each in enumerate(values) if each not in values[:at]]
    return tuple(told), numpy.array([told.index(each) for each in values], dtype=numpy.int32)


def _hull(shelf: int, sump: int) -> tuple[dict[str, Any], ...]:
    depth = {"shelf": Dimension(shelf * UM), "sump": Dimension(sump * UM)}
    return tuple({**box, "depth": depth[box["id"]]} for box in PAN.facts["hull"])


def fixed(base: Base) -> Build:
    """Block, pump and car of the sample without errors."""
    made = base.build("", BUILD)
    return made._replace(parts=lowered(made.parts))


def _sample_pan() -> Part:
    from kb.records.models import part_of

    return exact_part(part_of(SAMPLE))


PAN = _sample_pan()
# What every record of a pan says beside its own figures, errors taken out.
SHARED: dict[str, Any] = {
    "front_seal": SAMPLE["front_seal"], "construction": SAMPLE["construction"], "baffled": SAMPLE["baffled"],
    **{name: _stated(SAMPLE[name]) for name in ("flange_thickness", "flange_width", "flange_modulus")},
    "ports": [
        {**each, **{name: _stated(each[name]) for name in ("bore", "land")}}
        for each in SAMPLE["ports"]
    ],
    "flange": [{**each, "height": _stated(each["height"])} for each in SAMPLE["flange"]],
}  # fmt: skip
_NAMES = {"rail": "rail_pattern", "rear": "rear_seal", "side": "dipstick_side", "shape": "foot_shape"}
_CHOICES: dict[str, dict[str, tuple[Any, ...]]] = {
    "pan": {"rail": RAILS, "rear": REARS, "side": SIDES},
    "pickup": {"joint": JOINTS, "shape": SHAPES},
    "pan_gasket": {"style": STYLES, "holes": ((), HOLES)},
    "pickup_seal": {},
}  # fmt: skip
_FIGURES: dict[str, dict[str, str]] = {
    "pan": {"depth": "sump_depth"},
    "pickup": {
        "hang": "hang", "length": "foot_length", "width": "foot_width", "bore": "tube_bore",
        "groove": "groove_diameter", "groove_width": "groove_width", "groove_at": "groove_from_flange",
        "spigot": "spigot_length",
    },
    "pan_gasket": {},
    "pickup_seal": {"cord": "cord", "inner": "inner_diameter"},
}  # fmt: skip
