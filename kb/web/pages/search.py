"""One search over parts, builds, incompatibilities and rules."""

from __future__ import annotations

from kb.rules import Rule, load_rules
from kb.store import read
from kb.web.addresses import page_of
from kb.web.asking import Ask, Page

LONGEST = 200
MOST = 100


def show(ask: Ask) -> Page:
    """What holds all of the words; without any, the form."""
    words = ask.arg("q")[:LONGEST]
    hits = read.search(ask.con, words, MOST) if words else []
    found: dict[str, list[read.Hit]] = {}
    for hit in hits:
        if page_of(hit.kind, hit.id):
            found.setdefault(hit.kind, []).append(hit)
    rules = matching_rules(words)
    data = {
        "q": words,
        "records": [{"kind": hit.kind, "id": hit.id, "name": hit.name} for hits in found.values() for hit in hits],
        "rules": [{"id": rule.id, "asks": rule.asks} for rule in rules],
    }
    values = {
        "q": words,
        "found": found,
        "rules": rules,
        "most": MOST,
        "page_of": page_of,
        "tables": ask.site.name,
        "full": len(hits) == MOST,
    }
    return Page("matchmark/search.html", f"Search: {words}" if words else "Search", values, data)


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
