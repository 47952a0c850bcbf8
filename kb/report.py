"""An answer as a page of text for a terminal, and as JSON for a script."""

from __future__ import annotations

import math
import textwrap
from typing import Any

from kb.chance import FITS, NOT, OPEN
from kb.errors import visible
from kb.explain import CAUTION, Told, detail_of, tell, tell_clash
from kb.judge import Answer, Finding
from kb.roles import base_role
from kb.rules._rule import HARMS, MILESTONES

MARK = {NOT: "NO", OPEN: "??", FITS: "ok"}
EXIT = {FITS: 0, NOT: 1, OPEN: 3}


BRIEF = 24  # questions from which a summary is shown unless details are asked for
SHOWN_AT_MOST = 12  # problems of one sort that a summary spells out
_RANK = {NOT: 0, OPEN: 1, FITS: 2}
_HARMS = tuple(HARMS)


def order(answer: Answer) -> list[Finding]:
    """Worst first: does not fit, cannot tell, fits; in each by harm, then by milestone, then as in the catalogue."""
    return sorted(
        answer.findings,
        key=lambda each: (_RANK[each.verdict], _HARMS.index(each.limit.harm), MILESTONES.index(each.limit.milestone)),
    )


def as_text(
    answer: Answer, *, system: str = "mm", width: int = 80, full: bool = False, brief: bool | None = None
) -> str:
    """The answer as lines of at most `width` columns.

    full: inputs and reasons of every finding too. brief: a summary of about one screen; by default for many questions.
    """
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
    lines += _wrap(apart_words(answer), width) if answer.apart else []
    lines.append("")
    if brief is None:
        brief = not full and len(answer.findings) > BRIEF
    lines += _summary(answer, system, width) if brief else _details(answer, system, width, full)
    fits_at, not_at = 100 * answer.settings.fits_at, 100 * answer.settings.not_at
    rule = f"Says 'fits' from {fits_at:g} %, 'does not fit' up to {not_at:g} %; ± is twice the standard uncertainty."
    lines += ["", *_wrap(rule, width), "", *_wrap(CAUTION, width)]
    return "\n".join(lines) + "\n"


def _summary(answer: Answer, system: str, width: int) -> list[str]:
    """What is wrong and what to do about it, worst first; what is good by subsystem, in numbers."""
    lines = _clashes(answer, width)
    for verdict in (NOT, OPEN):
        findings = [each for each in order(answer) if each.verdict == verdict]
        for finding in findings[:SHOWN_AT_MOST]:
            told_finding = tell(finding, system)
            lines += _wrap(f"{MARK[verdict]} {told_finding.name}: {told_finding.headline}", width, "   ")
            lines += _labelled("harm", f"{told_finding.harm}; blocks {told_finding.milestone}", width)
            step = told_finding.measure[0] if told_finding.measure else ""
            lines += _labelled("measure", step, width) if step else _labelled("do", told_finding.fix, width)
        if len(findings) > SHOWN_AT_MOST:
            lines.append(f"   and {len(findings) - SHOWN_AT_MOST} more")
    good: dict[str, int] = {}
    for finding in answer.findings:
        if finding.verdict == FITS:
            good[finding.rule.subsystem] = good.get(finding.rule.subsystem, 0) + 1
    if lines and lines[-1]:
        lines.append("")
    lines += _wrap("ok " + ", ".join(f"{name} {count}" for name, count in sorted(good.items())), width, "   ")
    wanting = f" {len(answer.not_asked)} rules were not asked." if answer.not_asked else ""
    more = f"More: --full, --subsystem NAME or --rule NAME (may be repeated).{wanting}"
    return [*lines, "", *_wrap(more, width)]


def _details(answer: Answer, system: str, width: int, full: bool) -> list[str]:
    """The parts that were read, then every finding: in whole what does not fit or cannot be told, else in one line."""
    lines = []
    read = {role for each in answer.findings for role in (*each.rule.roles, *each.rule.optional_roles)}
    for role, part in answer.build.parts.items():
        if answer.findings and not answer.build.loose and base_role(role) not in read:
            continue
        line = visible(f"  {role.replace('_', ' '):19} {part.id:24} {part.name}")
        lines.append(line if len(line) <= width else line[: width - 3] + "...")
    lines += ["", *_clashes(answer, width)]
    for finding in order(answer):
        told_finding = tell(finding, system)
        if finding.verdict == FITS and not full:
            lines += _wrap(f"ok {told_finding.name}: {told_finding.headline}", width, "   ")
            continue
        lines += _whole(told_finding, width, full)
    if answer.not_asked:
        lines += ["", *_not_asked(answer, width, full)]
    return lines


def _clashes(answer: Answer, width: int) -> list[str]:
    """The recorded incompatibilities that match, in whole: somebody has already paid for these."""
    lines = []
    for clash in answer.clashes:
        told = tell_clash(clash)
        lines += _wrap(f"{MARK[told.verdict]} known clash {told.id}: {told.headline}", width, "   ")
        for label, words in (("why", told.reason), ("do", told.fix), ("harm", f"{told.harm}; blocks {told.milestone}")):
            lines += _labelled(label, words, width)
        for evidence in told.evidence:
            lines += _labelled("seen", evidence, width)
        lines.append("")
    return lines


def apart_words(answer: Answer) -> str:
    """Why parts that were named loosely cannot be said to fit: nothing that was asked joins them."""
    if len(answer.build.parts) == 1:
        return "Only one part is named: there is nothing that it could fit."
    names = ", ".join(role.replace("_", " ") for role in answer.apart)
    wanting = "; ".join(f"{rule.id} ({why})" for rule, why in answer.waiting[:4])
    return f"No question that could be asked joins {names} to the others" + (f": {wanting}." if wanting else ".")


def _not_asked(answer: Answer, width: int, full: bool) -> list[str]:
    """Rules that were not asked: how many, or with `full` all of them by the reason."""
    if not full:
        count = len(answer.not_asked)
        words = f"Not asked: {count} rule{'s' if count != 1 else ''} that read other parts; name them as role=part too"
        lines = _wrap(f"{words}, or see --full.", width, "  ")
        if answer.waiting:
            some = "; ".join(f"{rule.id} ({why})" for rule, why in answer.waiting[:6])
            more = f"; and {len(answer.waiting) - 6} more" if len(answer.waiting) > 6 else ""
            lines += _wrap(f"Of these, joints between the parts named here: {some}{more}.", width, "  ")
        return lines
    reasons: dict[str, list[str]] = {}
    for rule, reason in answer.not_asked:
        reasons.setdefault(reason, []).append(rule.id)
    lines = ["Not asked:"]
    for reason, rules in reasons.items():
        lines += _wrap(f"{reason}: {', '.join(rules)}", width, "    ", "  ")
    return lines


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
        "apart": list(answer.apart),
        "waiting": [{"rule": rule.id, "because": reason} for rule, reason in answer.waiting],
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
    found: dict[str, Any] = plain(data)
    return found


def plain(value: Any) -> Any:
    """Tuples and named tuples as lists and mappings, what is no finite number as None, so that JSON takes them."""
    if hasattr(value, "_asdict"):
        return {name: plain(each) for name, each in value._asdict().items()}
    if isinstance(value, dict):
        return {name: plain(each) for name, each in value.items()}
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, (list, tuple)):
        return [plain(each) for each in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value
