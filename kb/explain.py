"""Findings to words and JSON: the only place where a finding is put into sentences."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any, NamedTuple

from kb import units
from kb.chance import FITS, NOT, OPEN
from kb.judge import Finding, LimitCheck
from kb.known import Clash
from kb.measuring_words import decimal, measure_lines, plain_name, with_spread
from kb.rules._rule import HARMS

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
    notes += [f"{plain_name(name)} is worked out: {why}" for name, why in finding.question.derived]
    if finding.verdict != OPEN:  # else it stands under what to measure
        notes += [f"{plain_name(name)}: {words}" for name, words in finding.contradictions]
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
        names = [plain_name(driver.leaf.name) for driver in finding.drivers]
        more = f" and {len(names) - 2} more" if len(names) > 2 else ""
        return f"not recorded: {', '.join(names[:2])}{more}"
    if finding.quantity is None:
        return {"undefined": "cannot be worked out", "nothing": "nothing to judge"}.get(finding.because, "")
    show = _shower(finding, system)
    where = f"at {finding.station}: " if finding.station else ""
    spread = ""
    if finding.u and finding.because != "hopeless":
        spread = f" ± {_shower(finding, decimal(system), spread=True)(2 * finding.u)}"
    if finding.rule.form == "count":
        return f"{where}{_count_words(finding, system)}"
    at_best = "at best " if finding.because == "hopeless" else ""
    return f"{where}{at_best}{show(finding.quantity)}{spread}{_limit_words(finding, show)}"


def _count_words(finding: Finding, system: str) -> str:
    """A count in words: what was found amiss, else the choices that were compared, else the figure itself."""
    notes = detail_of(finding).get("notes", ())
    if notes and finding.verdict != FITS:
        return "; ".join(notes)
    facts = [f"{plain_name(name)}: {_plain(value).replace('_', ' ')}" for name, value in finding.question.used]
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
        missing = " and ".join(plain_name(driver.leaf.name) for driver in finding.drivers)
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
        words = with_spread(dimension.value, 2 * dimension.u, leaf.feature.quantity, system)
        yield leaf.name, words, known_as(dimension)
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


def difference(finding: Finding, system: str = "mm") -> Callable[[float], str]:
    """A function that words a difference of two values of the rule's quantity, such as a margin."""
    show: Callable[[float], str] = _shower(finding, decimal(system), spread=True)
    return show


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
        return units.show(value, "length", decimal(system), digits=2 if system == "mm" else None)

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
