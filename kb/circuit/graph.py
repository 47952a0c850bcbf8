"""The circuits of a build: ports of its parts as nodes, joined as its kinds declare."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

    from kb.build import Build
    from kb.finding import Finding

SOUND, OPEN, UNMATED, DIFFERS = "sound", "open", "unmated", "differs"
LEAKS_BACK, REVERSED, UNKNOWN = "leaks_back", "reversed", "unknown"
MISSING_BESIDE = "the part beside it is missing"  # words of a joint that has nothing of its own to say
# The worst first: what a joint with several faults is said to be.
STATES = (UNMATED, LEAKS_BACK, REVERSED, OPEN, DIFFERS, UNKNOWN, SOUND)


class Node(NamedTuple):
    """A port of the part in a role. missing: no part fills the role. gauges: ids of the gauge places that read here."""

    id: str
    role: str
    port: str
    meaning: str
    circuit: str = ""
    missing: bool = False
    gauges: tuple[str, ...] = ()

    @property
    def place(self) -> str:
        """`oil.gallery`: how a reading names it."""
        return f"{self.circuit}.{self.id}"


class Joint(NamedTuple):
    """What joins two ports, in the way in which the circuit flows from a to b.

    id: the same in every circuit that the joint belongs to (a ground strap). rules: ids of the rules that vouch for it.
    fails: what it does when it is bad: 'open', 'weak', 'leak' (to the outside), 'back' (to where it came from); `shut`
    is what a blocked one does where that is something else. closure: sound means shut. back: part of the way home of
    the current. suction: under less than the pressure of the air. returns: leads back to the source.
    """

    id: str
    circuit: str
    a: str
    b: str
    kind: str
    roles: tuple[str, ...]
    rules: tuple[str, ...]
    milestone: str
    state: str = SOUND
    words: str = ""
    passes: str = ""
    fails: str = "open"
    shut: str = ""
    closure: bool = False
    back: bool = False
    suction: bool = False
    returns: bool = False
    entry: str = ""
    named: str = ""


class Circuit(NamedTuple):
    """One circuit of a build. sources: further nodes that are live by themselves. back: where current comes home."""

    name: str
    nodes: tuple[Node, ...]
    joints: tuple[Joint, ...]
    source: str
    sinks: tuple[str, ...]
    title: str = ""
    carries: str = ""
    sources: tuple[str, ...] = ()
    back: str = ""

    def node(self, id: str) -> Node | None:
        """The node with this id."""
        return next((each for each in self.nodes if each.id == id), None)

    def joint(self, id: str) -> Joint | None:
        """The joint with this id."""
        return next((each for each in self.joints if each.id == id), None)

    def at_gauge(self, place: str) -> str:
        """The node that a gauge place reads, '' where this build has none such."""
        return next((each.id for each in self.nodes if place in each.gauges), "")


def circuits(build: Build, findings: Sequence[Finding] | None = None) -> dict[str, Circuit]:
    """Name -> circuit for every circuit that this build has parts of, each joint with its state.

    findings: the rules' answers for this build, where somebody has them already; else those needed are asked here.
    """
    from kb.circuit.continuity import inspect

    found: Mapping[str, Circuit] = inspect(build, findings).circuits
    return dict(found)
