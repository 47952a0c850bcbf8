"""Trace a symptom: one question a page, every answer an address, so that the way back is a link."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple
from urllib.parse import quote, urlencode

from kb.circuit.graph import circuits
from kb.drawing.circuit import Suspect as Marked
from kb.drawing.circuit import circuit_drawing
from kb.errors import Fault
from kb.judge import Answer
from kb.say.trace import UNKNOWN, ToldTrace, as_json, percent, symptoms_json, tell
from kb.say.trace_record import draft
from kb.trace.phrases import LONGEST, understood
from kb.trace.session import Session
from kb.trace.trees import trees
from kb.web.addresses import address
from kb.web.asking import Ask, Go, Page
from kb.web.checking import Question, checked

MOST_ANSWERS = 60
MARKED = 5  # suspects that are marked in the circuit
LEAST_MARKED = 0.02  # probability below which none is
MOST_SEEN = 12  # pieces of evidence that the form takes


class Choice(NamedTuple):
    """An outcome as a button."""

    words: str
    to: str


def show(ask: Ask) -> Page | Go:
    """The next question; without a symptom the list of them. `?symptom=oil-prime&a=drill-feel=free`."""
    id = ask.vars["id"]
    record = ask.base.record_of(id)
    said = ask.arg("symptom")[:LONGEST]
    if not said:
        return _choose(ask, record.name, "", None)
    if said not in trees():
        try:
            told = understood(said)
        except Fault as fault:
            return _choose(ask, record.name, said, fault)
        return Go(_to(id, told.symptom, _here(ask, id, told.symptom, told.answers)))
    if not record.roles:
        raise Fault(f"no part fills a role of {id}", step="fill some roles on its page, then trace")
    answer = checked(ask, Question(id))
    session = ask.base.trace(id, said, _answers(ask), answer=answer, recorded=ask.arg("readings") != "no")
    return _page(ask, session, answer)


def _here(ask: Ask, id: str, symptom: str, pairs: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Those of the answers whose tests this build's parts call for."""
    if not pairs:
        return []
    there = {test.id for test in ask.base.trace(id, symptom, answer=checked(ask, Question(id))).model.tests}
    return [(test, outcome) for test, outcome in pairs if test in there]


def _answers(ask: Ask) -> list[tuple[str, str | None]]:
    found: list[tuple[str, str | None]] = []
    for text in ask.args.get("a", ())[:MOST_ANSWERS]:
        test, sep, outcome = text.partition("=")
        if not sep:
            raise Fault(f"{text[:60]!r} is no answer", place="a", step="write a=test=outcome, or begin again")
        found.append((test, None if outcome == UNKNOWN else outcome))
    return found


def _to(
    id: str,
    symptom: str = "",
    answers: Iterable[tuple[str, str | None]] = (),
    *,
    twin: bool = False,
    recorded: bool = True,
) -> str:
    """The address of a state of the trace; `twin`: of its data; recorded: whether recorded readings count."""
    pairs = [("symptom", symptom)] if symptom else []
    pairs += [] if recorded else [("readings", "no")]
    pairs += [("a", f"{test}={outcome or UNKNOWN}") for test, outcome in answers]
    path = address("build", id, "trace") + (".json" if twin else "")
    return path + (f"?{urlencode(pairs, safe=':=.,', quote_via=quote)}" if pairs else "")


def _choose(ask: Ask, name: str, typed: str, trouble: Fault | None) -> Page:
    id = ask.vars["id"]
    values = {
        "build": id,
        "name": name,
        "symptoms": [Choice(each.words, _to(id, each.id)) for each in trees().values()],
        "typed": typed,
        "trouble": trouble,
        "here": _to(id),
    }
    data = {"build": id, "symptoms": symptoms_json()}
    return Page("matchmark/trace_choose.html", "Trace a symptom", values, data, 400 if trouble else 200)


def _page(ask: Ask, session: Session, answer: Answer) -> Page:
    id, symptom = ask.vars["id"], session.model.tree.id
    told = tell(session)
    asked = [(each.test, each.outcome) for each in session.answers if not each.reading]
    recorded = ask.arg("readings") != "no"

    def to(answers: Sequence[tuple[str, str | None]], *, twin: bool = False) -> str:
        return _to(id, symptom, answers, twin=twin, recorded=recorded)

    choices, unknown = [], ""
    if told.test is not None:
        choices = [Choice(words, to([*asked, (told.test.id, code)])) for code, words in told.test.outcomes]
        unknown = to([*asked, (told.test.id, None)])
    asked_here = {each.name for each in answer.findings}
    may_write = ask.may_write
    values = {
        "told": told,
        "choices": choices,
        "unknown": unknown,
        "undo": to(asked[:-1]) if asked else "",
        "afresh": to([]) if asked else "",
        "without": _to(id, symptom, asked, recorded=False) if any(each.reading for each in session.answers) else "",
        "other": _to(id),
        "page": address("build", id),
        "rules": [(each, f"{_fit(id)}#{each}") for each in told.rules if each in asked_here],
        "check": _fit(id),
        "picture": _picture(session, answer),
        "record": _record(session) if may_write and session.ranked and session.state != "open" else "",
        "twin": to(asked, twin=True),
        "shown": 6,
    }
    return Page("matchmark/trace.html", _heading(told), values, as_json(session))


def _fit(id: str) -> str:
    """The page of the whole check."""
    return f"/fit?build={quote(id, safe='')}"


def _heading(told: ToldTrace) -> str:
    return f"{told.words[:1].upper()}{told.words[1:]}"


def _picture(session: Session, answer: Answer) -> str:
    """The circuit with the joints of the leading suspects marked; '' where they stand in none."""
    found = circuits(answer.build, answer.findings).get(session.model.tree.circuit)
    if found is None:
        return ""
    marks: dict[str, Marked] = {}
    for rank, each in enumerate(session.ranked[:MARKED], 1):
        if each.probability >= LEAST_MARKED:
            for joint in each.cause.joints:
                marks.setdefault(joint, Marked(rank, percent(each.probability)))
    return circuit_drawing(found, suspects=marks) if marks else ""


def _record(session: Session) -> str:
    """The address of the form to report an incompatibility, with all that the trace knows filled in."""
    record: dict[str, Any] = draft(session)
    pairs = [(name, record[name]) for name in ("title", "symptom", "cause", "found", "remedy", "milestone")]
    pairs += [("harm", each) for each in record["harm"]]
    pairs += [("seen", each["text"]) for each in record["evidence"][:MOST_SEEN]]
    pairs += [(each["role"], each["part"]) for each in record["parties"]]
    return f"/incompatibility/new?{urlencode(pairs, quote_via=quote)}"
