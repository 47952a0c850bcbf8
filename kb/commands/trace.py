"""From a symptom to its cause, step by step on a terminal or by flags."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from kb.commands._shared import answer_options, pair, print_json, targets
from kb.errors import Fault, unknown
from kb.terminal import complain, say, who, width

if TYPE_CHECKING:
    from kb.trace.session import Session

UNKNOWN = ("unknown", "?")


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "what", nargs="*", metavar="WHAT", help="a build; role=part and values (pan.sump_depth='188 mm') to try on it"
    )
    sub.add_argument(
        "--symptom",
        default="",
        metavar="WORDS",
        help="short name of the symptom (--list shows them), or your own words",
    )
    sub.add_argument(
        "--answer", action="append", default=[], metavar="TEST=OUTCOME",
        help="what a test showed; OUTCOME unknown where you cannot tell; repeat",
    )  # fmt: skip
    sub.add_argument(
        "--list", action="store_true", help="the symptoms; with a build and a symptom its tests and causes"
    )
    sub.add_argument(
        "--have", action="append", default=[], metavar="TOOL", help="a tool at hand besides the usual; repeat"
    )
    sub.add_argument(
        "--lack", action="append", default=[], metavar="TOOL", help="a usual tool that is not at hand; repeat"
    )
    sub.add_argument(
        "--draft", default="", metavar="FILE", help="write the leading cause as an incompatibility to mend"
    )
    sub.add_argument("--all", action="store_true", help="every suspect, however unlikely")
    sub.add_argument("--no-readings", dest="fresh", action="store_true", help="leave the recorded readings out")
    answer_options(sub)
    sub.set_defaults(run=run_trace, several="what")


def run_trace(given: argparse.Namespace) -> int:
    from kb.base import Base
    from kb.say import trace as told

    build, roles, overrides = targets(given.what)
    if given.list and not (build and given.symptom):
        print_json(told.symptoms_json()) if given.json else say(told.symptoms_text(width=width()), end="")
        return 0
    if not build:
        raise Fault("no build is named", step="name one: matchmark trace drover --symptom oil-prime")
    asking = (
        sys.stdin.isatty() and sys.stdout.isatty() and not (given.json or given.answer or given.draft or given.list)
    )
    symptom = given.symptom or (_chosen() if asking else "")
    if not symptom:
        raise Fault("no symptom is named", place="--symptom", step="see them with: matchmark trace --list")
    answers = [_answer(text) for text in given.answer]
    with Base(given.db) as base:
        session = base.trace(
            build, symptom, answers, roles=roles, overrides=overrides, tools=_tools(given), recorded=not given.fresh
        )
    if given.list:
        model = session.model
        print_json(told.listed_json(model)) if given.json else say(told.list_text(model, width=width()), end="")
        return 0
    if asking:
        session = _asked(session, given)
    if given.draft:
        _write(session, given.draft)
    if given.json:
        print_json(told.as_json(session))
    elif not asking:
        go_on = "" if session.state == "clear" else told.resume(session, more=_more(given))
        draft = "" if given.draft else told.resume(session, more=_more(given), draft="found.yaml")
        say(told.as_text(session, width=width(), every=given.all, go_on=go_on, draft=draft), end="")
    return told.EXIT[session.state]


def _more(given: argparse.Namespace) -> list[str]:
    """What else was given, for the command that goes on from here."""
    from kb.cli import DATABASE

    words = [word for word in given.what if "=" in word]
    words += [each for tool in given.have for each in ("--have", tool)]
    words += [each for tool in given.lack for each in ("--lack", tool)]
    words += ["--no-readings"] if given.fresh else []
    return words + (["--db", given.db] if given.db != DATABASE else [])


def _answer(text: str) -> tuple[str, str | None]:
    test, outcome = pair(text, "--answer")
    return test, None if outcome in UNKNOWN else outcome


def _tools(given: argparse.Namespace) -> frozenset[str]:
    from kb.trace.model import usual_tools
    from kb.trace.trees import figures

    known = figures().tools
    for flag in ("have", "lack"):
        for each in getattr(given, flag):
            if each not in known:
                fault = unknown("tool", each, known, place=f"--{flag}")
                fault.step = fault.step or f"it is one of: {', '.join(known)}"
                raise fault
    return (usual_tools() | set(given.have)) - set(given.lack)


def _write(session: Session, path: str) -> None:
    """The leading cause as a record file; an existing file is not overwritten."""
    from datetime import date

    from kb.reading_files._yaml import yaml_text
    from kb.say.trace_record import draft

    if not session.ranked:
        raise Fault("there is no suspect to write down", place="--draft", step="choose another symptom")
    if session.clear is None:
        complain(
            "nothing stands clear yet: the draft names the most likely cause; answer more tests before you record it"
        )
    text = yaml_text(draft(session, date=date.today().isoformat(), by=who()))
    try:
        with open(path, "x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        raise Fault("there is such a file already", place=path, step="name another one") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise Fault(f"cannot be written: {reason}", place=path, step="name a file in a folder of yours") from None
    complain(f"drafted {path}: read it, mend it, then: matchmark incompat add --from-trace {path}")


# -- on a terminal -------------------------------------------------------------------------------------------------


def _read(words: str) -> str:
    try:
        return input(words).strip()
    except EOFError:
        return "q"


def _chosen() -> str:
    """The symptom, by number or in free words."""
    from kb.trace.phrases import understood
    from kb.trace.trees import trees

    named = list(trees().values())
    say("What do you see?")
    for number, each in enumerate(named, 1):
        say(f"  {number}  {each.words}")
    while True:
        text = _read("Number, or your own words (q stops): ")
        if text.lower() == "q":
            raise Fault("nothing was traced", step="start again when you are at the engine")
        if text.isdigit() and 1 <= int(text) <= len(named):
            return named[int(text) - 1].id
        try:
            if text:
                understood(text)
                return text
        except Fault:
            complain("no symptom is known by these words: type its number, or say it otherwise")


def _asked(session: Session, given: argparse.Namespace) -> Session:
    """Ask until a cause stands clear, nothing is left to test, or q."""
    from kb.say import trace as told

    say(session.model.tree.caution)
    say("Answer with the number; ? cannot tell, u takes the last answer back, q stops.")
    while True:
        _show(session)
        test = session.proposed
        over = session.state != "open" or test is None
        if over:
            say(
                told.as_text(
                    session,
                    width=width(),
                    every=given.all,
                    draft=told.resume(session, more=_more(given), draft="found.yaml"),
                ),
                end="",
            )
            text = _read("u takes the last answer back, c goes on all the same, Enter ends: ").lower()
            if text == "u":
                session = session.undone()
                continue
            if text != "c" or test is None:
                return session
        assert test is not None
        say("\n".join(told.lines_of_test(told.told_test(test, session), width(), numbers=True)))
        session, stop = _one(session, test.id, tuple(test.outcomes))
        if stop:
            say(f"Go on with: {told.resume(session, more=_more(given))}")
            return session


def _one(session: Session, test: str, outcomes: tuple[str, ...]) -> tuple[Session, bool]:
    """The session after one answer, and whether to stop."""
    while True:
        text = _read("> ").lower()
        if text == "q":
            return session, True
        if text == "u":
            return session.undone(), False
        if text in UNKNOWN:
            return session.answered(test, None), False
        if text.isdigit() and 1 <= int(text) <= len(outcomes):
            return session.answered(test, outcomes[int(text) - 1]), False
        complain(f"type a number from 1 to {len(outcomes)}, ?, u or q")


def _show(session: Session) -> None:
    """The suspects in short, and the answers that are in doubt."""
    from kb.say import trace as told

    found = told.tell(session)
    for step in found.steps:
        if step.doubt:
            say(f"! {step.asks} {step.words}: {step.doubt}")
    say("")
    for each in found.suspects[:3]:
        say(f"  {each.chance:>6}  {each.words}")
    say("")
