"""Why nothing fits, told as a short chain, and what would open a way."""

from __future__ import annotations

import textwrap
from typing import Any, NamedTuple

from kb.explain import CAUTION, tell, tell_clash
from kb.measuring_words import plain_name
from kb.report import plain
from kb.search.why_not import Link, Relaxation, WhyNot
from kb.unit_show import show


class ToldWhyNot(NamedTuple):
    """summary: one sentence. chain: one sentence a rule. ways: what would open a way; step: a command to type."""

    title: str
    summary: str
    chain: tuple[str, ...]
    ways: tuple[str, ...]
    fits: tuple[str, ...]
    note: str
    step: str
    caution: str


def exit_status(found: WhyNot) -> int:
    """0 when something fits, 1 when nothing does, 3 when it hangs on what nobody has measured."""
    if found.fits:
        return 0
    return 3 if any(each.open for each in found.links) else 1


def told(found: WhyNot, system: str = "mm") -> ToldWhyNot:
    """The chain in words; `system` is mm, in or in64."""
    names = [_role(each) for each in found.roles]
    step = f"matchmark check {found.build.id}" if not found.build.loose else "matchmark rules"
    note = ""
    if found.fits:
        summary = "Something fits: nothing has to give way."
    elif found.nothing:
        summary = f"No recorded part can fill {', '.join(_role(each) for each in found.nothing)}."
        step = "matchmark blank KIND prints a sheet to record one"
    elif not found.links:
        summary = "Whether something fits was not found out: time ran out."
    else:
        what = " and ".join(names) if names else "whatever is chosen"
        summary = f"Nothing fits for {what}: these {len(found.links)} cannot all hold." if len(found.links) > 1 else (
            f"Nothing fits for {what}: one rule stands against all of it." if names else "The given parts clash."
        )  # fmt: skip
        if found.minimal:
            note = "Without any one of these there is an answer to the others."
        if any(each.open for each in found.links):
            step = "matchmark measure" + (f" {found.build.id}" if not found.build.loose else " BUILD")
    return ToldWhyNot(
        f"{found.build.name}: why not",
        summary,
        tuple(_chain(found, system)),
        tuple(_way(each, found, system) for each in found.relaxations),
        tuple(f"{role}={part}" for role, part in found.fits),
        note,
        step,
        CAUTION,
    )


def _role(name: str) -> str:
    return name.replace("_", " ")


def _part(role: str, part: str, found: WhyNot) -> str:
    owned = any(name == role and is_owned for name, _, is_owned in found.parts)
    return f"the {_role(role)} {'that you own, ' if owned else ''}{part}"


def _chain(found: WhyNot, system: str) -> list[str]:
    """One sentence a link, each telling what it takes from those that the links before it left."""
    left: dict[str, list[str]] = {}
    said = []
    for link in found.links:
        for role, allowed, barred in link.roles:
            left.setdefault(role, [*allowed, *barred])
        rest = "; ".join(_left(role, barred, left[role]) for role, _, barred in link.roles)
        for role, _, barred in link.roles:
            left[role] = [each for each in left[role] if each not in barred]
        said.append(_link(link, rest, found, system))
    return said


def _link(link: Link, left: str, found: WhyNot, system: str) -> str:
    """Because of what, which candidates are left, and how near the nearest comes."""
    given = ", ".join(_part(role, part, found) for role, part in link.parts)
    if link.need is not None:
        return f"Because {link.need.why} (need {link.need.id}): {left}."
    if link.clash is not None:
        words = tell_clash(link.clash)
        return f"Because of the recorded clash {link.name.removeprefix('clash:')} ({words.headline}): {left or given}."
    told_ = tell(link.finding, system) if link.finding is not None else None
    asks = (told_.asks if told_ else link.name).rstrip("?")
    nearest = f" The nearest: {told_.headline}." if told_ else ""
    inputs = ", ".join(f"{plain_name(name)} {value}" for name, value, _ in told_.inputs[:4]) if told_ else ""
    with_ = f" with {given}" if given else ""
    return f"{asks} ({link.name})? {left or 'Asked'}{with_}.".replace("? of", "? Of") + nearest + (
        f" There: {inputs}." if inputs else ""
    )  # fmt: skip


def _left(role: str, barred: tuple[str, ...], before: list[str]) -> str:
    """What a link does to the candidates that are left so far."""
    gone = [each for each in before if each in barred]
    rest = [each for each in before if each not in barred]
    count = f"of {len(before)} for the {_role(role)}"
    if not gone:
        return f"{count} it bars none by itself, only with others"
    if not rest:
        return f"{count} it bars {'the last' if len(before) == 1 else 'all'} ({_some(gone)})"
    if len(rest) <= len(gone):
        return f"{count} it leaves {len(rest)} ({_some(rest)})"
    return f"{count} it bars {len(gone)} ({_some(gone)})"


def _some(ids: list[str]) -> str:
    return ", ".join(ids[:6]) + (", ..." if len(ids) > 6 else "")


def _way(way: Relaxation, found: WhyNot, system: str) -> str:
    searched = [each for each in way.with_ if each[0] in found.roles and each[0] != way.role]
    then = ", ".join(f"{role}={part}" for role, part in searched[:4])
    then = f"; then {then} will do" if then else ""
    if way.sort == "move":
        more = "more" if way.by > 0 else "less"
        by, value = (show(abs(each), way.quantity, system) for each in (way.by, way.value))
        return (
            f"{_role(way.role)} {way.part}: {way.feature.replace('_', ' ')} {by} {more} than its {value} "
            f"(shim, spacer, cut or bend){then}."
        )
    if way.sort == "part":
        other = next((part for role, part in way.with_ if role == way.role), "")
        return f"{_role(way.role)}: {other} in place of {way.part}{then}."
    named = ", ".join(map(plain_name, way.measure)) or ", ".join(way.rules)
    return f"measure {named}: if it turns out well for {', '.join(way.rules)}{then}."


def as_text(found: WhyNot, *, width: int = 80, system: str = "mm") -> str:
    """The chain as a page of text."""
    words = told(found, system)
    lines = [words.title, "", *textwrap.wrap(words.summary, width)]
    lines += [f"  {each}" for each in words.fits]
    for number, each in enumerate(words.chain, 1):
        head = f"  {number}. "
        lines += textwrap.wrap(each, width, initial_indent=head, subsequent_indent=" " * len(head))
    if words.note:
        lines += ["", *textwrap.wrap(words.note, width)]
    if words.ways:
        lines += ["", "What would open a way (each was tried by searching again):"]
        for each in words.ways:
            lines += textwrap.wrap(each, width, initial_indent="  - ", subsequent_indent="    ")
    elif words.chain:
        lines += ["", "No single change was found that opens the whole way: more than this stands in it."]
    lines += ["", f"Next: {words.step}", "", *textwrap.wrap(words.caution, width)]
    return "\n".join(lines) + "\n"


def as_json(found: WhyNot, system: str = "mm") -> dict[str, Any]:
    """Plain data."""
    words = told(found, system)
    return {
        "build": found.build.id,
        "summary": words.summary,
        "fits": dict(found.fits),
        "nothing_fills": list(found.nothing),
        "minimal": found.minimal,
        "links": [
            {"name": each.name, "verdict": each.finding.verdict if each.finding else "does not fit", "words": text,
             "roles": [{"role": role, "allowed": list(some), "barred": list(bars)} for role, some, bars in each.roles],
             "parts": dict(each.parts)}
            for each, text in zip(found.links, words.chain, strict=True)
        ],
        "parts": [{"role": role, "part": part, "owned": owned} for role, part, owned in found.parts],
        "relaxations": [
            {**plain(each), "words": text} for each, text in zip(found.relaxations, words.ways, strict=True)
        ],
        "next": words.step,
        "caution": words.caution,
    }  # fmt: skip
