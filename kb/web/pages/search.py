"""One search over parts, builds, incompatibilities, features and rules; a misspelt word gets the nearest known ones."""

from __future__ import annotations

import re
import threading
from collections.abc import Iterable
from difflib import get_close_matches
from typing import NamedTuple

from kb.records import KINDS
from kb.roles import ROLES, base_role
from kb.rules import Rule, load_rules
from kb.store import read
from kb.web import queries
from kb.web.addresses import page_of, query
from kb.web.asking import Ask, Page

LONGEST = 200
MOST = 100
FIRST = ("build", "incompatibility")  # they stand before the parts
MOST_FEATURES = 40
MOST_NAMES = 20_000  # names whose words are known for suggestions
MOST_TRIED = 6  # words that are looked up for a suggestion
WORD = re.compile(r"[^\W_]{2,}")


class FoundFeature(NamedTuple):
    """A feature of a kind, how it is measured, and the rules that read it."""

    kind: str
    name: str
    meaning: str
    measure: str
    rules: tuple[str, ...]


class Suggestion(NamedTuple):
    """The search with one word put right, and its address."""

    words: str
    to: str


def show(ask: Ask) -> Page:
    """What holds all of the words; without any, the form. `kind=pan` keeps to the parts of one kind."""
    words, kind = ask.arg("q")[:LONGEST], ask.arg("kind") if ask.arg("kind") in KINDS else ""
    hits = [hit for hit in _records(ask, words, kind) if page_of(hit.kind, hit.id)]
    found: dict[str, list[read.Hit]] = {}
    for hit in sorted(hits[:MOST], key=lambda hit: FIRST.index(hit.kind) if hit.kind in FIRST else len(FIRST)):
        found.setdefault(hit.kind, []).append(hit)
    rules = [] if kind else matching_rules(words)
    features = matching_features(words, kind)
    nothing = bool(words) and not (found or rules or features)
    near = _suggestions(ask, words, kind) if nothing else []
    data = {
        "q": words,
        "kind": kind,
        "records": [{"kind": hit.kind, "id": hit.id, "name": hit.name} for hits in found.values() for hit in hits],
        "features": [{**each._asdict(), "rules": list(each.rules)} for each in features],
        "rules": [{"id": rule.id, "asks": rule.asks} for rule in rules],
        "did_you_mean": [each.words for each in near],
    }
    values = {
        "q": words,
        "kind": kind,
        "kinds": [each for each, number in queries.counts(ask.con).items() if number and each in KINDS],
        "found": found,
        "features": features[:MOST_FEATURES],
        "more_features": max(len(features) - MOST_FEATURES, 0),
        "rules": rules,
        "near": near,
        "nothing": nothing,
        "most": MOST,
        "page_of": page_of,
        "tables": ask.site.name,
        "full": len(hits) >= MOST,
    }
    return Page("matchmark/search.html", f"Search: {words}" if words else "Search", values, data)


def _records(ask: Ask, words: str, kind: str) -> list[read.Hit]:
    """Records that hold the words; of one kind, those whose id or name the words stand in, too."""
    if not words:
        return []
    if not kind:
        return read.search(ask.con, words, MOST)
    # The index knows no kinds, so that the best of one kind may stand behind many others.
    expression = read.matching(words)
    rows = ask.con.rows(
        "SELECT search.kind, search.record, search.name FROM search JOIN search_fts ON search_fts.rowid = search.id "
        "WHERE search_fts MATCH ? AND search.kind = ? ORDER BY rank, search.record LIMIT ?",
        (expression, kind, MOST),
    ) if expression else []  # fmt: skip
    return [read.Hit(*row) for row in rows]


def matching_rules(words: str) -> list[Rule]:
    """Rules that hold every word somewhere."""
    wanted = words.lower().split()
    if not wanted:
        return []
    found = []
    for rule in load_rules().values():
        text = " ".join(
            [
                rule.id,
                rule.id.replace("-", " "),
                rule.asks,
                rule.lesson,
                rule.formula,
                *(str(each.of) for each in rule.inputs),
            ]
        ).lower()
        if all(word in text for word in wanted):
            found.append(rule)
    return found


def matching_features(words: str, kind: str = "") -> list[FoundFeature]:
    """Features whose kind, name, meaning or way of measuring hold every word; those named like it first."""
    wanted = words.lower().replace("_", " ").replace(".", " ").split()
    if not wanted:
        return []
    ranked: list[tuple[int, FoundFeature]] = []
    for of in [kind] if kind else KINDS:
        for feature in KINDS[of].features.values():
            name = f"{of} {feature.name}".replace("_", " ").lower()
            text = f"{name} {feature.meaning} {feature.measure}".lower()
            if all(word in text for word in wanted):
                in_name = all(word in name for word in wanted)
                ranked.append((not in_name, FoundFeature(of, feature.name, feature.meaning, feature.measure, ())))
    readers = _readers() if ranked else {}
    return [
        each._replace(rules=tuple(readers.get((each.kind, each.name), ())))
        for _, each in sorted(ranked, key=lambda pair: pair[0])
    ]


def _readers() -> dict[tuple[str, str], list[str]]:
    """(kind, feature) -> the rules that read it."""
    found: dict[tuple[str, str], list[str]] = {}
    for rule in load_rules().values():
        for each in rule.inputs:
            some = found.setdefault((ROLES[base_role(each.of.role)].kind.kind, each.of.feature.name), [])
            if rule.id not in some:
                some.append(rule.id)
    return found


# -- suggestions ---------------------------------------------------------------------------------------------------

_KNOWN: dict[tuple[str, str], tuple[int, frozenset[str]]] = {}
_LOCK = threading.Lock()


def _suggestions(ask: Ask, words: str, kind: str) -> list[Suggestion]:
    """The search with each unknown word replaced by a near one; of one kind, only by words of that kind."""
    typed = words.lower().split()[:MOST_TRIED]
    # A kind that is named among the words keeps the suggestions inside it, as the choice of a kind does.
    within = kind or next((each for each in KINDS if each.replace("_", " ") in words.lower()), "")
    known = _known(ask, within)
    found: list[Suggestion] = []
    for at, word in enumerate(typed):
        if word in known:
            continue
        for near in get_close_matches(word, known, n=3, cutoff=0.7):
            said = " ".join([*typed[:at], near, *typed[at + 1 :]])
            found.append(Suggestion(said, "/search?" + query({"q": said, **({"kind": kind} if kind else {})})))
    return found[:6]


def _known(ask: Ask, kind: str) -> frozenset[str]:
    """The words of names, makers and ids, and of kinds, features and rules; kept until the base changes."""
    key, stamp = (ask.site.path, kind), queries.stamp(ask.con)
    with _LOCK:
        kept = _KNOWN.get(key)
    if kept is not None and kept[0] == stamp:
        return kept[1]
    rows = ask.con.rows(
        "SELECT name, coalesce(maker, ''), id FROM part WHERE ? IN ('', kind) LIMIT ?", (kind, MOST_NAMES)
    )
    texts = [" ".join(row) for row in rows]
    for each in [kind] if kind else KINDS:
        texts.append(each)
        texts += [f"{feature.name} {feature.meaning}" for feature in KINDS[each].features.values()]
    if not kind:
        texts += [" ".join(row) for row in ask.con.rows("SELECT name, id FROM build LIMIT ?", (MOST_NAMES,))]
        texts += [
            " ".join(row) for row in ask.con.rows("SELECT title, symptom FROM incompatibility LIMIT ?", (MOST_NAMES,))
        ]
        texts += [f"{rule.id} {rule.asks}" for rule in load_rules().values()]
    found = frozenset(_words(texts))
    with _LOCK:
        _KNOWN[key] = (stamp, found)
    return found


def _words(texts: Iterable[str]) -> Iterable[str]:
    for text in texts:
        for word in WORD.findall(text.lower().replace("_", " ")):
            if not word.isdigit():
                yield word
