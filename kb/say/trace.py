"""A trace in words: suspects with what moved them, the next test, and what to do when a cause stands clear."""

from __future__ import annotations

import shlex
import textwrap
from collections.abc import Sequence
from typing import Any, NamedTuple

from kb.errors import visible
from kb.explain import CAUTION
from kb.trace.model import Cause, Model, effort
from kb.trace.session import Session, Step, Suspect
from kb.trace.trees import COMPLAINT, OneTest, figures, trees

EXIT = {"clear": 0, "open": 3, "nothing left": 3}
SHOWN = 6  # suspects that are listed unless all are asked for
UNKNOWN = "unknown"
_DEGREES = ((0.9, "almost certain"), (0.6, "likely"), (0.3, "possible"), (0.1, "less likely"), (0.0, "unlikely"))


class ToldSuspect(NamedTuple):
    """A suspect in words. chance: `62 %`; degree: the same in a word; why: sentences; clear: it stands clear."""

    id: str
    words: str
    chance: str
    degree: str
    why: tuple[str, ...]
    roles: tuple[str, ...]
    joints: tuple[str, ...]
    clear: bool
    probability: float


class ToldTest(NamedTuple):
    """A test in words. outcomes: (code, words). cost: `about 15 minutes, a drill`. why: what it is expected to tell."""

    id: str
    asks: str
    how: str
    outcomes: tuple[tuple[str, str], ...]
    cost: str
    caution: str
    why: str
    minutes: float
    opened: bool
    tools: tuple[str, ...]


class ToldStep(NamedTuple):
    """An answer in words. doubt: why it is not to be trusted, '' when it is."""

    test: str
    asks: str
    outcome: str
    words: str
    doubt: str
    reading: str


class ToldTrace(NamedTuple):
    """A whole trace in words.

    headline: one line; warning: the caution of this symptom alone; done: what to do now that it has stopped, () while
    it goes on; rules: to be asked again then.
    """

    build: str
    name: str
    symptom: str
    words: str
    caution: str
    warning: str
    state: str
    headline: str
    suspects: tuple[ToldSuspect, ...]
    nothing: str
    steps: tuple[ToldStep, ...]
    test: ToldTest | None
    done: tuple[str, ...]
    rules: tuple[str, ...]
    left_out: tuple[str, ...]
    origin: str


def tell(session: Session) -> ToldTrace:
    """The trace in words."""
    model = session.model
    test = session.proposed
    return ToldTrace(
        model.build.id, model.build.name, model.tree.id, model.tree.words,
        f"{model.tree.caution} {CAUTION}", model.tree.caution,
        session.state, headline(session), tuple(_suspect(each, session) for each in session.ranked),
        percent(session.nothing), tuple(_step(each) for each in session.steps),
        told_test(test, session) if test is not None else None, tuple(_done(session)),
        session.clear.cause.rules if session.clear is not None else (),
        tuple(f"{words}: {why}" for words, why in model.left_out), model.tree.origin,
    )  # fmt: skip


def headline(session: Session) -> str:
    """What it has come to, in a line."""
    if session.clear is not None:
        return f"It is almost certain: {session.clear.cause.words}."
    if not session.ranked:
        return "This build has none of the parts that can cause it."
    first = session.ranked[0]
    if session.state == "nothing left":
        return f"No test tells more. The most likely: {first.cause.words} ({percent(first.probability)})."
    return f"Nothing stands clear yet. The most likely: {first.cause.words} ({percent(first.probability)})."


def percent(share: float) -> str:
    """`62 %`, with a figure behind the point only where it is small."""
    if share < 0.001:
        return "below 0.1 %"
    if share > 0.999:
        return "above 99.9 %"
    return f"{100 * share:.1f}".removesuffix(".0") + " %" if share < 0.0995 else f"{100 * share:.0f} %"


def degree(share: float) -> str:
    """A probability in a word."""
    return next(word for least, word in _DEGREES if share >= least)


def _suspect(each: Suspect, session: Session) -> ToldSuspect:
    clear = session.clear is not None and each.cause.id == session.clear.cause.id
    return ToldSuspect(
        each.cause.id, each.cause.words, percent(each.probability), degree(each.probability),
        tuple(why(each)), each.cause.roles, each.cause.joints, clear, each.probability,
    )  # fmt: skip


def why(each: Suspect) -> list[str]:
    """Why a suspect stands where it stands: what moved it most, then where its prior comes from."""
    said = []
    if each.moved is not None:
        test, outcome, factor = each.moved
        way = f"speaks for it, {times(factor)}" if factor > 1 else f"speaks against it, {times(1 / factor)}"
        said.append(f"“{short(test, outcome)}” {way}")
    return said + prior_words(each.cause)


def times(factor: float) -> str:
    """`12 times`."""
    return f"{factor:.0f} times" if factor >= 9.5 else f"{factor:.1f} times"


def prior_words(cause: Cause) -> list[str]:
    """Where a cause's prior comes from."""
    kind = figures().kinds[cause.kind]
    origin = {"memory": "from memory", "practice": "common practice, no source"}.get(kind.origin, kind.origin)
    said = []
    if cause.broken:
        said.append(f"seen in the circuit of this build: {cause.broken}")
    for id, title in zip(cause.clashes, cause.told, strict=True):
        said.append(f"recorded as an incompatibility that matches these parts: “{title}” ({id})")
    if cause.doubtful and cause.holds > 0.999:
        said.append("the rules that vouch for it hold in this build")
    elif cause.doubtful:
        said.append(f"“{cause.asks}” A yes has {percent(cause.holds)} in this build")
    said.append(f"{kind.words}: {percent(kind.rate)} are at fault before one looks ({origin})")
    return said


def short(test: OneTest, outcome: str | None) -> str:
    """Question and answer in a line."""
    return f"{test.asks} {test.outcomes[outcome] if outcome else 'cannot be told'}"


def told_test(test: OneTest, session: Session) -> ToldTest:
    """A test in words."""
    model = session.model
    tools = [figures().tools[tool].words if tool in figures().tools else tool for tool in test.tools]
    missing = [
        figures().tools[tool].words if tool in figures().tools else tool
        for tool in test.tools
        if tool not in model.tools
    ]
    cost = f"about {_minutes(test.minutes)}"
    if tools:
        cost += f"; {', '.join(tools)}"
    if missing:
        cost += f" (to be got: {', '.join(missing)})"
    if test.opened:
        cost += "; the engine has to be opened"
    gained = ""
    if session.proposed is not None and session.proposed.id == test.id:
        gained = (
            f"of all tests left it tells most for its trouble: {session.worth:.2f} bits are expected, and it counts as "
            f"{_minutes(effort(test, model.tools))}"
        )
    return ToldTest(
        test.id, test.asks, test.how, tuple(test.outcomes.items()), cost, test.caution, gained, test.minutes,
        test.opened, tuple(tools),
    )  # fmt: skip


def _minutes(count: float) -> str:
    return f"{count:g} minute{'' if count == 1 else 's'}"


def _step(each: Step) -> ToldStep:
    outcome = each.answer.outcome
    words = each.test.outcomes[outcome] if outcome else "cannot be told"
    doubt = ""
    if each.contradicts:
        doubt = (
            "this contradicts every cause that was left; a misleading reading explains it better: take it again"
            if each.doubt > 0.5
            else "this contradicted every cause that was left when it was given; later answers bear it out"
        )
    elif each.doubt > 0.5:
        doubt = f"with the later answers this reading has probably misled ({percent(each.doubt)}): take it again"
    return ToldStep(each.test.id, each.test.asks, outcome or UNKNOWN, words, doubt, each.answer.reading)


def _done(session: Session) -> list[str]:
    """What to do now that it has stopped."""
    if session.state == "open":
        return []
    if session.clear is None:
        if not session.ranked:
            return ["Look at another symptom, or fill the roles that this build lacks."]
        return [
            "Take the doubtful readings again, or one that you could not tell.",
            f"Else begin with the most likely: {session.ranked[0].cause.fix}.",
        ]
    cause = session.clear.cause
    said = [f"Do: {cause.fix}."]
    if session.also:
        more = "; ".join(f"{each.cause.words} ({percent(each.probability)})" for each in session.also)
        said.append(f"Perhaps also: {more}.")
    said.append("Then repeat the test that showed the symptom; a second fault may hide behind the first.")
    return said


def resume(session: Session, *, more: Sequence[str] = (), draft: str = "") -> str:
    """The command that goes on from here; more: words of the command that were given besides."""
    words = ["matchmark", "trace", session.model.build.id, "--symptom", session.model.tree.id, *more]
    for each in session.answers:
        if not each.reading:
            words += ["--answer", f"{each.test}={each.outcome or UNKNOWN}"]
    words += ["--draft", draft] if draft else []
    return " ".join(shlex.quote(each) for each in words)


def as_text(session: Session, *, width: int = 80, every: bool = False, go_on: str = "", draft: str = "") -> str:
    """The trace as lines. go_on, draft: the commands that go on from here, and that draft the record."""
    told = tell(session)
    lines = [f"{told.name}: {told.words}", ""]
    for step in told.steps:
        source = f" (reading {step.reading})" if step.reading else ""
        lines.append(_wrapped(f"- {step.asks} {step.words}{source}", width, "  "))
        if step.doubt:
            lines.append(_wrapped(f"  ! {step.doubt}", width, "    "))
    lines += [""] if told.steps else []
    lines += [_wrapped(told.headline, width), ""]
    shown = told.suspects if every else told.suspects[:SHOWN]
    for number, each in enumerate(shown, 1):
        lines.append(_wrapped(f"{number:2}. {each.chance:>6}  {each.words} ({each.degree})", width, " " * 12))
        lines += [
            _wrapped(f"            {sentence}", width, " " * 14)
            for sentence in (each.why if number == 1 else each.why[:2])
        ]
    if len(told.suspects) > len(shown):
        lines.append(f"    and {len(told.suspects) - len(shown)} more (--all)")
    lines.append(f"    {told.nothing:>6}  none of these")
    lines.append("")
    if told.state == "open" and told.test is not None:
        lines += lines_of_test(told.test, width)
    else:
        lines += [_wrapped(each, width, "  ") for each in told.done]
        if told.rules:
            again = " ".join(f"--rule {each}" for each in told.rules)
            lines.append(_wrapped(f"Check again: matchmark check {told.build} {again}", width, "  "))
    if go_on:
        lines += ["", _wrapped(f"Go on with: {go_on}", width, "  ")]
    if draft and told.state == "clear":
        lines += ["", _wrapped(f"Write the record: {draft}", width, "  ")]
    lines += ["", _wrapped(told.caution, width)]
    return visible("\n".join(lines)) + "\n"


def lines_of_test(test: ToldTest, width: int, *, numbers: bool = False) -> list[str]:
    """The proposed test: question, how, cost, outcomes."""
    lines = [_wrapped(f"Next: {test.asks}", width, "  "), _wrapped(f"  How: {test.how}.", width, "       ")]
    lines.append(_wrapped(f"  Cost: {test.cost}.", width, "        "))
    if test.caution:
        lines.append(_wrapped(f"  Caution: {test.caution}", width, "    "))
    if test.why:
        lines.append(_wrapped(f"  Why: {test.why}.", width, "       "))
    for number, (code, words) in enumerate(test.outcomes, 1):
        head = f"  {number}  " if numbers else f"  {test.id}={code}: "
        lines.append(_wrapped(f"{head}{words}", width, "     "))
    return lines


def list_text(model: Model, *, width: int = 80) -> str:
    """Every test of a symptom in this build with its outcomes, for `--answer`."""
    lines = [f"{model.tree.words} ({model.tree.id})", "", "Tests:"]
    for test in model.tests:
        if test.id != COMPLAINT:
            lines.append(_wrapped(f"{test.id}: {test.asks}", width, "    "))
            codes = ", ".join(f"{code} ({words})" for code, words in test.outcomes.items())
            lines.append(_wrapped(f"    {codes}, {UNKNOWN}", width, "      "))
    lines += ["", "Causes:"]
    lines += [_wrapped(f"{each.id}: {each.words}", width, "    ") for each in model.causes]
    if model.left_out:
        lines += ["", "Left out:"]
        lines += [_wrapped(f"{words}: {why_not}", width, "    ") for words, why_not in model.left_out]
    lines += ["", _wrapped(model.tree.origin, width)]
    return visible("\n".join(lines)) + "\n"


def symptoms_text(*, width: int = 80) -> str:
    """The symptoms, with words by which they are known."""
    from kb.trace.phrases import examples

    said = examples()
    lines = ["Symptoms (--symptom takes the short name, or your own words):"]
    for id, each in trees().items():
        lines.append(_wrapped(f"{id}: {each.words}", width, "    "))
        lines.append(_wrapped(f"    for example: {'; '.join(said[id][:3])}", width, "      "))
    return "\n".join(lines) + "\n"


def _wrapped(text: str, width: int, indent: str = "") -> str:
    body = text.lstrip()
    first = text[: len(text) - len(body)]
    return textwrap.fill(
        body, width, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False, break_long_words=False
    )


def as_json(session: Session) -> dict[str, Any]:
    """The trace as plain data."""
    told = tell(session)
    by_id = {each.cause.id: each for each in session.ranked}
    return {
        "build": told.build,
        "symptom": told.symptom,
        "words": told.words,
        "state": told.state,
        "headline": told.headline,
        "answers": [
            {"test": each.test, "outcome": each.outcome, "words": each.words, "reading": each.reading or None,
             "doubt": each.doubt or None}
            for each in told.steps
        ],
        "suspects": [
            {
                "cause": each.id, "words": each.words, "probability": each.probability,
                "alone": by_id[each.id].alone, "prior": by_id[each.id].cause.prior, "degree": each.degree,
                "why": list(each.why), "roles": list(each.roles), "rules": list(by_id[each.id].cause.rules),
                "joints": list(each.joints), "fix": by_id[each.id].cause.fix, "clear": each.clear,
            }
            for each in told.suspects
        ],
        "none": session.nothing,
        "next": _test_json(told.test) if told.test is not None else None,
        "do": list(told.done),
        "check_again": list(told.rules),
        "left_out": list(told.left_out),
        "caution": told.caution,
        "origin": told.origin,
    }  # fmt: skip


def _test_json(test: ToldTest) -> dict[str, Any]:
    return {**test._asdict(), "outcomes": dict(test.outcomes), "tools": list(test.tools)}


def listed_json(model: Model) -> dict[str, Any]:
    """The tests and causes of a symptom as plain data."""
    return {
        "symptom": model.tree.id,
        "words": model.tree.words,
        "tests": [
            {"id": each.id, "asks": each.asks, "how": each.how, "outcomes": dict(each.outcomes),
             "minutes": each.minutes, "tools": list(each.tools), "opened": each.opened}
            for each in model.tests
            if each.id != COMPLAINT
        ],
        "causes": [{"id": each.id, "words": each.words, "prior": each.prior} for each in model.causes],
        "left_out": [{"cause": words, "why": why_not} for words, why_not in model.left_out],
    }  # fmt: skip


def symptoms_json() -> list[dict[str, str]]:
    """The symptoms as plain data."""
    return [{"id": id, "words": each.words} for id, each in trees().items()]
