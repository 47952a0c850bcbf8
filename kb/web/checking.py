"""A check as an address: the question in the query, its answer kept until the base changes."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from itertools import zip_longest
from typing import Any, NamedTuple, TypeVar

from kb.errors import Fault, unknown
from kb.judge import Answer
from kb.roles import ROLES, base_role, role
from kb.unit_show import SYSTEMS
from kb.web import queries
from kb.web.asking import Ask, Values

KEPT = 32  # each is of a whole build, and may take 2 MB
LONGEST = 200
WORDS = ("build", "units", "try", "value", "limit")

Pairs = tuple[tuple[str, str], ...]


class Question(NamedTuple):
    """What is asked: as for `Base.check`, in a form that can be compared."""

    build: str = ""
    roles: Pairs = ()
    overrides: Pairs = ()
    own_limits: Pairs = ()

    @property
    def empty(self) -> bool:
        return not self.build and not self.roles


def read_question(args: Values) -> tuple[Question, str, bool]:
    """(question, units, whether the address is in its shortest form) from a query. Fault for what no check takes.

    `build=drover`, `pan=deep-pan`, `pan.sump_depth=188 mm`, `limit=rule.limit=2 mm`, `units=in`; a pair of `try` and
    `value` is what a form can give of `pan.sump_depth=188 mm`.
    """
    single: dict[str, str] = {}
    shortest = True
    limits: dict[str, str] = {}
    for name, given in args.items():
        texts = [text.strip() for text in given if text.strip()]
        shortest = shortest and len(texts) == len(given) and name not in ("try", "value")
        if name in ("try", "value"):
            continue
        for text in texts:
            if len(text) > LONGEST:
                raise Fault(f"is too long: {len(text)} characters", place=name[:60], step=f"at most {LONGEST}")
        if name == "limit":
            limits.update(_limit(text) for text in texts)
        elif len(texts) > 1:
            raise Fault("is given twice", place=name[:60], step="give it once")
        elif texts:
            single[name] = texts[0]
    for name, text in _tries(args):
        if name in single:
            raise Fault("is given twice", place=name[:60], step="give it once")
        single[name] = text
    roles, overrides = {}, {}
    for name, text in single.items():
        if "." in name:
            overrides[name] = text
        elif name not in WORDS:
            if base_role(name) not in ROLES:
                raise unknown("role", name, ROLES, place=f"{name}={text}"[:80], list_with="the page will it fit")
            role(name)
            roles[name] = text
    units = single.get("units", "mm")
    if units not in SYSTEMS:
        raise unknown("system of units", units, SYSTEMS, place="units", list_with=", ".join(SYSTEMS))
    question = Question(single.get("build", ""), tuple(roles.items()), tuple(overrides.items()), tuple(limits.items()))
    return question, units, shortest


def _tries(args: Values) -> list[tuple[str, str]]:
    names, texts = args.get("try", ()), args.get("value", ())
    found = []
    for name, text in zip_longest(names, texts, fillvalue=""):
        if name.strip() and text.strip():
            found.append((name.strip(), text.strip()))
        elif name.strip() or text.strip():
            what = "a value without its feature" if text.strip() else "a feature without its value"
            raise Fault(f"{what} is given to try", place=(name or text)[:60], step="fill in both, or empty both")
    return found


def _limit(text: str) -> tuple[str, str]:
    name, sep, value = text.partition("=")
    if not sep or "." not in name or not value.strip():
        raise Fault(
            f"{text[:60]!r} is no limit", place="limit", step="write rule.limit=value, for example a-rule.least=2 mm"
        )
    return name.strip(), value.strip()


def as_args(question: Question, units: str = "mm") -> list[tuple[str, str]]:
    """The question's shortest query, in a fixed order."""
    pairs = [("build", question.build)] if question.build else []
    pairs += [*question.roles, *question.overrides]
    pairs += [("limit", f"{name}={value}") for name, value in question.own_limits]
    return pairs + ([("units", units)] if units != "mm" else [])


_ANSWERS: OrderedDict[tuple[str, int, Question], Answer] = OrderedDict()
_DRAWN: OrderedDict[tuple[str, int, Question, str], dict[str, Any]] = OrderedDict()
_LOCK = threading.Lock()
Key = TypeVar("Key", bound=tuple[Any, ...])
Made = TypeVar("Made")


def checked(ask: Ask, question: Question) -> Answer:
    """The answer, the same as the command line gives; kept while the base stays as it is."""
    key = (ask.site.path, queries.stamp(ask.con), question)
    return _kept(
        _ANSWERS,
        key,
        lambda: ask.base.check(
            question.build, dict(question.roles), dict(question.overrides), dict(question.own_limits)
        ),
    )


def drawn(ask: Ask, question: Question, units: str, make: Callable[[], dict[str, Any]]) -> dict[str, Any]:
    """What `make` tells and draws of the answer, kept as long as the answer is; it is not to be changed."""
    return _kept(_DRAWN, (ask.site.path, queries.stamp(ask.con), question, units), make)


def _kept(kept: OrderedDict[Key, Made], key: Key, make: Callable[[], Made]) -> Made:
    with _LOCK:
        if key in kept:
            kept.move_to_end(key)
            return kept[key]
    made = make()
    with _LOCK:
        for old in [each for each in kept if each[0] == key[0] and each[1] < key[1]]:
            del kept[old]  # nobody asks again for what the base was before
        kept[key] = made
        while len(kept) > KEPT:
            kept.popitem(last=False)
    return made
