"""Workshop notation: the values of the sample and of the published examples, changed sign by sign."""

from __future__ import annotations

import math
import random
from collections.abc import Iterable
from typing import Any

from kb.errors import Fault, NotationFault
from kb.reading_files import read
from kb.records import KINDS
from kb.records import values as written
from kb.units import KINDS as QUANTITIES
from kb.units import Designation, designation, parse, show
from kb.units import read as read_anything
from tests.hostile import words
from tests.hostile.campaign import Outcome
from tests.hostile.records_campaign import SAMPLES


def make(name: str) -> Notation:
    return Notation()


class Notation:
    """Every text goes to every reader of the grammar, under a random kind of quantity and unit."""

    def __init__(self) -> None:
        self.good = sorted({*_texts([each.data for each in read([SAMPLES]).records]), *_examples()})
        self.features = [
            feature for kind in KINDS.values() for feature in kind.features.values() if feature.sort == "dimension"
        ]

    def case(self, rnd: random.Random) -> Outcome:
        text = words.text(rnd, rnd.choice(self.good)) if rnd.random() < 0.9 else rnd.choice(self.good)
        kind = rnd.choice([None, *QUANTITIES])
        unit = rnd.choice([None, "in", "mm", "degC", "%", "", "bogus"])
        feature = rnd.choice(self.features)
        said = f"{text[:120]!r} as {kind} in {unit}, and for {feature.name}"
        sort = "refused"
        readers = (
            read_anything,
            designation,
            lambda given: parse(given, kind, unit=unit, place="x"),
            lambda given: written.read_dimension(feature, given),
        )
        for reader in readers:
            try:
                got: Any = reader(text)
            except NotationFault as fault:
                if len(str(fault)) > 900:
                    return Outcome("refused", f"is told in {len(str(fault))} signs", said)
                continue
            except Fault as fault:  # a feature's own words: beyond what is plausible
                if not fault.message or len(str(fault)) > 1200:
                    return Outcome("refused", f"is told badly: {fault!s:.200}", said)
                continue
            sort = "accepted"
            if wrong := _wrong(got, rnd):
                return Outcome(sort, wrong, said)
        return Outcome(sort, "", said)

    def close(self) -> Iterable[str]:
        return ()


def _wrong(got: Any, rnd: random.Random) -> str:
    """What is wrong with a value that was read: not finite, or another one once shown and read again."""
    if isinstance(got, dict):
        numbers = [got["si"], got.get("half", 0.0)]
    elif isinstance(got, Designation):
        numbers = list(got.numbers)
    else:
        numbers = [got.value, got.half_width or 0.0]
    if not all(math.isfinite(number) for number in numbers):
        return f"gives {numbers}"
    if isinstance(got, dict | Designation) or not 1e-6 < abs(got.value) < 1e9 or got.kind not in QUANTITIES:
        return ""
    system = rnd.choice(("mm", "in"))
    shown = show(got.value, got.kind, system)
    back = parse(shown, got.kind).value
    # Four digits of five are shown at least, a length to 0.5 um or 0.0005 in, a temperature to 0.05 K.
    slack = 0.51e-3 * abs(got.value) + {"length": 1.3e-5, "temperature": 0.051}.get(got.kind, 0.0)
    return "" if abs(back - got.value) <= slack else f"is {got.value}, shown as {shown}, which reads as {back}"


def _texts(value: Any) -> set[str]:
    if isinstance(value, str):
        return {value} if len(value) <= 60 else set()
    if isinstance(value, dict | list):
        return {text for inner in (value.values() if isinstance(value, dict) else value) for text in _texts(inner)}
    return set()


def _examples() -> set[str]:
    return {quantity.example for quantity in QUANTITIES.values()}
