"""From the declared chains to nodes and joints: which ports of these parts stand beside which.

Faults that the layout itself shows (a role that nobody fills, an entry whose record says that it is open) are gathered
on the way as `Flaw`s; what the rules say of the joints comes later, in `continuity.py`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from kb.build import Build
from kb.circuit.conditions import holds, part_in
from kb.circuit.graph import Circuit, Joint, Node
from kb.circuit.ports import data, node_of_gauge
from kb.circuit.words import NOBODY, filled_in, id_of, is_one, plain, slug, told
from kb.roles import ROLES, base_role


class Flaw(NamedTuple):
    """Something that the layout shows. at: joint or node id. sort 'unknown': a silent record. role: the empty one."""

    circuit: str
    at: str
    sort: str
    words: str
    fix: str
    role: str = ""


def lay_out(build: Build) -> tuple[dict[str, Circuit], list[Flaw]]:
    """Every circuit that this build has parts of, all joints taken as sound, and the flaws that its parts show."""
    made: dict[str, Circuit] = {}
    flaws: list[Flaw] = []
    grounded = False
    for name, declared in data()["circuits"].items():
        if any(part_in(each, build) is not None for each in declared["anchors"]):
            drawn = _Drawing(name, declared, build)
            drawn.draw(first_grounds=not grounded)
            grounded = grounded or bool(declared.get("grounds"))
            made[name] = drawn.circuit()
            flaws.extend(drawn.flaws)
    return made, flaws


class _Drawing:
    """One circuit in the making."""

    def __init__(self, name: str, declared: Mapping[str, Any], build: Build) -> None:
        self.name = name
        self.declared = declared
        self.build = build
        self.nodes: dict[str, Node] = {}
        self.joints: dict[str, Joint] = {}
        self.flaws: list[Flaw] = []
        self.fanned: list[str] = []
        self.lacking: dict[str, tuple[str, str]] = {}  # role -> (its first node, sort of the flaw)

    def circuit(self) -> Circuit:
        there = self.nodes
        wanted = list(self.declared["sinks"])
        sinks = [each for each in wanted if each in there] + (
            self.fanned if any("{" in each for each in wanted) else []
        )
        sources = tuple(each for each in self.declared["sources"] if each in there)
        source = self.declared["source"] if self.declared["source"] in there else next(iter(sources), "")
        back = self.declared.get("back", "")
        return Circuit(
            self.name, tuple(there.values()), tuple(self.joints.values()), source, tuple(sinks),
            self.declared["title"], self.declared["carries"], sources, back if back in there else "",
        )  # fmt: skip

    def draw(self, *, first_grounds: bool) -> None:
        for chain in self.declared["chains"]:
            if holds(chain.get("when"), self.build):
                self._chain(chain)
        for fan in self.declared["fans"]:
            self._fan(fan)
        if self.declared.get("grounds") and self._under(["battery", "return_cable", "grounds"]):
            self._grounds(report=first_grounds)
        self._name_the_lacking()

    # -- chains --------------------------------------------------------------------------------------------------

    def _chain(self, chain: Mapping[str, Any]) -> None:
        last = self._first_there(chain.get("from", ""))
        if chain.get("from") and not last:
            return
        passes, milestone = chain["passes"], chain["milestone"]
        for element in chain["elements"]:
            if not holds(element.get("when"), self.build):
                continue
            for entry, roles in self._instances(element):
                last = self._element(element, entry, roles, last, passes, milestone)
            passes = element.get("passes_on", passes)
        end = chain.get("to")
        if end and last and end["node"] in self.nodes:
            self._join(end["join"], last, end["node"], passes, milestone)

    def _instances(self, element: Mapping[str, Any]) -> list[tuple[Mapping[str, Any], tuple[str, ...]]]:
        """(list entry or {}, roles that fill the element); empty where it is left out."""
        roles = self._filling(element)
        if not roles and element.get("optional"):
            return []
        if "each" not in element:
            return [({}, roles)]
        entries = self._entries(element)
        return [(entry, roles) for entry in entries]

    def _filling(self, element: Mapping[str, Any]) -> tuple[str, ...]:
        """Names of the filled roles that stand in this element."""
        if not element["role"]:
            return ("",)
        found = []
        for name, part in self.build.parts.items():
            if base_role(name) != element["role"]:
                continue
            qualifier = name.partition(":")[2]
            if element.get("qualifier") and element["qualifier"] not in qualifier:
                continue
            wanted = element.get("where", {})
            if all(part.facts.get(f) == v or (part.facts.get(f) is None and v in qualifier) for f, v in wanted.items()):
                found.append(name)
        return tuple(found)

    def _entries(self, of: Mapping[str, Any]) -> list[Mapping[str, Any]]:
        """The entries of the list `role.feature` that the declaration is about, with those that only the mate has."""
        role, feature = of["each"].split(".")
        part = part_in(role, self.build)
        if part is None:
            return []
        listed = part.facts.get(feature)
        found = [each for each in listed or () if is_one(each, of.get("which", {}))]
        if "mate" in of:
            mate = part_in(of["mate"].split(".")[0], self.build)
            others = (mate.facts.get(of["mate"].split(".")[1]) if mate is not None else None) or ()
            known = {each["id"] for each in listed or ()}
            found += [each for each in others if each["id"] not in known and is_one(each, of.get("which", {}))]
        return found if listed is not None or found else [{"id": NOBODY}]

    def _element(
        self, element: Mapping[str, Any], entry: Mapping[str, Any], roles: tuple[str, ...], last: str, passes: str,
        milestone: str,
    ) -> str:  # fmt: skip
        missing = bool(element["role"]) and not roles
        name = roles[0] if roles else _wanted(element)
        node = self._node(id_of(element["node"], entry), name, element["port"], element["means"], entry, missing)
        if missing:
            self.lacking.setdefault(name, (node, element.get("missing", "unmated")))
        if last and "join" in element and last != node:
            self._join(element["join"], last, node, passes, milestone, roles[1:], entry=entry)
        if "out" not in element:
            return node
        out_role = element.get("out_role", "")
        other = next((each for each in self.build.parts if base_role(each) == out_role), out_role) if out_role else name
        out = self._node(
            id_of(element["out"], entry), other, element["out_port"], element["out_means"], entry,
            missing if not out_role else other not in self.build.parts,
        )  # fmt: skip
        joint = self._join(element["through"], node, out, passes, milestone, roles[1:], entry=entry)
        if "mate" in element:
            self._mated(element, entry, joint)
        return out

    def _mated(self, element: Mapping[str, Any], entry: Mapping[str, Any], joint: str) -> None:
        """An end of a passage that meets nothing on the other face, or a face that nobody looked at."""
        id = entry["id"]
        sides = []
        for path in (element["each"], element["mate"]):
            role, feature = path.split(".")
            part = part_in(role, self.build)
            listed = part.facts.get(feature) if part is not None else None
            sides.append((role, listed, part is not None))
        for (role, listed, there), (other, _, _) in zip(sides, reversed(sides), strict=True):
            if not there:
                continue
            if listed is None:
                self._flaw(joint, "unknown", f"nobody recorded the passages of the {plain(role)}", f"{role}.ports")
            elif id != NOBODY and id not in {each["id"] for each in listed}:
                words = f"the passage {id} is open in the {plain(other)} and meets nothing in the {plain(role)}"
                self._flaw(joint, "leaks_back", words, f"the {plain(role)} that carries this passage, or a plug")

    def _node(
        self, id: str, role: str, port: str, means: str, entry: Mapping[str, Any] | None = None, missing: bool = False
    ) -> str:
        if id not in self.nodes:
            gauges = tuple(g for g, (circuit, node) in node_of_gauge().items() if (circuit, node) == (self.name, id))
            self.nodes[id] = Node(id, role, port, filled_in(means, entry or {}), self.name, missing, gauges)
        return id

    def _join(
        self, declared: Mapping[str, Any], a: str, b: str, passes: str, milestone: str, more: Iterable[str] = (), *,
        entry: Mapping[str, Any] | None = None, base: str = "",
    ) -> str:  # fmt: skip
        id = base or id_of(declared["id"], entry or {})
        ends = [self.nodes[a].role, self.nodes[b].role] if "roles" not in declared else []
        seal = declared.get("seal")
        named = [*ends, *more, *self._under(declared.get("roles", ())), *self._under(declared.get("extra", ()))]
        if seal and holds(seal.get("when"), self.build):
            sealing = self._under([seal["role"]])
            named += sealing
            if not sealing and not (self.nodes[a].missing or self.nodes[b].missing):
                lacks = seal["role"]
                words = f"nothing fills the role {plain(lacks)}: {ROLES[lacks].meaning}"
                self._flaw(id, seal.get("sort", "unsealed"), words, f"put a part into the role {lacks}", lacks)
        roles = tuple(dict.fromkeys(each for each in named if each))
        self.joints[id] = Joint(
            id, self.name, a, b, declared["kind"], roles, tuple(declared.get("rules", ())),
            declared.get("milestone", milestone), passes=passes, fails=declared["fails"], shut=declared.get("shut", ""),
            closure=declared.get("closure", False), back=declared.get("back", False),
            suction=declared.get("suction", False), returns=declared.get("returns", False),
            entry=str((entry or {}).get("id", "")), named=filled_in(declared.get("named", ""), entry or {}),
        )  # fmt: skip
        for each in declared.get("must", ()):
            self._must(id, each)
        return id

    def _must(self, joint: str, wanted: Mapping[str, Any]) -> None:
        answer = holds(wanted["that"], self.build)
        role = wanted["that"]["is"].split(".")[0]
        if answer is None and part_in(role, self.build) is not None:
            self._flaw(joint, "unknown", told(wanted["that"]["is"]), wanted["that"]["is"])
        elif answer is False:
            self._flaw(joint, wanted["sort"], wanted["words"], wanted["fix"])

    def _under(self, roles: Iterable[str]) -> list[str]:
        """The roles of the build that go by these names, with or without a qualifier."""
        return [name for each in roles for name in self.build.parts if base_role(name) == each]

    def _flaw(self, at: str, sort: str, words: str, fix: str, role: str = "") -> None:
        self.flaws.append(Flaw(self.name, at, sort, words, fix, role))

    def _first_there(self, names: str) -> str:
        return next((each for each in names.split("|") if each in self.nodes), "")

    # -- what goes off to the side -------------------------------------------------------------------------------

    def _fan(self, fan: Mapping[str, Any]) -> None:
        start = self._first_there(fan["from"])
        if not start:
            return
        if "roles" in fan:
            for name in self._filling({"role": fan["roles"], "where": fan["where"]}):
                q = slug(name.partition(":")[2] or name)
                node = self._node(fan["node"], "", "", "outside of the engine")
                self._join(
                    fan["join"],
                    start,
                    node,
                    fan["passes"],
                    fan["milestone"],
                    [name],
                    base=fan["join"]["id"].format(q=q),
                )
            return
        if "one" in fan:
            if all(part_in(each, self.build) is not None for each in fan["needs"]):
                role = next(iter(self._under([fan["role"]])), "") if fan.get("role") else ""
                self._node(fan["node"], role, fan.get("port", ""), fan.get("means", self._place_meaning(fan["node"])))
                self._join(fan["join"], start, fan["node"], fan["passes"], fan["milestone"])
            return
        for entry in self._entries(fan):
            role = next(iter(self._under([fan.get("role", "")])), fan.get("role", ""))
            missing = bool(fan.get("role")) and part_in(fan["role"], self.build) is None
            new = id_of(fan["node"], entry) not in self.nodes
            node = self._node(
                id_of(fan["node"], entry), role, fan.get("port", ""),
                fan.get("means", self._place_meaning(fan["node"])), entry, missing,
            )  # fmt: skip
            if new and "{" in fan["node"] and not fan["join"].get("closure") and not fan["join"].get("side"):
                self.fanned.append(node)
            if missing:
                self.lacking.setdefault(role, (node, "unmated"))
            joint = self._join(fan["join"], start, node, fan["passes"], fan["milestone"], entry=entry)
            owner = fan["each"].split(".")[0]
            here = self.joints[joint]
            if owner not in here.roles:
                self.joints[joint] = here._replace(roles=(*here.roles, *self._under([owner])))
            self._good(fan, entry, joint)

    def _good(self, fan: Mapping[str, Any], entry: Mapping[str, Any], joint: str) -> None:
        for field, codes in fan.get("good", {}).items():
            if entry.get(field) is None:
                self._flaw(joint, "unknown", told(fan["each"], entry["id"], field), fan["each"])
            elif entry[field] not in codes:
                self._flaw(joint, fan["sort"], filled_in(fan["words"], entry), fan["fix"])

    # -- the way home of the current -----------------------------------------------------------------------------

    def _place_meaning(self, node: str) -> str:
        return str(data()["grounds"]["places"].get(node.removeprefix("at-"), node))

    def _at(self, place: str) -> str:
        grounds = data()["grounds"]
        if place == "battery":
            return self._node(grounds["back"], *self._minus())
        return self._node(f"at-{place}", next(iter(self._under(["grounds"])), ""), "links", grounds["places"][place])

    def _minus(self) -> tuple[str, str, str]:
        minus = data()["grounds"]["minus"]
        role = next(iter(self._under(["battery"])), "battery")
        return role, minus["port"], minus["means"]

    def _grounds(self, *, report: bool) -> None:
        """Every strap and cable of the way home, and what is lacking there. report: no circuit before has told it."""
        declared = data()["grounds"]
        home = self._at("battery")
        before = len(self.flaws)
        cable = part_in("return_cable", self.build)
        if cable is not None or part_in("battery", self.build) is not None:
            lands = cable.facts.get("lands_on") if cable is not None else None
            known = str(lands) if lands in declared["places"] and lands != "battery" else "engine"
            spec = {**declared["return"]["join"], "roles": ["return_cable"], "must": declared["return"]["must"]}
            joint = self._join(spec, self._at(known), home, "back", "crank")
            if cable is None:
                fix = "a cable from the - post to bright metal on the engine"
                words = "nothing fills the role return cable: the battery's - post meets nothing"
                self._flaw(joint, "no_return", words, fix, "return_cable")
        part = part_in("grounds", self.build)
        links: Sequence[Mapping[str, Any]] | None = part.facts.get("links") if part is not None else ()
        if links is None:
            self._flaw(home, "unknown", "nobody recorded the straps and cables of the grounds", "grounds.links")
        for link in links or ():
            if link.get("one") in declared["places"] and link.get("other") in declared["places"]:
                spec = {**declared["links"]["join"], "roles": ["grounds"]}
                entry = {**link, "id": slug(link["id"])}
                self._join(spec, self._at(link["one"]), self._at(link["other"]), "back", "crank", entry=entry)
        if links is not None and cable is not None:
            self._cut_off(declared, home)
        if not report:
            del self.flaws[before:]

    def _cut_off(self, declared: Mapping[str, Any], home: str) -> None:
        """Places that must have a way back to the battery, and have none: a strap is missing there."""
        reached = {home}
        edges = [(each.a, each.b) for each in self.joints.values() if each.back]
        edges = [each for each in edges if all(end == home or end.startswith("at-") for end in each)]
        for _ in edges:
            for a, b in edges:
                if a in reached or b in reached:
                    reached |= {a, b}
        for place in declared["needed"]:
            if f"at-{place}" not in reached:
                node = self._at(place)
                means = self.nodes[node].meaning
                spec = {**declared["missing"], "roles": ["grounds"]}
                to = home if place == "engine" else self._at("engine")
                joint = self._join(spec, node, to, "back", "crank", entry={"id": place})
                words = f"no chain of straps and cables joins the {means} to the battery's - post"
                fix = f"a strap of starter-cable size from the {means} to the return cable's end"
                self._flaw(joint, "no_ground", words, fix, "grounds")

    def _name_the_lacking(self) -> None:
        """One flaw for each role that nobody fills, if a part stands beside it."""
        for role, (node, sort) in self.lacking.items():
            mine = {each.id for each in self.nodes.values() if each.role == role}
            beside = [
                self.nodes[end].meaning
                for joint in self.joints.values()
                for end, other in ((joint.a, joint.b), (joint.b, joint.a))
                if other in mine and end not in mine and not self.nodes[end].missing
            ]
            if beside:
                words = f"nothing fills the role {plain(role)}, which stands beside: {', '.join(dict.fromkeys(beside))}"
                self._flaw(node, sort, words, f"put a part into the role {role}", role)


def _wanted(element: Mapping[str, Any]) -> str:
    """The role that an empty element asks for: `fuel_line:return`."""
    where = next(iter(element.get("where", {}).values()), "")
    return f"{element['role']}:{where}" if where else str(element["role"])
