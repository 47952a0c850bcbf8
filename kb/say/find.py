"""What a search of the catalogue found, in words and as plain data."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from typing import Any, NamedTuple

from kb.chance import FITS, NOT, OPEN
from kb.errors import visible
from kb.explain import CAUTION, headline, tell
from kb.ready.steps import settling_step
from kb.roles import role
from kb.search.find import Found, Rejection, Row
from kb.search.tables import FITS as HOLDS
from kb.search.tables import NOT as REJECTS

EXIT = {FITS: 0, NOT: 1, OPEN: 3}
REASONS = 12  # rules that the text lists by how much they reject
_WORDS = {HOLDS: FITS, REJECTS: NOT}


class ToldPart(NamedTuple):
    """A part of a row. state: 'owned', 'under consideration', 'in the build', or empty."""

    role: str
    id: str
    name: str
    maker: str
    price: str
    state: str


class ToldRow(NamedTuple):
    """A row. margin: as a share; rule and closest: the rule that decides, and what it says; measure: the one thing;
    do: the fix, where measuring cannot help."""

    parts: tuple[ToldPart, ...]
    verdict: str
    price: str
    margin: str
    rule: str
    closest: str
    measure: str
    do: str
    open_rules: tuple[str, ...]
    no_rules: tuple[str, ...]


class Told(NamedTuple):
    """A search, ready for a terminal or a page."""

    title: str
    verdict: str
    summary: str
    apart: str
    fits: tuple[ToldRow, ...]
    cannot_tell: tuple[ToldRow, ...]
    misfits: tuple[ToldRow, ...]
    rejected: tuple[tuple[str, str, str], ...]  # rule, what it asks, how many
    remarks: tuple[str, ...]
    steps: tuple[str, ...]  # commands to type next, for a recorded build


def many(count: int, one: str, several: str = "") -> str:
    """'1 part', '12,000 parts'."""
    return f"{count:,} {one if count == 1 else several or one + 's'}"


def verdict_of(found: Found) -> str:
    """'fits' if anything does, 'does not fit' if nothing can, else 'cannot tell'."""
    return FITS if found.fitting else OPEN if found.unknown else NOT


def money(price: float | None, currency: str) -> str:
    return "price unknown" if price is None else f"{price:.2f} {currency}"


def tell_found(found: Found, system: str = "mm") -> Told:
    """The search in words."""
    names = " and ".join(role.replace("_", " ") for role in found.roles)
    fixed = found.fixed.name if found.fixed.parts else "nothing else"
    whole = many(found.total, "combination") if len(found.roles) > 1 else many(found.total, "part")
    summary = f"Of {whole} {found.fitting:,} fit, {found.unknown:,} cannot be told, {found.rejected:,} do not fit."
    if len(found.roles) > 1:
        parts = ", ".join(f"{count:,} for {role.replace('_', ' ')}" for role, count in found.candidates.items())
        summary += f" Recorded parts: {parts}."
    return Told(
        f"{names} with {fixed}",
        verdict_of(found),
        summary,
        _apart(found),
        tuple(_row(found, each, system) for each in found.fits),
        tuple(_row(found, each, system) for each in found.cannot_tell),
        tuple(_row(found, each, system) for each in found.misfits),
        tuple(_rejection(each) for each in sorted(found.rejected_by, key=lambda each: -each.combinations)),
        tuple(_remarks(found)),
        tuple(_steps(found)),
    )


def _steps(found: Found) -> list[str]:
    """What to type next: put the best row in, or read what decides, or ask why nothing fits."""
    build = found.fixed
    if build.loose or not build.id:
        return []
    if found.fits:
        some = " ".join(
            f"{name}={each.id}" for name, each in zip(found.roles, found.fits[0].parts, strict=True) if each.part
        )
        return [f"matchmark fill {build.id} {some}"] if some else []
    open_ = [each for each in found.cannot_tell if each.finding is not None]
    for row in open_:
        step = settling_step(row.finding, build) if row.finding is not None else ""
        if step:
            return [step]
    if open_:
        return [f"matchmark measure {build.id}"]
    if found.total:
        return [f"matchmark why-not {' '.join(found.roles)} {build.id}"]
    return [f"matchmark blank {role(found.roles[0]).kind.kind}"]


def _apart(found: Found) -> str:
    if not found.apart:
        return ""
    names = ", ".join(role.replace("_", " ") for role in found.apart)
    others = "anything else: name the parts that it must fit" if not found.fixed.parts else "the other parts"
    return f"No rule that could be asked joins {names} to {others}; so nothing is said to fit."


def _remarks(found: Found) -> list[str]:
    made = []
    for name, said in _unsuited(found).items():
        made.append(f"Left out for {name.replace('_', ' ')}, which must be {said[1]}: {', '.join(said[0])}.")
    if not found.asked:
        made.append("No rule reads these roles with what is fixed: name more parts, or a build.")
    currencies = {each.part.currency for row in _rows(found) for each in row.parts if each.part}
    if len(currencies) > 1:
        made.append(f"Prices are in {' and '.join(sorted(currencies))} and were added and sorted as plain numbers.")
    if any(row.price is None for row in _rows(found)):
        made.append("Where a price is unknown the row comes last among its like.")
    if found.under < math.inf:
        made.append(f"Listed are only rows up to {found.under:.2f}; what nobody gave a price is left out of the list.")
    if len(found.fits) < found.fitting:
        count = found.fitting - len(found.fits)
        made.append(f"{many(count, 'more fits and is', 'more fit and are')} not listed.")
    return made


def _unsuited(found: Found) -> dict[str, tuple[list[str], str]]:
    """role -> the parts that were left out, and what the role wants."""
    made: dict[str, tuple[list[str], str]] = {}
    for name, part, words in found.unsuited:
        made.setdefault(name, ([], words))[0].append(part)
    return made


def _rows(found: Found) -> list[Row]:
    return [*found.fits, *found.cannot_tell, *found.misfits]


def _row(found: Found, row: Row, system: str) -> ToldRow:
    parts = tuple(
        ToldPart(
            role,
            each.id,
            each.part.name if each.part else "nothing",
            each.part.maker if each.part else "",
            money(each.price, each.part.currency if each.part else ""),
            "owned" if each.owned else "in the build" if each.now else "under consideration" if each.considered else "",
        )
        for role, each in zip(found.roles, row.parts, strict=True)
    )
    currency = next((each.part.currency for each in row.parts if each.part), "")
    closest, measure, do = "", "", ""
    names = row.rejected or row.undecided
    rule = names[0] if names else ""
    if row.finding is not None:
        told = tell(row.finding, system)
        rule = row.finding.name
        closest = headline(row.finding, system)
        measure = told.measure[0] if row.verdict == OPEN and told.measure else ""
        do = told.fix if row.verdict != FITS and not measure else ""
    elif row.clash is not None:
        rule, closest = f"clash:{row.clash.id}", f"{row.clash.title} ({row.clash.status}: somebody has met this)"
        do = row.clash.remedy
    margin = "" if row.margin is None else _margin(row.margin)
    return ToldRow(
        parts, row.verdict, money(row.price, currency), margin, rule, closest, measure, do, row.undecided, row.rejected
    )


def _margin(share: float) -> str:
    """The margin as a share of its limit's scale; beyond twice the scale no figure tells more than "ample"."""
    return f"{100 * share:.0f} %" if share <= 2.0 else "over 200 %"


def _rejection(each: Rejection) -> tuple[str, str, str]:
    asks = getattr(each.rule, "asks", "") or each.rule.clash.title  # type: ignore[union-attr]
    return each.name, asks, f"{each.combinations:,}"


# -- text ------------------------------------------------------------------------------------------------------------


def as_text(found: Found, *, width: int = 80, system: str = "mm") -> str:
    """The search as lines of at most `width` columns, best rows first."""
    told = tell_found(found, system)
    lines = _wrap(told.title[:1].upper() + told.title[1:], width)
    lines += ["=" * max(map(len, lines)), "", *_wrap(told.summary, width)]
    lines += _wrap(told.apart, width) if told.apart else []
    lines += _section("Fits", told.fits, "ok", width)
    lines += _section("Cannot tell yet", told.cannot_tell, "??", width)
    lines += _section("Does not fit", told.misfits, "NO", width)
    if told.rejected:
        lines += ["", "Rejected by (each rule sees what those asked before it leave)"]
        widest = max(len(count) for _, _, count in told.rejected)
        for name, asks, count in told.rejected[:REASONS]:
            lines += _wrap(f"{count:>{widest}}  {name}: {asks}", width, " " * (widest + 4), "  ")
        if len(told.rejected) > REASONS:
            lines.append(f"  and {len(told.rejected) - REASONS} more rules (--json lists all)")
    if told.remarks:
        lines.append("")
        for remark in told.remarks:
            lines += _wrap(remark, width)
    if len(found.fits) < found.fitting and math.isinf(found.under):
        lines += _wrap("More rows: --limit N, or --all.", width)
    for number, step in enumerate(told.steps):
        lines += ["", *_wrap(f"Next: {step}", width, "      ")] if not number else _wrap(step, width, " " * 8, " " * 6)
    return "\n".join([*lines, "", *_wrap(CAUTION, width)]) + "\n"


def count_text(found: Found) -> str:
    """How many combinations there are of each verdict, and why nothing can be said to fit where that is so."""
    kinds = " + ".join(f"{many(found.candidates[name], 'candidate')} for {name}" for name in found.roles)
    lines = [
        f"{kinds}: {many(found.total, 'combination')}",
        f"  {FITS:12} {found.fitting:,}",
        f"  {OPEN:12} {found.unknown:,}",
        f"  {NOT:12} {found.rejected:,}",
    ]
    apart = _apart(found)
    return "\n".join([*lines, *([apart] if apart else [])]) + "\n"


def _section(heading: str, rows: Sequence[ToldRow], mark: str, width: int) -> list[str]:
    lines = ["", heading] if rows else []
    for row in rows:
        for at, part in enumerate(row.parts):
            state = f", {part.state}" if part.state else ""
            price = "" if part.state == "owned" else f", {part.price}"
            lines += _wrap(f"{mark if not at else '  '} {part.id}{price}{state}: {part.name}", width, "     ")
        said = [row.price] if len(row.parts) > 1 else []
        said += [f"margin {row.margin}"] if row.margin else []
        if row.closest:
            said.append(f"{row.rule}: {row.closest}")
        elif row.rule:
            said.append(row.rule)
        lines += _wrap("; ".join(said), width, "     ", "     ") if said else []
        if row.measure:
            lines += _wrap(f"measure: {row.measure}", width, "       ", "     ")
        if row.do and row.verdict == OPEN:
            lines += _wrap(f"do: {row.do}", width, "       ", "     ")
        others = len(row.no_rules or row.open_rules) - 1
        if others > 0:
            lines += _wrap(f"and {many(others, 'other rule')} {'say no' if row.no_rules else 'cannot tell'}", width,
                           "     ", "     ")  # fmt: skip
    return lines


def _wrap(text: str, width: int, after: str = "", before: str = "") -> list[str]:
    return textwrap.wrap(
        visible(text), width, initial_indent=before, subsequent_indent=after, break_on_hyphens=False,
        break_long_words=False,
    ) or [""]  # fmt: skip


# -- data ------------------------------------------------------------------------------------------------------------


def as_json(found: Found, system: str = "mm") -> dict[str, Any]:
    """The search as plain data."""
    told = tell_found(found, system)
    return {
        "ok": True,
        "roles": list(found.roles),
        "build": found.fixed.id,
        "fixed": {role: part.id for role, part in found.fixed.parts.items()},
        "verdict": told.verdict,
        "summary": told.summary,
        "candidates": dict(found.candidates),
        "counts": {
            "combinations": found.total,
            FITS: found.fitting,
            OPEN: found.unknown,
            NOT: found.rejected,
        },
        "order": found.order,
        "apart": list(found.apart),
        "fits": [_plain(row, told_row) for row, told_row in zip(found.fits, told.fits, strict=True)],
        "cannot_tell": [
            _plain(row, told_row) for row, told_row in zip(found.cannot_tell, told.cannot_tell, strict=True)
        ],
        "does_not_fit": [_plain(row, told_row) for row, told_row in zip(found.misfits, told.misfits, strict=True)],
        "rejected_by": [
            {"rule": each.name, "combinations": each.combinations, "asks": asks}
            for each in found.rejected_by
            for _, asks, _ in [_rejection(each)]
        ],
        "thresholds": {"fits_at": found.settings.fits_at, "not_at": found.settings.not_at},
        "remarks": [each for each in (told.apart, *told.remarks) if each],
        "next": list(told.steps),
        "caution": CAUTION,
    }


def _plain(row: Row, told: ToldRow) -> dict[str, Any]:
    return {
        "parts": [
            {
                "role": said.role, "part": said.id, "name": said.name, "maker": said.maker, "price": each.price,
                "owned": each.owned, "considered": each.considered, "in_the_build": each.now,
            }
            for each, said in zip(row.parts, told.parts, strict=True)
        ],
        "verdict": row.verdict,
        "margin": row.margin,
        "price": row.price,
        "closest": {"rule": told.rule, "words": told.closest} if told.rule else None,
        "measure": told.measure,
        "do": told.do,
        "rules": {name: _WORDS.get(code, OPEN) for name, code in row.codes.items()},
    }  # fmt: skip
