"""Joints of the circuit that no cause of the tree stands for: suspects of their own, with gauges that tell them apart.

What a gauge shows comes from `kb.circuit.flow.reached`: the level at its node with the joint bad.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

from kb.circuit.flow import effects, reached
from kb.circuit.graph import Circuit, Joint
from kb.circuit.ports import joint_kinds
from kb.gauges import places
from kb.judge import Answer
from kb.roles import base_role
from kb.trace.model import Cause, covers, vouched
from kb.trace.trees import Flow, Listed, OneTest, Tree, figures, load, seen_at

if TYPE_CHECKING:
    from kb.circuit.continuity import Break

FULL = "full"
SURE = 0.95  # a bad joint is seen to be bad when one looks at it; from memory
Levels = Mapping[str, str]


@cache
def _words() -> Mapping[str, Any]:
    return load("kinds")


def add_joints(
    tree: Tree,
    circuit: Circuit,
    causes: Sequence[Cause],
    tests: Sequence[OneTest],
    answer: Answer,
    breaks: Sequence[Break],
) -> tuple[list[Cause], list[OneTest]]:
    """The causes and tests, with those that the circuit adds to them."""
    listed = {each.id: each for each in tree.causes}
    own = {
        joint.id: joint
        for joint in circuit.joints
        if not any(covers(listed[cause.id], joint) for cause in causes)
        and not any((node := circuit.node(end)) is None or node.missing for end in (joint.a, joint.b))
        and shows(tree, circuit, joint)
    }
    named = {id: words_of(circuit, joint) for id, joint in own.items()}
    made = [*causes, *(_cause(joint, named[id], answer, breaks) for id, joint in own.items())]
    shown = {cause.id: levels_of(circuit, listed.get(cause.id), own.get(cause.id)) for cause in made}
    kept = [_read_off(each, circuit, own, shown) for each in tests]
    gauges = [test for place in tree.gauges if (test := _gauge(tree, circuit, place, shown)) is not None]
    return made, [*kept, *gauges, *_looks(circuit.name, own.values(), named)]


def shows(tree: Tree, circuit: Circuit, joint: Joint) -> bool:
    """Whether a fault of the joint can bring about the symptom."""
    nodes = [node for place in tree.shows_at if (node := circuit.at_gauge(place))]
    return any(
        reached(circuit, {f"{joint.id}:{effect}"}).get(node, FULL) not in (FULL, "high")
        for effect in effects(joint)
        for node in nodes
    )


def levels_of(circuit: Circuit, listed: Listed | None, joint: Joint | None) -> list[Levels] | None:
    """What every node can come to with a cause, each way as likely; None where nobody has said."""
    if joint is not None:
        return [reached(circuit, {f"{joint.id}:{effect}"}) for effect in effects(joint)]
    if listed is None:
        return None
    patterns = listed.acts_like if listed.acts_like is not None else listed.joints
    if listed.acts_like == ():
        return [reached(circuit)]
    found: list[Levels] = []
    for pattern in patterns:
        effect = pattern.partition(":")[2]
        for each in circuit.joints:
            if covers(listed._replace(joints=(pattern,)), each):
                found.append(reached(circuit, {f"{each.id}:{effect or each.fails}"}))
    return found or None


def _cause(joint: Joint, named: str, answer: Answer, breaks: Sequence[Break]) -> Cause:
    shared, words = figures(), _words()["joint_words"]
    kind = shared.kinds[_kind(joint)]
    holds, doubtful, asks = vouched(joint.rules, answer)
    prior = 1.0 - (1.0 - kind.rate) * holds
    broken = next((each.words for each in breaks if each.joint == joint.id), "")
    if broken:
        prior = max(prior, shared.clash["confirmed"])
    roles = tuple(dict.fromkeys(base_role(role) for role in joint.roles))
    return Cause(
        joint.id, named, kind.id, roles, joint.rules, words["fix"].format(words=named),
        min(max(prior, shared.least), shared.most), kind.rate, holds, doubtful, (), broken, (joint.id,),
        (), asks,
    )  # fmt: skip


def _kind(joint: Joint) -> str:
    """The kind whose base rate it has; two faces that only turn one another are no wiring."""
    kind = str(_words()["joint_kinds"].get(joint.kind, "fit"))
    return "tightness" if kind == "wiring" and joint.passes == "turning" else kind


def words_of(circuit: Circuit, joint: Joint) -> str:
    """`ring terminal under a nut: end of the feed cable to stud of the starter`."""
    ends = [node.meaning if (node := circuit.node(id)) else id for id in (joint.a, joint.b)]
    text: str = _words()["joint_words"]["cause"].format(
        kind=joint_kinds().get(joint.kind, joint.kind), a=ends[0], b=ends[1]
    )
    return text


def _asked(meaning: str) -> str:
    """A gauge place's meaning as a question."""
    text = meaning[:1].upper() + meaning[1:]
    if ":" in text:
        return f"{text}?"
    asked: str = _words()["joint_words"]["gauge"].format(meaning=text)
    return asked


def _read_off(
    test: OneTest, circuit: Circuit, own: Collection[str], shown: Mapping[str, list[Levels] | None]
) -> OneTest:
    """A listed test, with what it shows for the joints that the circuit adds."""
    node = circuit.at_gauge(test.flow.place) if test.flow else ""
    if test.flow is None or not node:
        return test
    more = {id: outcomes_at(test.flow, node, shown[id] or ()) for id in own}
    return test._replace(shows={**test.shows, **more})


def outcomes_at(flow: Flow, node: str, ways: Sequence[Levels]) -> dict[str, float]:
    """Outcome -> chance of a test that reads a node, over ways that are as likely as one another."""
    found: dict[str, float] = {}
    for levels in ways:
        for outcome, chance in flow.shows.get(levels.get(node, FULL), flow.shows[FULL]).items():
            found[outcome] = found.get(outcome, 0.0) + chance / len(ways)
    return found


def _gauge(tree: Tree, circuit: Circuit, id: str, shown: Mapping[str, list[Levels] | None]) -> OneTest | None:
    """A test at a gauge place of this build; None where the build has none such or it would always show the same."""
    words, place, node = _words(), places()[id], circuit.at_gauge(id)
    if not node:
        return None
    states = sorted({levels.get(node, FULL) for ways in shown.values() for levels in ways or ()} | {FULL})
    if len(states) < 2:
        return None
    told = words["gauge_words"].get(id, {})
    outcomes = {
        state: told.get(state, text) for state, text in words["joint_words"]["states"].items() if state in states
    }
    flow = Flow(place.id, {state: {state: 1.0} for state in outcomes})
    minutes = max(words["gauge_minutes"].get(tool, 8) for tool in place.tools)
    form = words["joint_words"]
    codes = {code: state for code, state in words["gauge_codes"].items() if state in states and code in place.options}
    bounds = [each for each in told.get("at_least", ()) if {one for _, one in told["at_least"]} <= set(states)]
    seen = seen_at({"place": id, "state": told.get("state", ()) if bounds else (), "at_least": bounds, "codes": codes})
    return OneTest(
        f"at-{place.id}", _asked(place.meaning),
        form["gauge_how"], outcomes, float(minutes), tuple(place.tools), told.get("opened", False),
        "worst", tree.caution, (), {id: outcomes_at(flow, node, ways) for id, ways in shown.items() if ways}, FULL,
        FULL, seen, flow, frozenset(id for id, ways in shown.items() if ways is None),
    )  # fmt: skip


def _looks(name: str, joints: Collection[Joint], named: Mapping[str, str]) -> list[OneTest]:
    """Tests that look at the joints themselves: a walk along those that show it alike, else one by one."""
    groups: dict[str, list[Joint]] = {}
    for joint in joints:
        groups.setdefault(_shown_by(joint), []).append(joint)
    made = []
    for sort, each in groups.items():
        made += (
            [_walk(name, sort, each, named)]
            if sort and len(each) > 1
            else [_look(joint, named[joint.id]) for joint in each]
        )
    return made


def _shown_by(joint: Joint) -> str:
    """The walk on which a bad joint shows itself, '' for none."""
    if joint.suction:
        return "suction"
    if joint.fails == "leak":
        return "leak"
    return "wiring" if _kind(joint) == "wiring" else ""


def _walk(name: str, sort: str, joints: Sequence[Joint], named: Mapping[str, str]) -> OneTest:
    told = _words()["joint_words"]["walks"][sort]
    return OneTest(
        f"walk-{sort}-{name}", told["asks"], told["how"],
        {"none": told["none"], **{joint.id: named[joint.id] for joint in joints}}, float(told["minutes"]),
        tuple(told["tools"]), False, "either", "", (), {joint.id: {joint.id: SURE} for joint in joints}, "none", "none",
    )  # fmt: skip


def _look(joint: Joint, named: str) -> OneTest:
    """A look at one joint, in the way in which one looks at its sort."""
    words = _words()
    form = words["joint_words"]
    form = {**form, **form["looks"].get(joint.kind, {})}
    return OneTest(
        f"look-{joint.id}", form["look"].format(words=named, ends=named.partition(": ")[2]), form["look_how"],
        {"sound": form["sound"], "bad": form["bad"]}, float(words["joint_minutes"]), tuple(form.get("tools", ("eye",))),
        form.get("opened", False), "worst", "", (), {joint.id: {"bad": SURE}}, "sound", "sound",
    )  # fmt: skip
