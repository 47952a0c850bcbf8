"""What to measure next for one finding, in words: feature, instrument, how to hold it, how good it must be."""

from __future__ import annotations

import math
from collections.abc import Iterable

from kb import units
from kb.build import Leaf
from kb.chance import OPEN
from kb.judge import Driver, Finding
from kb.measure import Instrument, instruments

ROOT3 = math.sqrt(3.0)


def decimal(system: str) -> str:
    """The system for spreads: a 64th of an inch is too coarse for them."""
    return "in" if system == "in64" else system


def with_spread(value: float, half: float, quantity: str, system: str = "mm") -> str:
    """`188.1 mm ± 1.2 mm`, both SI: in millimetres the spread has two figures, and the value is no finer than that."""
    kind = "temperature_difference" if quantity == "temperature" else quantity
    if not half:
        return units.show(value, quantity, system)
    whole = units.show(value, quantity, system)
    word, factor = units.show_unit(kind, system)
    if system != "mm" or not math.isfinite(half) or (quantity == "pressure" and not whole.endswith(f" {word}")):
        return f"{whole} ± {units.show(half, kind, decimal(system))}"
    digits = min(max(1 - math.floor(math.log10(half / factor)), 0), 6)
    return f"{_short(units.show(value, quantity, digits=digits))} ± {_short(units.show(half, kind, digits=digits))}"


def _short(shown: str) -> str:
    """Without the noughts that end a decimal fraction."""
    figure, space, unit = shown.partition(" ")
    return (figure.rstrip("0").rstrip(".") if "." in figure else figure) + space + unit


def plain_name(where: str) -> str:
    """A feature as people say it: `pan.sump_depth` -> `the sump depth of the pan`, with `at P1` for an entry of a list.

    What has no dot in it comes back with spaces for underscores.
    """
    name, _, path = where.partition(".")
    head, _, inner = path.partition(".")
    if not head:
        return where.replace("_", " ")
    entry, _, field = inner.rpartition(".")
    part = name.replace("_", " ").replace(":", ", ")
    at = f" at {entry or field}" if inner else ""
    owner = f"the {part}'s {head.replace('_', ' ')}" if entry else f"the {part}"
    return f"the {(field if entry else head).replace('_', ' ')}{at} of {owner}"


def measure_lines(finding: Finding, system: str = "mm") -> Iterable[str]:
    """What to measure next, the most telling first: feature, instrument, how to hold it, how good it must be."""
    if finding.verdict != OPEN:
        return
    shown = [each for each in finding.drivers if finding.because == "missing" or each.share >= 0.02][:4]
    if finding.because == "outside_usual":  # sure enough: a better figure would not change it
        shown = []
    if finding.because == "missing":
        yield from _missing_lines(finding, system)
        shown = []
    for driver in shown:
        yield measure_line(driver, system)
    for leaf, words in finding.contradictions:
        yield f"{leaf}: measure it again ({words})"


def _missing_lines(finding: Finding, system: str) -> Iterable[str]:
    """One line for each feature that is not recorded; entries of a list that lack the same figure share one."""
    groups: dict[tuple[str, str, str], list[Driver]] = {}
    for driver in finding.drivers:
        head, _, rest = driver.leaf.path.partition(".")
        entry, _, field = rest.rpartition(".")
        groups.setdefault((driver.leaf.role, head, field if entry else rest), []).append(driver)
    for (role, head, field), drivers in list(groups.items())[:4]:
        if len(drivers) == 1:
            yield measure_line(drivers[0], system)
            continue
        entries = [driver.leaf.path.split(".")[1] for driver in drivers]
        more = f" and {len(entries) - 6} more" if len(entries) > 6 else ""
        feature = drivers[0].leaf.feature
        tool = best_tool(drivers[0].leaf, None)
        how = f": {feature.measure}" if feature.measure else ""
        by = f" [{tool.name}]" if tool and tool.id != "eye" else ""
        yield f"{role}.{head}: {field.replace('_', ' ')} at {', '.join(entries[:6])}{more}{how}{by}"


def measure_line(driver: Driver, system: str = "mm") -> str:
    """One measurement: what, with what, how, how good."""
    leaf = driver.leaf
    feature = leaf.feature
    what = f"{leaf.name} ({feature.meaning})" if leaf.path == feature.name else f"{leaf.name}"
    how = f": {feature.measure}" if feature.measure else ""
    needed = driver.needed
    if needed is not None and leaf.dimension is not None and needed < 1e-3 * leaf.dimension.u:
        needed = None  # on the very limit: no instrument is that good
    tool = best_tool(leaf, needed)
    by = f" [{tool.name}]" if tool and tool.id != "eye" else ""
    good = ""
    if needed is not None and feature.quantity:
        good = f"; settles it if good to ± {units.show(needed * ROOT3, feature.quantity, decimal(system))}"
        if tool is None:
            good += ", finer than the usual tools"
    elif leaf.dimension is not None:
        good = "; on its own it cannot settle it"
    share = f" ({100 * driver.share:.0f} % of the doubt)" if driver.share else ""
    return f"{what}{share}{how}{by}{good}"


def best_tool(leaf: Leaf, needed: float | None) -> Instrument | None:
    """The quickest of the feature's instruments that is good enough; None if there is none."""
    table = instruments()
    value = leaf.dimension.value if leaf.dimension else 0.0
    fit = [
        table[name]
        for name in leaf.feature.tools
        if name in table and (needed is None or table[name].u_at(value) <= needed or name == "eye")
    ]
    return min(fit, key=lambda tool: (tool.minutes, tool.id), default=None)
