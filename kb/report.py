"""An answer as a page of text for a terminal, and as JSON for a script."""

from __future__ import annotations

import math
import textwrap
from typing import Any

from kb.chance import FITS, NOT, OPEN
from kb.errors import visible
from kb.explain import CAUTION, Told, detail_of, tell, tell_clash
from kb.judge import Answer, Finding

MARK = {NOT: "NO", OPEN: "??", FITS: "ok"}
EXIT = {FITS: 0, NOT: 1, OPEN: 3}


def order(answer: Answer) -> list[Finding]:
    """Worst first: does not fit, cannot tell, fits; within each in the catalogue's order."""
    rank = {NOT: 0, OPEN: 1, FITS: 2}
    return sorted(answer.findings, key=lambda each: rank[each.verdict])


def as_text(answer: Answer, *, system: str = "mm", width: int = 80, full: bool = False) -> str:
    """The answer as lines of at most `width` columns. full: inputs and reasons of every finding too."""
    lines = _wrap(answer.build.name, width)
    lines += ["=" * max(map(len, lines)), ""]
    counts = {verdict: sum(1 for each in answer.findings if each.verdict == verdict) for verdict in MARK}
    known = f" Known clashes: {len(answer.clashes)}." if answer.clashes else ""
    asked = f"{len(answer.findings)} question{'s' if len(answer.findings) != 1 else ''} asked"
    lines += _wrap(
        f"{answer.verdict.upper()}. Of {asked}: {counts[NOT]} no, {counts[OPEN]} cannot tell, "
        f"{counts[FITS]} good.{known}",
        width,
    )
    lines.append("")
    for role, part in answer.build.parts.items():
        line = visible(f"  {role.replace('_', ' '):19} {part.id:24} {part.name}")
        lines.append(line if len(line) <= width else line[: width - 3] + "...")
    lines.append("")
    for clash in answer.clashes:
        told = tell_clash(clash)
        lines += _wrap(f"{MARK[told.verdict]} known clash {told.id}: {told.headline}", width, "   ")
        for label, words in (("why", told.reason), ("do", told.fix), ("harm", f"{told.harm}; blocks {told.milestone}")):
            lines += _labelled(label, words, width)
        for evidence in told.evidence:
            lines += _labelled("seen", evidence, width)
        lines.append("")
    for finding in order(answer):
        told_finding = tell(finding, system)
        if finding.verdict == FITS and not full:
            lines += _wrap(f"ok {told_finding.name}: {told_finding.headline}", width, "   ")
            continue
        lines += _whole(told_finding, width, full)
    if answer.not_asked:
        lines.append("")
        lines += _wrap(
            "Not asked: " + "; ".join(f"{rule.id} ({reason})" for rule, reason in answer.not_asked), width, "  "
        )
    fits_at, not_at = 100 * answer.settings.fits_at, 100 * answer.settings.not_at
    rule = f"Says 'fits' from {fits_at:g} %, 'does not fit' up to {not_at:g} %; ± is twice the standard uncertainty."
    lines += ["", *_wrap(rule, width), "", *_wrap(CAUTION, width)]
    return "\n".join(lines) + "\n"


def _whole(told: Told, width: int, full: bool) -> list[str]:
    lines = _wrap(f"{MARK[told.verdict]} {told.name}: {told.headline}", width, "   ")
    lines += _labelled("asks", told.asks, width)
    lines += _labelled("why", told.reason, width)
    for words in told.measure:
        lines += _labelled("measure", words, width)
    lines += _labelled("do", told.fix, width)
    if told.verdict != FITS:
        lines += _labelled("harm", f"{told.harm}; blocks {told.milestone}", width)
    for note in told.notes:
        lines += _labelled("note", note, width)
    lines += _labelled("take care", told.caution, width)
    if full:
        for name, value, known in told.inputs:
            lines += _labelled("from", f"{name} = {value}" + (f" ({known})" if known else ""), width)
    return [*lines, ""]


def _labelled(label: str, words: str, width: int) -> list[str]:
    if not words:
        return []
    return _wrap(words, width, " " * 13, f"   {label + ':':9} ")


def _wrap(words: str, width: int, indent: str = "", first: str = "") -> list[str]:
    """Lines of at most `width` columns; ids stay whole, so that they can be copied."""
    return textwrap.wrap(
        visible(words), width, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False
    ) or [""]


def as_json(answer: Answer, *, system: str = "mm") -> dict[str, Any]:
    """The answer as plain data: SI numbers beside the words that the text shows."""
    return {
        "build": answer.build.id,
        "name": answer.build.name,
        "verdict": answer.verdict,
        "exit_status": EXIT[answer.verdict],
        "settings": answer.settings._asdict(),
        "parts": {role: part.id for role, part in answer.build.parts.items()},
        "clashes": [tell_clash(clash)._asdict() for clash in answer.clashes],
        "findings": [finding_json(each, system) for each in order(answer)],
        "not_asked": [{"rule": rule.id, "because": reason} for rule, reason in answer.not_asked],
        "caution": CAUTION,
    }


def finding_json(finding: Finding, system: str = "mm") -> dict[str, Any]:
    """One finding as plain data."""
    told = tell(finding, system)
    data = {
        "rule": finding.rule.id,
        "qualifier": finding.qualifier or None,
        "subsystem": finding.rule.subsystem,
        "asks": told.asks,
        "verdict": finding.verdict,
        "because": finding.because,
        "quantity": finding.quantity,
        "quantity_kind": finding.rule.quantity,
        "standard_uncertainty": finding.u,
        "probability": finding.probability,
        "probability_all_usual_limits": finding.usual,
        "margin": finding.margin,
        "station": finding.station or None,
        "method": finding.method,
        "headline": told.headline,
        "reason": told.reason,
        "fix": told.fix,
        "harm": told.harm,
        "milestone": told.milestone,
        "measure": list(told.measure),
        "notes": list(told.notes),
        "limits": [
            {
                "name": check.limit.name,
                "side": check.limit.side,
                "bound": check.bound,
                "margin": check.margin,
                "source": check.own or check.limit.source.title,
                "may_condemn": check.may_condemn,
            }
            for check in finding.checks
        ],
        "inputs": [{"name": name, "value": value, "known": known} for name, value, known in told.inputs],
        "drivers": [
            {
                "input": driver.leaf.name,
                "share": driver.share,
                "needed_standard_uncertainty": driver.needed,
                "missing": driver.leaf.missing,
            }
            for driver in finding.drivers
        ],
        "detail": detail_of(finding),
        "caution": told.caution,
    }
    plain: dict[str, Any] = _plain(data)
    return plain


def _plain(value: Any) -> Any:
    """Tuples and named tuples as lists and mappings, what is no finite number as None, so that JSON takes them."""
    if hasattr(value, "_asdict"):
        return {name: _plain(each) for name, each in value._asdict().items()}
    if isinstance(value, dict):
        return {name: _plain(each) for name, each in value.items()}
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, (list, tuple)):
        return [_plain(each) for each in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value
