"""The shopping and scavenging list in words."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable
from typing import Any, NamedTuple

from kb.buying import Check, Item, Offer, Option, Shopping, recorded_as
from kb.chance import FITS, NOT
from kb.explain import headline
from kb.measure import instruments
from kb.measuring_words import measure_line, with_spread

PHONE = 40  # columns of a phone
FEW = 4  # checks shown of one part, unless all are asked for
SOURCES = {
    "yard": "From the breaker's yard",
    "shop": "From a shop",
    "bench": "To be made at the bench",
}
CAUTION = (
    "In the yard: the car stands firmly on the ground or on stands before anybody reaches under it, battery off, fuel "
    "and coolant may be under pressure, no flame near fuel, gloves and eye protection. The yard's own rules go before."
)


HINT = "What could be in a role is not judged here: try it in the build first."


class ToldItem(NamedTuple):
    """An item in words. where, checks, clashes: a line each; more: how many checks are not shown."""

    role: str
    id: str
    what: str
    price: str
    verdict: str
    bad: tuple[str, ...]
    where: tuple[str, ...]
    options: tuple[str, ...]
    checks: tuple[str, ...]
    more: int
    clashes: tuple[str, ...]
    note: str


class Told(NamedTuple):
    """The list in words. sources: (title, items) of each source that has some."""

    build: str
    name: str
    summary: str
    sum: str
    sources: tuple[tuple[str, tuple[ToldItem, ...]], ...]
    caution: str
    hint: str
    small: tuple[str, ...] = ()
    got: tuple[str, ...] = ()  # what to type once something is at hand


def money(price: float | None, currency: str) -> str:
    """A price as a list says it."""
    return "price not known" if price is None else f"{price:,.2f}".removesuffix(".00") + f" {currency}"


def told(found: Shopping, system: str = "mm", *, every: bool = False) -> Told:
    """The list in words; `every`: all checks of each part."""
    sources = tuple(
        (SOURCES[source], tuple(_item(each, system, every) for each in found.of(source)))
        for source in SOURCES
        if found.of(source)
    )
    count = len(found.items)
    empty = sum(each.part is None for each in found.items)
    things = "1 part" if count == 1 else f"{count} parts"
    none = f"; {empty} of them nobody has chosen yet" if empty else ""
    summary = f"{things} to get before this build can {_GOALS[found.milestone]}{none}." if count else (
        f"Nothing is to be bought before this build can {_GOALS[found.milestone]}."
    )  # fmt: skip
    hint = HINT if any(each.options for each in found.items) else ""
    caution = CAUTION if found.of("yard") else ""
    small = tuple(each.replace("_", " ") for each in found.small)
    if small:
        summary += f" Besides them a box of small parts: {len(small)} still to get."
    return Told(found.build, found.name, summary, sum_words(found), sources, caution, hint, small, _got(found))


def _got(found: Shopping) -> tuple[str, ...]:
    """What to type once something is at hand; a part that differs from its record is read first."""
    bought = next((each.role for each in found.items if each.part is not None), "")
    lines = [f"matchmark fill {found.build} --got {bought} (--got all: everything is)"] if bought else []
    return (*lines, *([f"matchmark done {found.build} {found.small[0]}"] if found.small else []))


_GOALS = {"prime": "be primed", "crank": "be cranked", "fire": "be fired", "drive": "be driven"}


def sum_words(found: Shopping) -> str:
    """The sum of what is known, and how much is not."""
    known = len(found.items) - found.unknown
    if not found.items:
        return ""
    sums = " and ".join(money(total, currency) for currency, total in sorted(found.totals.items()))
    said = f"{sums} for {known} of {len(found.items)}" if known else "no price is known"
    missing = f"; the price of {found.unknown} is not known, so the true sum is higher" if found.unknown else ""
    return f"{said}{missing}" if known else f"{said} for any of {len(found.items)}"


def _item(item: Item, system: str, every: bool) -> ToldItem:
    part = item.part
    what = f"{part.name}" + (f" ({part.maker})" if part.maker else "") if part else "nothing chosen yet"
    shown = item.checks if every else item.checks[:FEW]
    return ToldItem(
        item.role,
        part.id if part else "",
        what,
        money(item.price, item.currency),
        item.verdict,
        tuple(f"{each.rule.asks} {_sentence(_plain(headline(each, system)))}" for each in item.bad),
        tuple(_where(each, part.id if part else "") for each in item.offers) or _nowhere(item),
        tuple(_option(each) for each in item.options),
        tuple(check_words(each, system) for each in shown),
        len(item.checks) - len(shown),
        tuple(f"{each.title} ({each.status}): {each.symptom}" for each in item.clashes),
        item.note,
    )


def _nowhere(item: Item) -> tuple[str, ...]:
    if item.source == "yard" and item.part is not None:
        return ("no car that carries it is recorded",)
    return ()


def _where(offer: Offer, part: str) -> str:
    donor, carried = offer
    place = ", ".join(word for word in (donor.car, donor.years, donor.place) if word)
    seen = f", seen {donor.seen}" if donor.seen else ""
    model = f" as {carried.part}" if part and carried.part != part else ""
    note = f"; {carried.note}" if carried.note else ""
    return f"{donor.name}{f' ({place})' if place else ''}{seen}{model}: {money(carried.price, carried.currency)}{note}"


def _option(option: Option) -> str:
    if option.owned:
        return f"{option.name} ({option.part}): you own it"
    where = f", at {option.offers[0].donor.name}" if option.offers else ""
    return f"{option.name} ({option.part}): {money(option.price, option.currency)}{where}"


def check_words(check: Check, system: str = "mm") -> str:
    """What to look at: the feature, how, what its record says, and what hangs on it."""
    feature = check.feature
    name = feature.name.replace("_", " ")
    entries = f" at {', '.join(check.entries[:4])}{', ...' if len(check.entries) > 4 else ''}" if check.entries else ""
    if check.driver is not None and not check.entries:
        how = measure_line(check.driver, system).partition(": ")[2] or _how(check)
    else:
        how = _how(check)
    said = f"{name}{entries}" + (f": {how}" if how else "")
    recorded = _recorded(check, system)
    if recorded:
        said += f". {recorded}"
    return _sentence(f"{said}. {_hangs(check, system)}")


def _how(check: Check) -> str:
    table = instruments()
    tools = [table[name] for name in check.feature.tools if name in table]
    in_yard = [each.name for each in tools if "yard" in each.where and each.id != "eye"]
    others = [each.name for each in tools if each.id != "eye"]
    by = f" [{(in_yard or others)[0]}]" if others else ""
    return f"{check.feature.measure}{by}".strip()


def _recorded(check: Check, system: str) -> str:
    dimension = recorded_as(check)
    if dimension is not None:
        return f"Recorded {with_spread(dimension.value, 2 * dimension.u, check.feature.quantity, system)}"
    if check.recorded is None:
        return "" if check.entries or check.rules else "Not recorded"
    if isinstance(check.recorded, tuple):
        return ""
    value = {True: "yes", False: "no"}.get(check.recorded, check.recorded) if isinstance(check.recorded, bool) else (
        ", ".join(sorted(map(str, check.recorded))) if isinstance(check.recorded, frozenset) else check.recorded
    )  # fmt: skip
    as_said = all(each.verdict == FITS for each in check.findings)
    return f"{'It must be as recorded' if as_said else 'Recorded'}: {str(value).replace('_', ' ')}"


def _hangs(check: Check, system: str) -> str:
    """The question that it decides, with where it stands now."""
    if check.findings:
        first = check.findings[0]
        state = {FITS: "fits", NOT: "does not fit"}.get(first.verdict, "cannot tell")
        more = f" And {len(check.findings) - 1} more." if len(check.findings) > 1 else ""
        words = _plain(headline(first, system))
        if first.verdict == FITS and not _FIGURE.search(words):
            words = ""  # codes that agree: which ones is said as recorded
        return f"{first.rule.asks} {_sentence(f'{state}, {words}' if words else state)}{more}"
    more = f" And {len(check.rules) - 1} more." if len(check.rules) > 1 else ""
    return f"{check.rules[0].asks}{more}" if check.rules else ""


_FIGURE = re.compile(r"(?<![A-Za-z0-9-])[-+]?[0-9]")
_NAME = re.compile(r"\b([a-z][a-z_]*(?: [a-z]+)*(?::[a-z0-9-]+)?)\.([a-z][a-z_ .]*)")


def _plain(words: str) -> str:
    """Names of features as one says them: "sump depth of the pan" for pan.sump_depth."""
    return _NAME.sub(lambda found: f"{found[1]} {found[2]}".replace("_", " ").replace(".", " "), words)


def _sentence(words: str) -> str:
    words = words.strip()
    return words if not words or words[-1] in ".?!" else f"{words}."


def as_text(found: Shopping, *, width: int = 80, system: str = "mm", every: bool = False) -> str:
    """The list to print or to carry on a phone (width 40), a box before each item."""
    words = told(found, system, every=every)
    out = [*_lines(f"{words.name}: shopping list", width), *_lines(words.summary, width)]
    for title, items in words.sources:
        out += ["", *_lines(f"{title} ({len(items)})", width)]
        for item in items:
            out += _item_lines(item, width)
    if words.small:
        out += ["", *_lines(f"Box of small parts ({len(words.small)})", width)]
        for each in words.small:
            out += _lines(f"[ ] {each}", width, "    ", "")
    if words.sum:
        out += ["", *_lines(f"Sum: {words.sum}.", width)]
    for number, command in enumerate(words.got):
        out += ["", "When it is at hand:"] if not number else []
        out += _lines(command, width, "      ", "  ")
    if words.hint:
        out += ["", *_lines(f"{words.hint} matchmark check {words.build} ROLE=PART", width)]
    if words.caution:
        out += ["", *_lines(words.caution, width)]
    return "\n".join(out) + "\n"


def _item_lines(item: ToldItem, width: int) -> Iterable[str]:
    head = f"[ ] {item.role.replace('_', ' ')}: {item.what}; {item.price}"
    yield from _lines(head, width, "    ", "")
    if item.id:
        yield from _lines(item.id, width, "    ")
    for line in item.bad:
        yield from _lines(f"DOES NOT FIT: {line}", width, "      ", "    ")
    for label, lines in (
        ("at", item.where), ("could be", item.options), ("check", item.checks), ("known trouble", item.clashes),
    ):  # fmt: skip
        for line in lines:
            yield from _lines(f"{label}: {line}", width, "      ", "    ")
    if item.more:
        yield from _lines(f"{item.more} more to check: --all", width, "      ", "    ")
    if item.note:
        yield from _lines(f"note: {item.note}", width, "      ", "    ")


def _lines(words: str, width: int, indent: str = "", first: str | None = None) -> list[str]:
    head = indent if first is None else first
    return textwrap.wrap(words, width, initial_indent=head, subsequent_indent=indent, break_on_hyphens=False)


def as_json(found: Shopping, system: str = "mm") -> dict[str, Any]:
    """Plain data: all checks of every item."""
    words = told(found, system, every=True)
    titles = {title: source for source, title in SOURCES.items()}
    items = []
    for title, some in words.sources:
        for item, raw in zip(some, found.of(titles[title]), strict=True):
            donors = [
                {"donor": each.donor.id, "part": each.carried.part, "price": each.carried.price,
                 "currency": each.carried.currency} for each in raw.offers
            ]  # fmt: skip
            options = [
                {"part": each.part, "price": each.price, "currency": each.currency, "owned": each.owned,
                 "donors": [offer.donor.id for offer in each.offers]} for each in raw.options
            ]  # fmt: skip
            items.append({
                "role": item.role, "part": item.id or None, "name": item.what, "source": raw.source,
                "price": raw.price, "currency": raw.currency, "verdict": item.verdict or None,
                "does_not_fit": [each.name for each in raw.bad], "donors": donors, "options": options,
                "checks": [
                    {"feature": check.feature.name, "entries": [*check.entries], "words": said,
                     "rules": [each.name for each in check.findings] or [each.id for each in check.rules]}
                    for check, said in zip(raw.checks, item.checks, strict=True)
                ],
                "incompatibilities": [each.id for each in raw.clashes], "note": item.note,
            })  # fmt: skip
    return {
        "build": found.build, "name": found.name, "milestone": found.milestone, "items": items,
        "totals": dict(found.totals), "unknown_prices": found.unknown, "summary": words.summary, "sum": words.sum,
        "caution": words.caution, "hint": words.hint, "small_parts": [*found.small], "got": [*words.got],
    }  # fmt: skip
