"""Two people's records of one thing: what is the same, what joins, what differs. Pure functions over records as given.

Readings of one feature join (`kb.store.merging_readings`): both are kept, and whether they contradict each other is for
the part to say.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from kb.records import KINDS, Feature
from kb.records.models import normalise
from kb.say.merge import Difference, Joined
from kb.store.merging_readings import Reading, explicit, pairs
from kb.store.merging_readings import joined as joined_readings
from kb.store.rows import canonical

Record = dict[str, Any]
# What tells which make and model a part is: where two records differ in one of these, they are of two parts.
IDENTITY = ("maker", "part_number", "based_on")


class Outcome(NamedTuple):
    """What comes of two records. record: to be written, equal to ours if there is nothing to add."""

    record: Record
    joined: tuple[Joined, ...] = ()
    filled: tuple[str, ...] = ()
    left: tuple[Difference, ...] = ()
    reports: tuple[str, ...] = ()


def shown(value: Any) -> str:
    """A value for people, short."""
    text = value if isinstance(value, str) else "not recorded" if value is None else canonical(value)
    return text if len(text) <= 120 else text[:117] + "..."


def merged(ours: Record, theirs: Record, take: str = "") -> Outcome:
    """Their record of the same id and kind joined to ours. take: whose word holds where they differ ("ours", "theirs").

    Without `take` what differs stays as ours says and is told in `left`.
    """
    kind = ours["kind"]
    if canonical(ours) == canonical(theirs):
        return Outcome(ours)
    if kind in KINDS:
        return _part(ours, theirs, take)
    ways: dict[str, Callable[[Record, Record, str], Outcome]] = {
        "incompatibility": _clash, "donor": _donor, "source": _fields, "reading": _gauge,
    }  # fmt: skip
    return ways.get(kind, _whole)(ours, theirs, take)


def _difference(ours: Record, field: str, mine: Any, other: Any, step: str = "") -> Difference:
    name = f"{ours['kind']}/{ours['id']}"
    usual = f"--take theirs {name} takes theirs, --take ours {name} keeps yours"
    return Difference(ours["kind"], ours["id"], field, shown(mine), shown(other), step or usual)


def _whole(ours: Record, theirs: Record, take: str) -> Outcome:
    """Records that mean something only as they stand, such as a build or an instrument."""
    if take:
        return Outcome(theirs if take == "theirs" else ours)
    names = [name for name in {**ours, **theirs} if ours.get(name) != theirs.get(name)]
    return Outcome(ours, left=tuple(_difference(ours, name, ours.get(name), theirs.get(name)) for name in names))


def _settle(into: Record, theirs: Record, names: Iterable[str], take: str) -> tuple[list[str], list[Difference]]:
    """Fields one by one: what ours lacks is filled in, what differs is left or taken."""
    filled, left = [], []
    for name in names:
        if name not in theirs or into.get(name) == theirs[name]:
            continue
        if name not in into or into[name] in ("", []):
            filled.append(name)
            into[name] = theirs[name]
        elif take == "theirs":
            into[name] = theirs[name]
        elif not take and theirs[name] not in ("", []):
            left.append(_difference(into, name, into[name], theirs[name]))
    return filled, left


def _fields(ours: Record, theirs: Record, take: str) -> Outcome:
    made = dict(ours)
    filled, left = _settle(made, theirs, theirs, take)
    return Outcome(made, filled=tuple(filled), left=tuple(left))


def _gauge(ours: Record, theirs: Record, take: str) -> Outcome:
    """A note or a picture joins the same reading; any other difference makes it another one."""
    beside = ("note", "photo")
    if any(ours.get(name) != theirs.get(name) for name in {**ours, **theirs} if name not in beside):
        return _whole(ours, theirs, take)
    return _fields(ours, theirs, take)


# -- parts ---------------------------------------------------------------------------------------------------------


def _part(ours: Record, theirs: Record, take: str) -> Outcome:
    other = [name for name in IDENTITY if ours.get(name) and theirs.get(name) and ours[name] != theirs[name]]
    if other and not take:
        step = f"are they one part? then --take theirs or ours {ours['kind']}/{ours['id']}; else give theirs another id"
        return Outcome(ours, left=tuple(_difference(ours, name, ours[name], theirs[name], step) for name in other))
    kind = KINDS[ours["kind"]]
    made = dict(ours)
    plain = [name for name in theirs if name not in kind.features and name not in ("kind", "id", "known")]
    filled, left = _settle(made, theirs, plain, take)
    work = _Work(ours, theirs, take)
    work.features(made, theirs, kind.features, normalise(ours), normalise(theirs), "")
    if ours.get("known") and (work.joined or work.filled):
        # What our record says once for all of its figures must not be taken to be said of theirs.
        return _part(spelled_out(ours), theirs, take)
    return Outcome(made, tuple(work.joined), (*filled, *work.filled), (*left, *work.left))


def spelled_out(record: Record) -> Record:
    """The record of a part with the origin of each reading in itself, and none said for all of them."""
    facts, features = normalise(record), KINDS[record["kind"]].features
    made = {name: value for name, value in record.items() if name != "known"}
    for name, value in record.items():
        feature = features.get(name)
        if feature is not None and feature.sort == "dimension":
            made.update(explicit({name: value}, {name: facts[name]}))
        elif feature is not None and feature.item is not None:
            made[name] = [explicit(each, said) for each, said in zip(value, facts[name], strict=True)]
    return made


class _Work:
    """One part joined to another, feature by feature."""

    def __init__(self, ours: Record, theirs: Record, take: str) -> None:
        self.kind, self.id = ours["kind"], ours["id"]
        self.ours, self.take = ours, take
        self.joined: list[Joined] = []
        self.filled: list[str] = []
        self.left: list[Difference] = []

    def features(
        self,
        into: Record,
        theirs: Mapping[str, Any],
        features: Mapping[str, Feature],
        facts: Mapping[str, Any],
        their_facts: Mapping[str, Any],
        path: str,
    ) -> None:
        for name, feature in features.items():
            if name not in theirs or name == "id":
                continue
            here = f"{path}{name}"
            if feature.sort == "dimension":
                several = [Reading(*each) for each in pairs(theirs[name], their_facts[name])]
                mine = [Reading(*each) for each in pairs(into.get(name), facts.get(name, ()))]
                found = joined_readings(mine, several, self.take)
                if found.raw is not None:
                    into[name] = found.raw
                self.joined.extend(Joined(self.kind, self.id, here, each.said["text"]) for each in found.new)
                self.filled.extend([here] if found.told else [])
                self.left.extend(_difference(self.ours, here, *each) for each in found.left)
            elif feature.item is not None:
                self.entries(into, theirs, feature, facts, their_facts, here)
            elif name not in into:
                into[name] = theirs[name]
                self.filled.append(here)
            elif into[name] != theirs[name] and not _same_fact(facts.get(name), their_facts.get(name)):
                self.differ(into, name, theirs[name], here)

    def entries(
        self,
        into: Record,
        theirs: Mapping[str, Any],
        feature: Feature,
        facts: Mapping[str, Any],
        their_facts: Mapping[str, Any],
        here: str,
    ) -> None:
        name = feature.name
        assert feature.item is not None
        if name not in into:
            into[name] = [explicit(each, fact) for each, fact in zip(theirs[name], their_facts[name], strict=True)]
            self.filled.append(here)
            return
        mine = {each["id"]: dict(each) for each in into[name]}
        other = {each["id"]: each for each in theirs[name]}
        my_facts = {each["id"]: each for each in facts.get(name, ())}
        other_facts = {each["id"]: each for each in their_facts[name]}
        order = _in_order([*mine], [*other], feature.name in _ANY_ORDER)
        if self.take == "theirs":
            order = [*other]
        elif order is None and not self.take:
            self.left.append(_difference(self.ours, here, ", ".join(mine), ", ".join(other)))
        for id, entry in other.items():
            if id in mine:
                inner = (feature.item.features, my_facts[id], other_facts[id], f"{here}.{id}.")
                self.features(mine[id], entry, *inner)
            elif order is not None:
                self.filled.append(f"{here}.{id}")
        into[name] = [mine[id] if id in mine else explicit(other[id], other_facts[id]) for id in order or mine]

    def differ(self, into: Record, name: str, value: Any, here: str) -> None:
        if self.take == "theirs":
            into[name] = value
        elif not self.take:
            self.left.append(_difference(self.ours, here, into[name], value))


_ANY_ORDER = ("ticked",)  # lists whose order says nothing


def _in_order(mine: Sequence[str], other: Sequence[str], any_order: bool) -> list[str] | None:
    """The entries of both in one order that keeps the order of each; None where that has to be guessed.

    The order of entries can mean something, such as the way of a belt: two that are new to the other's list between the
    same neighbours, or shared ones that stand the other way round, are nobody's to put in order.
    """
    shared = [each for each in mine if each in other]
    if any_order:
        return [*mine, *(each for each in other if each not in mine)]
    if shared != [each for each in other if each in mine]:
        return None
    out: list[str] = []
    ends: list[str | None] = [*shared, None]
    at = there = 0
    for end in ends:
        stop = len(mine) if end is None else mine.index(end)
        stop_there = len(other) if end is None else other.index(end)
        ours, theirs = mine[at:stop], other[there:stop_there]
        if ours and theirs:
            return None
        out += [*ours, *theirs, *([] if end is None else [end])]
        at, there = stop + 1, stop_there + 1
    return out


def _same_fact(mine: Any, other: Any) -> bool:
    """Whether two positions or codes say the same in other words."""
    if isinstance(mine, dict) and isinstance(other, dict):
        return bool(abs(mine["si"] - other["si"]) <= 1e-12)
    if isinstance(mine, list) and isinstance(other, list):
        return sorted(map(str, mine)) == sorted(map(str, other))
    return bool(mine == other)


# -- donors and incompatibilities ----------------------------------------------------------------------------------


def _donor(ours: Record, theirs: Record, take: str) -> Outcome:
    made = dict(ours)
    filled, left = _settle(made, theirs, [name for name in theirs if name not in ("carries", "seen")], take)
    if theirs.get("seen", "") > ours.get("seen", ""):
        made["seen"] = theirs["seen"]
        filled.append("seen")
    mine = {_carried(each)["part"]: each for each in ours.get("carries", ())}
    for each in theirs.get("carries", ()):
        part = _carried(each)["part"]
        if part not in mine:
            mine[part] = each
            filled.append(f"carries.{part}")
        elif _carried(mine[part]) != _carried(each):
            if take == "theirs":
                mine[part] = each
            elif not take:
                left.append(_difference(ours, f"carries.{part}", mine[part], each))
    if mine:
        made["carries"] = [*mine.values()]
    return Outcome(made, filled=tuple(filled), left=tuple(left))


def _carried(said: Any) -> Record:
    return {"part": said} if isinstance(said, str) else dict(said)


def same_clash(ours: Record, theirs: Record) -> bool:
    """Whether two incompatibilities name the same parties, whatever they are called."""
    return parties_of(ours) == parties_of(theirs)


def same_trouble(ours: Record, theirs: Record) -> bool:
    """Whether they name the same parties, harm and milestone: two parts can clash in more than one way."""

    def harm(record: Record) -> list[str]:
        return sorted([record["harm"]] if isinstance(record["harm"], str) else record["harm"])

    return same_clash(ours, theirs) and harm(ours) == harm(theirs) and ours["milestone"] == theirs["milestone"]


def parties_of(record: Record) -> list[str]:
    """The parties of a clash in a form that is equal for equal ones."""
    wheres = ({name: sorted(v if isinstance(v, list) else [v]) for name, v in each.get("where", {}).items()}
              for each in record["parties"])  # fmt: skip
    return sorted(
        canonical([each["role"], each.get("part", ""), where])
        for each, where in zip(record["parties"], wheres, strict=True)
    )


def _clash(ours: Record, theirs: Record, take: str) -> Outcome:
    """Their word on the same clash: a voice more, their evidence, their reviews where these do not turn ours round."""
    if not same_clash(ours, theirs) and not take:
        step = f"is it one clash? then --take theirs or ours incompatibility/{ours['id']}; else give theirs another id"
        return Outcome(ours, left=(_difference(ours, "parties", ours["parties"], theirs["parties"], step),))
    made = dict(ours)
    own_voice = theirs.get("by", "") in ("", ours.get("by", ""))
    texts = ("title", "symptom", "cause", "remedy", "found", "found_date")
    names = [name for name in ("parties", *texts, "harm", "milestone") if own_voice or name in ("harm", "milestone")]
    filled, left = _settle(made, theirs, names, take)
    for name in () if own_voice else ("cause", "remedy"):
        if theirs.get(name) and not ours.get(name):
            made[name] = theirs[name]
            filled.append(name)
    evidence = [*ours.get("evidence", ())]
    for each in theirs.get("evidence", ()):
        if each not in evidence:
            evidence.append(each)
            filled.append("evidence")
    if evidence:
        made["evidence"] = evidence
    said = [] if own_voice else [finding_report(theirs)]
    said += theirs.get("reports", ())
    reviews, differs = _reviews(ours, theirs, take)
    if reviews != [*ours.get("reviews", ())]:
        made["reviews"], made["status"] = reviews, reviews[-1]["status"]
        filled.append("reviews")
    if differs:
        step = f"look at both, then: matchmark incompat confirm (or refute) {ours['id']} --reason ..."
        left.append(_difference(ours, "status", ours.get("status", "reported"), _last_word(theirs), step))
    reports = [*ours.get("reports", ())]
    known = {_voice(each) for each in reports}
    fresh = [each for each in said if _voice(each) not in known]
    if fresh:
        made["reports"] = [*reports, *fresh]
    return Outcome(made, (), tuple(filled), tuple(left), tuple(str(each["by"]) for each in fresh))


def _reviews(ours: Record, theirs: Record, take: str) -> tuple[list[Record], bool]:
    """(the reviews of both, by date, the one that decides last; whether theirs came to something else than ours).

    Ours decides where the two came to something else: theirs stands before it and counts as a voice.
    """
    mine, other = [*ours.get("reviews", ())], [*theirs.get("reviews", ())]
    if not other:
        return mine, False
    new = [each for each in other if each not in mine]
    if not mine:
        return other, False
    differs = mine[-1]["status"] != other[-1]["status"]
    last = mine[-1]
    if take == "theirs" or (not differs and str(other[-1]["date"]) > str(last["date"])):
        last = other[-1]
    if new or last != mine[-1]:
        rest = [each for each in (*mine, *new) if each != last]
        both = [*sorted(rest, key=lambda each: str(each["date"])), last]
    else:
        both = mine
    judged_since = str(mine[-1]["date"]) > str(other[-1]["date"]) and not new
    return both, differs and not take and not judged_since


def finding_report(record: Record) -> Record:
    """What the finder of a clash says, as a report on another's record of it."""
    from kb.store.write import now

    date = record.get("found_date") or now()[:10]
    text = f"{record['title']}: {record['symptom']}"
    for name in ("cause", "remedy"):
        if record.get(name):
            text += f"\n{name}: {record[name]}"
    return {"by": record.get("by") or "unknown", "date": date, "text": text}


def _voice(report: Mapping[str, Any]) -> tuple[str, bool, str]:
    return str(report["by"]), bool(report.get("agrees", True)), str(report.get("text", ""))


def _last_word(record: Record) -> str:
    last = record["reviews"][-1]
    return f"{last['status']} by {last['by']} on {last['date']}: {last['reason']}"
