"""Findings to words and JSON: the only place where a finding is put into sentences."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any, NamedTuple

from kb import units
from kb.build import Leaf
from kb.chance import FITS, NOT, OPEN
from kb.judge import Driver, Finding, LimitCheck
from kb.known import Clash
from kb.measure import Instrument, instruments
from kb.rules._rule import HARMS

ROOT3 = math.sqrt(3.0)
HOW = {
    "drawing": "from a drawing",
    "listing": "from a listing",
    "measured": "measured",
    "estimated": "estimated",
    "definition": "by definition",
    "user": "typed in",
    "combined": "combined from readings",
}
CAUTION = (
    "Oil under pressure, fuel, hot coolant, belts, batteries and a lifted car can hurt you: fire extinguisher at hand, "
    "eye protection, chocks and stands, battery disconnected, no open flame, guards on, mind hot parts. A verdict is "
    "advice, never a certificate: local codes, the event's rules and a licensed professional decide."
)


class Told(NamedTuple):
    """A finding in words. `measure` and `notes` are lists of sentences; `inputs` rows of name, value, how known.

    name: the rule's id with the qualifier of the part that it was asked of, if any.
    """

    rule: str
    name: str
    asks: str
    verdict: str
    headline: str
    reason: str
    fix: str
    harm: str
    milestone: str
    measure: tuple[str, ...]
    notes: tuple[str, ...]
    inputs: tuple[tuple[str, str, str], ...]
    caution: str


class ToldClash(NamedTuple):
    """A recorded incompatibility in words."""

    id: str
    headline: str
    reason: str
    fix: str
    harm: str
    milestone: str
    evidence: tuple[str, ...]
    verdict: str


def tell(finding: Finding, system: str = "mm") -> Told:
    """The finding in words; `system` is mm, in or in64."""
    deciding = finding.deciding if finding.checks else None
    details = detail_of(finding)
    measure = tuple(measure_lines(finding, system))
    notes = [*details.get("notes", ()), *_detail_lines(details, system), *_remedy_lines(details, system)]
    notes += [
        f"no {role.replace('_', ' ')} in this build: counted as {_plain(value)}"
        for role, value in finding.question.assumed
    ]
    notes += [f"{name} is worked out: {why}" for name, why in finding.question.derived]
    if finding.verdict != OPEN:  # else it stands under what to measure
        notes += [f"{name}: {words}" for name, words in finding.contradictions]
    limit = finding.limit
    return Told(
        rule=finding.rule.id,
        name=finding.name,
        asks=finding.rule.asks,
        verdict=finding.verdict,
        headline=headline(finding, system),
        reason=reason(finding, system),
        fix=fix(finding, deciding),
        harm=HARMS[limit.harm],
        milestone=limit.milestone,
        measure=measure,
        notes=tuple(notes),
        inputs=tuple(input_rows(finding, system)),
        caution=finding.rule.caution,
    )


def headline(finding: Finding, system: str = "mm") -> str:
    """One short line: the quantity with its spread, or what is missing."""
    if finding.because == "missing":
        names = [driver.leaf.name for driver in finding.drivers]
        more = f" and {len(names) - 2} more" if len(names) > 2 else ""
        return f"not recorded: {', '.join(names[:2])}{more}"
    if finding.quantity is None:
        return {"undefined": "cannot be worked out", "nothing": "nothing to judge"}.get(finding.because, "")
    show = _shower(finding, system)
    where = f"at {finding.station}: " if finding.station else ""
    spread = ""
    if finding.u and finding.because != "hopeless":
        spread = f" ± {_shower(finding, _decimal(system), spread=True)(2 * finding.u)}"
    if finding.rule.form == "count":
        return f"{where}{_count_words(finding, system)}"
    at_best = "at best " if finding.because == "hopeless" else ""
    return f"{where}{at_best}{show(finding.quantity)}{spread}{_limit_words(finding, show)}"


def _decimal(system: str) -> str:
    """The system for spreads: a 64th of an inch is too coarse for them."""
    return "in" if system == "in64" else system


def _count_words(finding: Finding, system: str) -> str:
    """A count in words: what was found amiss, else the choices that were compared, else the figure itself."""
    notes = detail_of(finding).get("notes", ())
    if notes and finding.verdict != FITS:
        return "; ".join(notes)
    facts = [f"{name.replace('_', ' ')}: {_plain(value).replace('_', ' ')}" for name, value in finding.question.used]
    if facts and finding.rule.quantity == "number":
        return ", ".join(facts)
    what = finding.rule.formula.partition("=")[0].strip()
    if finding.rule.quantity == "number":
        return f"none {what}" if not finding.quantity else f"{finding.quantity:g} {what}"
    show = _shower(finding, system)
    return f"{what} {show(finding.quantity)}{_limit_words(finding, show)}"


def _limit_words(finding: Finding, show: Any) -> str:
    check = finding.deciding
    if check is None:
        return ""
    least = [each for each in finding.checks if each.limit.side == "least" and (each.may_condemn or each is check)]
    most = [each for each in finding.checks if each.limit.side == "most" and (each.may_condemn or each is check)]
    low = max(least, key=lambda each: each.bound, default=None)
    high = min(most, key=lambda each: each.bound, default=None)
    if finding.verdict != FITS:
        check = _soft_doubt(finding) or check
        low, high = (check, None) if check.limit.side == "least" else (None, check)
    if low and high:
        return f" (allowed {show(low.bound)} to {show(high.bound)})"
    return f" (at least {show(low.bound)})" if low else f" (at most {show(high.bound)})" if high else ""


def reason(finding: Finding, system: str = "mm") -> str:
    """Why the verdict is what it is."""
    check = finding.deciding
    show = _shower(finding, system)
    sure = ""
    if finding.probability is not None:
        sure = f" Probability that it holds: {probability(finding.probability)}."
    if finding.because == "missing":
        return "Nothing is known that decides it, and what is plausible allows both answers."
    if finding.because == "hopeless":
        assert check is not None
        missing = " and ".join(driver.leaf.name for driver in finding.drivers)
        return f"Whatever {missing} turns out to be, it cannot fit: {check.limit.why}."
    if check is None:
        return _sentence(f"{finding.words}.") if finding.words else ""
    origin = f"limit: {check.own or check.limit.source.title}"
    if finding.rule.form == "count" and finding.verdict != OPEN:
        return _sentence(f"{check.limit.why}." if finding.verdict == NOT else f"as it must be ({origin}).")
    if finding.verdict == NOT:
        return f"{_sentence(check.limit.why)}; {_margin(check, show)} ({origin}).{sure}"
    if finding.because == "outside_usual":
        usual = next(each for each in finding.broken if not each.may_condemn)
        return (
            f"Outside the usual range ({_side(usual, show)}, {usual.limit.source.title}): {usual.limit.why}. "
            f"Set your own limit {usual.limit.name!r} if you know better. Probability that the usual range holds: "
            f"{probability(finding.usual)}."
        )
    soft = _soft_doubt(finding)
    if soft is not None:
        return (
            f"Inside what may not be broken, but perhaps outside the usual range ({_side(soft, show)}, "
            f"{soft.limit.source.title}): {soft.limit.why}. Probability that the usual range holds: "
            f"{probability(finding.usual)}."
        )
    if finding.because == "spread":
        return f"The figures are too vague to decide against {_side(check, show)} ({origin}).{sure}"
    return f"{_sentence(_margin(check, show))} ({origin}).{sure}"


def _soft_doubt(finding: Finding) -> LimitCheck | None:
    """The nearest limit that never condemns, where the spread leaves such limits in doubt and hardly any other."""
    hard, usual = finding.probability, finding.usual
    if finding.because != "spread" or hard is None or usual is None or 1.0 - hard > 0.25 * (1.0 - usual):
        return None
    return min((each for each in finding.checks if not each.may_condemn), key=lambda each: each.margin, default=None)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _side(check: LimitCheck, show: Any) -> str:
    return f"at {check.limit.side} {show(check.bound)}"


def _margin(check: LimitCheck, show: Any) -> str:
    if check.limit.source.id == "definition" and check.bound == 0 and check.margin < 0:
        return f"{show(-check.margin)} beyond the limit"
    if check.margin < 0:
        return f"{show(-check.margin)} beyond the limit of {_side(check, show)}"
    return f"{show(check.margin)} inside the limit of {_side(check, show)}"


def fix(finding: Finding, check: LimitCheck | None) -> str:
    """What to do about it."""
    if finding.verdict == FITS or check is None:
        return ""
    if finding.verdict == NOT:
        return check.limit.fix
    if finding.because == "outside_usual":
        return next(each for each in finding.broken if not each.may_condemn).limit.fix
    return "measure first; if it then does not fit: " + (_soft_doubt(finding) or check).limit.fix


def probability(p: float | None) -> str:
    """A probability in words that promise no more digits than there are."""
    if p is None:
        return "not computed"
    if p >= 0.999:
        return "over 99.9 %"
    if p <= 0.001:
        return "under 0.1 %"
    return f"{100 * p:.1f} %"


# -- what to measure -----------------------------------------------------------------------------------------------


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
        good = f"; settles it if good to ± {units.show(needed * ROOT3, feature.quantity, _decimal(system))}"
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


# -- inputs --------------------------------------------------------------------------------------------------------


def input_rows(finding: Finding, system: str = "mm") -> Iterable[tuple[str, str, str]]:
    """(role.feature, value with tolerance, how known) of everything the rule read; lists in one row each."""
    lists: dict[str, int] = {}
    for leaf in finding.question.leaves:
        head, _, rest = leaf.path.partition(".")
        if rest:
            lists[f"{leaf.role}.{head}"] = lists.get(f"{leaf.role}.{head}", 0) + 1
            continue
        if leaf.dimension is None:
            yield leaf.name, "not recorded", ""
            continue
        dimension = leaf.dimension
        value = units.show(dimension.value, leaf.feature.quantity, system)
        quantity = leaf.feature.quantity
        kind = "temperature_difference" if quantity == "temperature" else quantity
        spread = f" ± {units.show(2 * dimension.u, kind, _decimal(system))}" if dimension.u else ""
        yield leaf.name, value + spread, known_as(dimension)
    for name, value in finding.question.used:
        yield name, _plain(value), ""
    for name, count in lists.items():
        yield name, f"{count} values, see the part", ""


def known_as(dimension: Any) -> str:
    """How a dimension is known, in words."""
    words = HOW.get(dimension.how, dimension.how)
    if dimension.instrument:
        words += f" with the {dimension.instrument.replace('-', ' ')}"
    return ", ".join(part for part in (words, dimension.source, dimension.date) if part)


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, frozenset):
        return ", ".join(sorted(value)) or "none"
    return f"{value:g}" if isinstance(value, float) else str(value)


_DIGITS = {"percent": 1, "number": 2, "slope": 2, "pressure": 1, "volume": 2, "length": 2}


def _shower(finding: Finding, system: str, *, spread: bool = False) -> Any:
    """A function that words the rule's quantity, or with `spread` a difference of two such."""
    quantity = finding.rule.quantity
    metric = system == "mm" or quantity in ("percent", "number")
    digits = None
    if metric:
        digits = _DIGITS[quantity] if quantity in _DIGITS else _fitting_digits(finding, system)
    kind = "temperature_difference" if spread and quantity == "temperature" else quantity
    return lambda value: units.show(value, kind, system, digits=digits)


def _fitting_digits(finding: Finding, system: str) -> int | None:
    """Decimals that give the spread two figures; None, for the usual four figures, where nothing is uncertain."""
    if finding.rule.quantity == "temperature":
        return 1
    if not finding.u or not math.isfinite(finding.u):
        return None
    shown = 2 * finding.u / units.show_unit(finding.rule.quantity, system)[1]
    return min(max(1 - math.floor(math.log10(shown)), 0), 6)


# -- detail --------------------------------------------------------------------------------------------------------


def detail_of(finding: Finding) -> dict[str, Any]:
    """The rule's detail at the nominal values; empty when a value is missing or the rule has none."""
    return finding.question.detail()


def _detail_lines(details: dict[str, Any], system: str) -> Iterable[str]:
    """What a rule's detail gives as figures, in words."""

    def length(value: float) -> str:
        return units.show(value, "length", _decimal(system), digits=2 if system == "mm" else None)

    worst = details.get("unsealed")
    if worst:
        name = f"{worst['id']}" + (f" (passage {worst['passage']})" if worst["passage"] else "")
        if not worst["clamped"] and worst["passage"]:
            yield f"{name} is not sealed: it lies {length(worst['outside'])} outside what the bolts clamp"
        else:
            yield (
                f"{name} is not sealed: the gap is {length(worst['gap'])}, {length(worst['missing'])} more than the "
                f"free gasket; the bolts could draw in {length(worst['closable'])} of a rigid gap of "
                f"{length(worst['gap_rigid'])}"
            )
    parts = details.get("parts")
    if parts:
        largest = max(parts, key=lambda name: float(parts[name]))
        of, whole = (units.show(value, "pressure", system) for value in (parts[largest], details["total"]))
        flow = "laminar" if details["reynolds"] < 2000 else "turbulent"
        yield f"most of it is lost in the {largest} ({of} of {whole}), flow {flow} (Re {details['reynolds']:.0f})"


def _remedy_lines(details: dict[str, Any], system: str) -> list[str]:
    return [
        f"remedy: {words}" for words in (remedy_words(each, system) for each in details.get("remedies", ())) if words
    ]


def remedy_words(remedy: dict[str, Any], system: str = "mm") -> str:
    """A remedy with the figure, and whether the same computation says that it holds."""
    amount = units.show(remedy["amount"], "length", system, digits=2 if system == "mm" else None)
    what = {
        "gasket": f"a bead or gasket of at least {amount} free height",
        "shim": f"a shim of {amount} at {remedy['station']}",
        "dress": f"the places that stand proud dressed down by up to {amount}, until {remedy['station']} is reached",
        "none": "neither gasket, shim nor dressing closes it: another pan, or a bolt beside the passage",
    }[remedy["sort"]]
    if remedy["sort"] == "none":
        return what
    after = f"{100 * remedy['squeeze']:.0f} %"
    if not remedy["holds"]:
        return f"{what} is not enough: re-checked, the worst station is then at {after}"
    if remedy["squeeze"] <= 0:
        return f"{what} closes {remedy['station']} (re-checked), and leaves another station at {after}"
    return f"{what} (re-checked: the worst station is then squeezed {after})"


# -- clashes -------------------------------------------------------------------------------------------------------


def tell_clash(clash: Clash) -> ToldClash:
    """A recorded incompatibility in words."""
    known = clash.incompatibility
    who = " and ".join(f"{party.role} {party.part or 'of this sort'}" for party in known.parties)
    state = {"reported": "reported, not yet confirmed", "confirmed": "confirmed"}.get(known.status, known.status)
    if clash.unknown:
        state += f"; whether it applies hangs on {', '.join(clash.unknown)}: not known, or not well enough"
    found = " ".join(
        word for word in ("found", known.by and f"by {known.by}", known.found_date and f"on {known.found_date}") if word
    )
    cause = f" Cause: {known.cause}" if known.cause else ""
    symptom = known.symptom.rstrip()
    if cause and not symptom.endswith((".", "!", "?")):
        symptom += "."
    return ToldClash(
        known.id,
        known.title,
        f"{who}: {symptom}{cause} ({found}; {state})",
        known.remedy,
        ", ".join(HARMS.get(each, each) for each in known.harm),
        known.milestone,
        known.evidence,
        NOT if clash.certain else OPEN,
    )
