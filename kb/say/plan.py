"""A plan in words: what to buy, what to change, what it costs, and what each constraint does to that."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any, NamedTuple

from kb.errors import visible
from kb.explain import CAUTION, headline
from kb.ready.needs import described, small_parts_lacking
from kb.ready.steps import settling_step
from kb.report import plain
from kb.roles import base_role
from kb.search._choices import CHEAPEST, FEWEST
from kb.search._model import matters
from kb.search.plan import AS_IS, BUY, CHANGE, DROP, LEAVE, Alternative, Choice, ConstraintCost, Plan
from kb.search.solver import BOUNDED, IMPOSSIBLE, PROVED

UNPRICED = "Price not known, so not in the sum"
SHOWN_COSTS = 12
SHOWN_OPEN = 12
MEANING = {
    PROVED: "proved: nothing better makes every rule hold",
    BOUNDED: "not proved to be the best: time ran out",
    IMPOSSIBLE: "no plan",
}


class ToldChoice(NamedTuple):
    """One role of the plan. price: in words; why: what would have been nearer, and what rules it out."""

    role: str
    act: str
    part: str
    name: str
    price: str
    was: str
    why: tuple[str, ...]


class ToldPlan(NamedTuple):
    """The plan in words. buy: what is bought or changed; leave: what is taken out or left empty on purpose; pay: what
    stays and is still to be paid; kept: how many roles stay and are paid for."""

    title: str
    status: str
    summary: str
    notes: tuple[str, ...]
    buy: tuple[ToldChoice, ...]
    leave: tuple[ToldChoice, ...]
    pay: tuple[ToldChoice, ...]
    kept: int
    open: tuple[str, ...]
    alternatives: tuple[str, ...]
    constraints: tuple[str, ...]
    if_open: ToldPlan | None
    step: str
    more: tuple[str, ...]  # further commands: other readings that are open, or what follows the first
    caution: str


def exit_status(found: Plan) -> int:
    """0 a proved plan, 1 none, 3 one that is not proved or leaves questions open."""
    if found.status == IMPOSSIBLE:
        return 1
    return 0 if found.status == PROVED and not found.open else 3


def told(found: Plan) -> ToldPlan:
    """The plan in words."""
    money = _money(found.currency)
    rows = {act: [each for each in found.choices if each.act == act] for act in (BUY, CHANGE, DROP, AS_IS, LEAVE)}
    pay = [each for each in rows[AS_IS] if not each.owned and each.part and not found.wish.change and each.price != 0]
    return ToldPlan(
        f"{found.build.name}: plan for {found.wish.milestone}",
        found.status,
        _summary(found),
        tuple(_notes(found)),
        tuple(_choice(each, money) for each in sorted([*rows[BUY], *rows[CHANGE]], key=_dear)),
        tuple(_choice(each, money) for each in rows[DROP]),
        tuple(_choice(each, money) for each in sorted(pay, key=_dear)),
        len(rows[AS_IS]) - len(pay),
        tuple(f"{each.name}: {headline(each)}" for each in found.open),
        tuple(_alternative(each, money) for each in found.alternatives),
        tuple(_constraint(each, found, money) for each in found.constraint_costs if _worth_saying(each))[:SHOWN_COSTS],
        told(found.if_open) if found.if_open is not None else None,
        *_steps(found),
        CAUTION,
    )


def _dear(each: Choice) -> tuple[float, str]:
    return -(each.price or 0.0), each.role


def _money(currency: str) -> Any:
    return lambda value: "price not known" if value is None else f"{currency} {value:.2f}"


def _summary(found: Plan) -> str:
    if found.status == IMPOSSIBLE:
        if found.over_budget:
            short = _money(found.currency)
            return (
                f"No plan costs {short(found.wish.budget)} or less: the cheapest costs {short(found.cost)}, which is "
                f"{short(found.over_budget)} more."
            )
        if found.nothing:
            words = ", ".join(each.replace("_", " ") for each in found.nothing)
            return f"No plan: no recorded part can fill {words}."
        if found.if_open is not None:
            return "Whatever is chosen of the recorded parts, something that nobody has measured stays open."
        return "No choice of recorded parts makes every rule hold."
    if not found.choices:
        return "Time ran out before any plan was found; none is ruled out. Give it longer with --limit."
    sort = {CHEAPEST: "The cheapest change", FEWEST: "The fewest changes, and of those the cheapest"}
    what = sort.get(found.wish.change, "The cheapest plan")
    if found.status == BOUNDED:
        what = "A plan"
    if found.wish.change and not found.changes:
        return f"Nothing has to change for {found.wish.milestone}; {MEANING[found.status]}."
    cost = _money(found.currency)(found.cost)
    if found.unknown:
        cost += f", plus {len(found.unknown)} part{'s' * (len(found.unknown) > 1)} of unknown price"
    roles = f"{found.changes} role{'s' * (found.changes != 1)} change" + "s" * (found.changes == 1)
    meaning = MEANING[found.status]
    if found.wish.allow_unknown:
        meaning = (
            "proved: no plan leaves fewer questions open, and of those none is better" * (found.status == PROVED)
            or meaning
        )
    return f"{what}: {cost}; {roles}; {meaning}."


def _notes(found: Plan) -> list[str]:
    notes = []
    if found.unknown:
        notes.append(
            f"{UNPRICED}: {', '.join(found.unknown)}. Such a part is used only where nothing "
            "priced would do, or where it is in the build already."
        )
    if found.foreign:
        some = ", ".join(f"{each.id} ({each.currency})" for each in found.foreign[:6])
        notes.append(
            f"Prices in another currency are not added to {found.currency}; they count as unknown: {some}"
            + (f" and {len(found.foreign) - 6} more." if len(found.foreign) > 6 else ".")
        )
    if found.nothing and not found.over_budget:
        notes.append("Record a part that fills it: matchmark blank KIND prints a sheet for one.")
    answer = found.answer
    if answer is not None:
        wrong = [each for each in answer.findings if each.verdict == "does not fit"]
        wrong = [each for each in wrong if each.rule.subsystem != "ready"]  # lists: ticked, not bought by a plan
        broken = [each for each in wrong if matters(each.rule, found.wish.milestone)]
        if len(wrong) > len(broken):
            later = ", ".join(each.name for each in wrong if each not in broken)
            notes.append(f"Still wrong, before a later milestone: {later}.")
        if broken:
            notes.append(
                "The whole build was put to every rule again. What no purchase settles: "
                + "; ".join(f"{each.name} ({headline(each)})" for each in broken[:5]) + "."
            )  # fmt: skip
        elif not found.open and not wrong:
            count = sum(each.rule.subsystem != "ready" for each in answer.findings)
            notes.append(f"The whole build was put to every rule again: {count} asked, all hold.")
        if found.broken:
            notes.append(f"What the circuits still lack: {'; '.join(found.broken)}.")
        small = small_parts_lacking(answer.build, found.wish.milestone)
        if small:
            named = ", ".join(each.replace("_", " ") for each in small)
            notes.append(
                f"Besides, a box of small parts to get and to tick ({len(small)}): {named}; they are "
                "on the shopping list."
            )
    return notes


def _choice(each: Choice, money: Any) -> ToldChoice:
    why = tuple(f"not {part}: {_bar(rule)}" for part, rule in each.passed)
    own_work = not each.price and base_role(each.role) in described()
    price = "owned" if each.owned else "to be put together so" if own_work else money(each.price)
    return ToldChoice(
        each.role, each.act, each.part.id if each.part else "", visible(each.part.name) if each.part else "",
        price if each.part else "", each.was, why,
    )  # fmt: skip


def _bar(rule: str) -> str:
    if rule.startswith("clash:"):
        return f"recorded clash {rule.removeprefix('clash:')}"
    if rule.startswith("need:"):
        return f"does not meet the need {rule.removeprefix('need:')}"
    return f"rule {rule}"


def _alternative(each: Alternative, money: Any) -> str:
    cost = money(each.cost) + (f" plus {each.unknown} of unknown price" if each.unknown else "")
    differs = ", ".join(f"{role}={part or 'none'}" for role, part in each.differs)
    return f"{cost}, {each.changes} role{'s' * (each.changes != 1)} changed: {differs}"


def _worth_saying(each: ConstraintCost) -> bool:
    return each.sort != "rule" or each.amount != 0


def _constraint(each: ConstraintCost, found: Plan, money: Any) -> str:
    words = {
        "keep": f"keeping {each.name}",
        "avoid": f"avoiding {each.name}",
        "considered": "taking only what is at hand or under consideration",
        "budget": f"the budget of {money(found.wish.budget)}",
        "rule": _bar(each.name),
        "need": f"the need {each.name}",
    }[each.sort]
    if each.amount is None:
        return f"{words}: without it there is a plan"
    fewer = each.changes
    roles = f", {abs(fewer)} role{'s' * (abs(fewer) != 1)} {'more' if fewer > 0 else 'fewer'}" if fewer else ""
    if each.sort == "budget":
        return f"{words}: nothing; {money((found.wish.budget or 0.0) - found.cost)} are left"
    if each.amount < 0:
        return f"{words}: nothing; a plan that leaves fewer questions open would cost {money(-each.amount)} more"
    return f"{words}: {money(each.amount) if each.amount else 'nothing'}{roles}"


def _steps(found: Plan) -> tuple[str, tuple[str, ...]]:
    """What to type next, and what more belongs to it or follows it."""
    id = found.build.id
    if found.status == IMPOSSIBLE and not found.over_budget:
        loose = found.if_open
        if loose is None or not loose.open:
            return f"matchmark why-not {id}", ()
        readings = dict.fromkeys(step for each in loose.open if (step := settling_step(each, found.build)))
        others = [each for each in loose.open if not settling_step(each, found.build)]
        take = f"matchmark plan {_asked(loose)} --take"
        if readings:
            first, *rest = readings
            return first, (*rest, *(() if others else (f"matchmark plan {_asked(found)}",)))
        return take, (f"matchmark measure {id}",)
    if found.planned:
        return f"matchmark plan {_asked(found)} --take", (f"matchmark buy {id}",)
    return f"matchmark ready {id}", ()


def _asked(found: Plan) -> str:
    """The build and the flags of this wish, as they were typed."""
    wish = found.wish
    words = [found.build.id]
    words += [f"--for {wish.milestone}"] if wish.milestone != "drive" else []
    words += [f"--change {wish.change}"] if wish.change else []
    words += [f"--budget {wish.budget:g}"] if wish.budget is not None else []
    words += [f"--keep {each}" for each in sorted(wish.keep)] + [f"--avoid {each}" for each in sorted(wish.avoid)]
    words += ["--allow-unknown"] if wish.allow_unknown else []
    words += ["--considered"] if wish.considered else []
    words += [f"--unknown-price {wish.unknown_price:g}"] if wish.unknown_price is not None else []
    return " ".join(words)


def as_text(found: Plan, *, width: int = 80, taken: bool = False) -> str:
    """The plan as a page of text. taken: it has been written into the build, so that nothing of it is to be typed."""
    words = told(found)
    lines = [*_wrap(words.title, width), "", *_wrap(words.summary, width)]
    lines += _body(words, width)
    if words.if_open is not None:
        lines += ["", *_wrap("With what nobody has measured yet taken to turn out well:", width)]
        lines += ["", *_wrap(words.if_open.summary, width, "  "), *_body(words.if_open, width)]
    for number, each in enumerate(() if taken else (words.step, *words.more)):
        lines += (
            ["", *_wrap(f"Next: {each}", width, hang="      ")]
            if not number
            else _wrap(f"Then: {each}", width, hang="      ")
        )
    lines += ["", *_wrap(words.caution, width)]
    return "\n".join(lines) + "\n"


def _body(words: ToldPlan, width: int) -> list[str]:
    lines: list[str] = []
    for note in words.notes:
        flag = " A price for all of them: --unknown-price" if note.startswith(UNPRICED) else ""
        lines += ["", *_wrap(f"{note}{flag}", width)]
    for heading, rows in (
        ("Get", words.buy),
        ("Leave out", words.leave),
        ("Stays, and is still to be paid", words.pay),
    ):
        if rows:
            lines += ["", f"{heading}:"]
        for each in rows:
            lines += _wrap(_row(each), width, "  ")
            if heading == "Get":
                for why in each.why[:2]:
                    lines += _wrap(why, width, "      ")
    if words.kept:
        lines += ["", f"{words.kept} other roles stay as they are, with nothing to pay."]
    if words.open:
        lines += ["", f"Open: {len(words.open)} question{'s' * (len(words.open) != 1)} that the records do not settle:"]
        for one in words.open[:SHOWN_OPEN]:
            lines += _wrap(one, width, "  ")
        if len(words.open) > SHOWN_OPEN:
            lines.append(f"  and {len(words.open) - SHOWN_OPEN} more (--json has all)")
    for heading, some in (("Next best", words.alternatives), ("What it would save to do without", words.constraints)):
        if some:
            lines += ["", f"{heading}:"]
        for one in some:
            lines += _wrap(one, width, "  ")
    return lines


def _row(each: ToldChoice) -> str:
    gone = f", in place of {each.was}" if each.was and each.part else ""
    part = each.part or each.was
    return f"{each.role}: {part}{f', {each.price}' if each.price else ''}{gone}"


def _wrap(text: str, width: int, indent: str = "", hang: str = "") -> Sequence[str]:
    return textwrap.wrap(
        text, max(width, 40), initial_indent=indent, subsequent_indent=hang or indent + "  " * bool(indent),
        break_on_hyphens=False, break_long_words=False,
    ) or [""]  # fmt: skip


def as_json(found: Plan) -> dict[str, Any]:
    """Plain data."""
    words = told(found)
    data: dict[str, Any] = {
        "build": found.build.id,
        "milestone": found.wish.milestone,
        "status": found.status,
        "summary": words.summary,
        "cost": found.cost if found.choices else None,
        "bound": found.bound if found.choices else None,
        "currency": found.currency,
        "unknown_prices": list(found.unknown),
        "changes": found.changes,
        "planned": found.planned,
        "choices": [
            {"role": each.role, "act": each.act, "part": each.part.id if each.part else None, "price": each.price,
             "owned": each.owned, "was": each.was, "passed": [list(one) for one in each.passed]}
            for each in found.choices
        ],
        "verdict": found.answer.verdict if found.answer else None,
        "open": [each.name for each in found.open],
        "alternatives": [plain(each) for each in found.alternatives],
        "constraint_costs": [plain(each) for each in found.constraint_costs],
        "nothing_fills": list(found.nothing),
        "over_budget": found.over_budget,
        "notes": list(words.notes),
        "next": words.step,
        "then": list(words.more),
        "caution": words.caution,
    }  # fmt: skip
    if found.if_open is not None:
        data["if_open"] = as_json(found.if_open)
    return data
