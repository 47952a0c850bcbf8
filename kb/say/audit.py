"""The audit in words: what the rules foresee, what a measurement would have shown, and what nothing foresees."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any, NamedTuple

from kb.audit import FORESEEN, UNDECIDED, UNFORESEEN, Audit, Case, Gap
from kb.chance import FITS
from kb.errors import visible
from kb.explain import tell
from kb.finding import Finding
from kb.report import finding_json
from kb.roles import role
from kb.rules._rule import HARMS

MEANT = (
    "Known before buying counts what drawings, listings and models say, and what anybody sees on the part; not what "
    "was measured on that very part by whoever found the clash, from the day on which it was found."
)
HEADINGS = {
    UNFORESEEN: "Not foreseen: no rule that bears on it says no",
    UNDECIDED: "Undecided: a rule bears on it, and something was not known",
    FORESEEN: "Foreseen: a rule says no",
}
_GAPS = {
    "read too late": "a rule reads this, but the reading of this very part came too late",
    "no reader": "no rule reads what was seen",
    "no joint": "no rule reads these roles together",
    "nothing seen": "the evidence names no feature that a rule could read",
    "not together": "no rule reads together what was seen",
    "says fits": "a rule reads what was seen, and says that it fits",
    "no part": "no recorded part is such",
}


class ToldCase(NamedTuple):
    """One clash in words. by: what foresees it, or what is open, each (rule, headline); measure: what would settle it.

    parts: (role, part id, whether it stands for a class). wanted: for one that is not foreseen, what a rule would read.
    """

    id: str
    title: str
    status: str
    outcome: str
    harm: str
    milestone: str
    found: str
    build: str
    parts: tuple[tuple[str, str, bool], ...]
    by: tuple[tuple[str, str], ...]
    measure: tuple[str, ...]
    fits: tuple[str, ...]
    set_aside: tuple[str, ...]
    gap: str
    wanted: str


class ToldGap(NamedTuple):
    """Clashes that are not foreseen for one reason, with one sort of harm."""

    words: str
    harm: str
    cases: tuple[ToldCase, ...]


class ToldAudit(NamedTuple):
    """The whole audit in words."""

    share: str
    meant: str
    counts: dict[str, int]
    gaps: tuple[ToldGap, ...]
    undecided: tuple[ToldCase, ...]
    foreseen: tuple[ToldCase, ...]


def told(found: Audit, system: str = "mm") -> ToldAudit:
    """The audit in words; `system` is mm, in or in64."""
    counts = {outcome: len(found.of(outcome)) for outcome in (FORESEEN, UNDECIDED, UNFORESEEN)}
    gaps = tuple(
        ToldGap(_GAPS[sort], HARMS[harm], tuple(told_case(each, system) for each in cases))
        for (sort, harm), cases in found.gaps.items()
    )
    undecided = tuple(told_case(each, system) for each in found.of(UNDECIDED))
    foreseen = tuple(told_case(each, system) for each in found.of(FORESEEN))
    return ToldAudit(_share(found, counts), MEANT, counts, gaps, undecided, foreseen)


def _share(found: Audit, counts: dict[str, int]) -> str:
    if found.share is None:
        return "No confirmed incompatibility is recorded: there is nothing to replay."
    total = len(found.cases)
    return (
        f"{counts[FORESEEN]} of {total} ({100 * found.share:.0f} %) are foreseen by a rule, {counts[UNDECIDED]} could "
        f"not be told before something was measured, {counts[UNFORESEEN]} are not foreseen."
    )


def told_case(each: Case, system: str = "mm") -> ToldCase:
    """One case in words."""
    deciding = [one for one in each.findings if one.verdict != FITS]
    if each.outcome == FORESEEN:
        deciding = [one for one in deciding if one.verdict == deciding[0].verdict]
    words = [tell(one, system) for one in deciding]
    measure = tuple(dict.fromkeys(line for one in words for line in one.measure)) if each.outcome == UNDECIDED else ()
    fits = tuple(one.name for one in each.findings if one.verdict == FITS)
    clash = each.clash
    return ToldCase(
        clash.id,
        clash.title,
        clash.status,
        each.outcome,
        ", ".join(HARMS[one] for one in clash.harm),
        clash.milestone,
        ", ".join(piece for piece in (clash.by, clash.found_date) if piece),
        each.build,
        tuple((name, part, name in each.stand_ins) for name, part in each.parts.items()),
        tuple((one.name, f"{one.verdict}: {one.headline}") for one in words),
        measure,
        fits,
        each.set_aside,
        _GAPS[each.gap.sort] if each.gap else "",
        _wanted(each.gap) if each.gap else "",
    )


def _wanted(gap: Gap) -> str:
    """What a rule would have to read to catch such a clash."""
    families = sorted({role(each).kind.family for each in gap.roles})
    what = " with ".join(gap.features or tuple(each.replace("_", " ") for each in gap.roles))
    if gap.sort == "read too late":
        return f"measure {what} on the very part before paying"
    if gap.sort == "no part":
        return f"record a part with {what}"
    missing = "" if gap.features else ", and a feature for what was seen"
    return f"a rule ({'/'.join(families)}) that reads {what}{missing}"


# -- text and data ----------------------------------------------------------------------------------------------------


def as_text(found: Audit, *, width: int = 80, system: str = "mm") -> str:
    """The audit as a page of text."""
    whole = told(found, system)
    lines = [*_wrap(whole.share, width), "", *_wrap(whole.meant, width), ""]
    if whole.gaps:
        lines += [HEADINGS[UNFORESEEN]]
        for gap in whole.gaps:
            count = len(gap.cases)
            lines += _wrap(f"{gap.words} ({gap.harm}, {count} case{'s' if count != 1 else ''})", width, "  ", "  ")
            for each in gap.cases:
                lines += _case(each, width)
                lines += _wrap(f"wanted: {each.wanted}", width, "        ", "      ")
                if each.fits:
                    lines += _wrap(f"asked, and fits: {', '.join(each.fits)}", width, "        ", "      ")
        lines.append("")
    if whole.undecided:
        lines += [HEADINGS[UNDECIDED]]
        for each in whole.undecided:
            lines += _case(each, width)
            lines += _open(each, width)
        lines.append("")
    if whole.foreseen:
        lines += [HEADINGS[FORESEEN]]
        for each in whole.foreseen:
            lines += _case(each, width)
            lines += _wrap(f"{each.by[0][0]}: {each.by[0][1]}", width, "        ", "      ")
            if len(each.by) > 1:
                lines += _wrap(f"and {', '.join(name for name, _ in each.by[1:])}", width, "        ", "      ")
        lines.append("")
    return "\n".join(lines).rstrip("\n")


def _case(each: ToldCase, width: int) -> list[str]:
    sides = " + ".join(f"{name}={part}" + (" (for its class)" if stands else "") for name, part, stands in each.parts)
    around = f" in {each.build}" if each.build else ""
    state = "" if each.status == "confirmed" else f" ({each.status})"
    lines = _wrap(f"{each.id}{state}: {each.title}", width, "      ", "    ")
    return lines + (_wrap(f"{sides}{around}", width, "        ", "      ") if sides else [])


def _open(each: ToldCase, width: int) -> list[str]:
    lines = _wrap(f"{each.by[0][0]}: {each.by[0][1]}", width, "        ", "      ")
    if len(each.by) > 1:
        lines += _wrap(f"also open: {', '.join(name for name, _ in each.by[1:])}", width, "        ", "      ")
    for words in each.measure[:3]:
        lines += _wrap(f"measure: {words}", width, "        ", "      ")
    if len(each.measure) > 3:
        lines += _wrap(f"and {len(each.measure) - 3} more", width, "        ", "      ")
    return lines


def _wrap(words: str, width: int, indent: str = "", first: str = "") -> list[str]:
    return textwrap.wrap(
        visible(words), width, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False
    ) or [""]


def as_json(found: Audit, system: str = "mm") -> dict[str, Any]:
    """The audit as plain data."""
    return {
        "share": found.share,
        "counts": {outcome: len(found.of(outcome)) for outcome in (FORESEEN, UNDECIDED, UNFORESEEN)},
        "meant": MEANT,
        "cases": [_case_json(each, system) for each in found.cases],
        "gaps": [
            {"sort": sort, "harm": harm, "cases": [each.clash.id for each in cases]}
            for (sort, harm), cases in found.gaps.items()
        ],
    }


def _case_json(each: Case, system: str) -> dict[str, Any]:
    words = told_case(each, system)
    return {
        "id": each.clash.id,
        "title": each.clash.title,
        "status": each.clash.status,
        "outcome": each.outcome,
        "harm": list(each.clash.harm),
        "milestone": each.clash.milestone,
        "build": each.build,
        "parts": dict(each.parts),
        "stand_ins": list(each.stand_ins),
        "set_aside": list(each.set_aside),
        "by": _short(each.by, system) if each.by else None,
        "findings": [_short(one, system) for one in each.findings],
        "measure": list(words.measure),
        "gap": {**each.gap._asdict(), "words": words.gap, "wanted": words.wanted} if each.gap else None,
    }


def _short(finding: Finding, system: str) -> dict[str, Any]:
    whole = finding_json(finding, system)
    return {name: whole[name] for name in _SHORT if name in whole}


_SHORT: Sequence[str] = ("rule", "qualifier", "verdict", "because", "headline", "probability", "quantity", "margin")
