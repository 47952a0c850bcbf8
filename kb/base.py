"""An open knowledge base: the calls that command line, pages and scripts share.

from kb import Base
with Base("matchmark.db") as base:
    answer = base.check("drover")
    print(answer.verdict)
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from kb.build import Build
from kb.chance import Settings
from kb.errors import Fault, unknown
from kb.judge import Answer
from kb.opened import Opened
from kb.roles import role
from kb.store import read
from kb.typed_values import refuse_role

if TYPE_CHECKING:
    from kb.audit import Audit
    from kb.buying import Shopping
    from kb.circuit.continuity import Break, Inspection
    from kb.comparing import Comparison
    from kb.mating import Neighbour
    from kb.ready.bands import BandFinding
    from kb.ready.board import Board
    from kb.ready.sheet import Sheet
    from kb.records.part import Part
    from kb.search.find import Found
    from kb.search.plan import Plan, Setting, Wish
    from kb.search.why_not import WhyNot
    from kb.trace.session import Session
    from kb.worth import Advice


class Base(Opened):
    """A knowledge base opened for reading. StoreFault for a file that is none, UnknownName for what is not in it."""

    def plan(
        self, id: str, wish: Wish | None = None, *, progress: Callable[[str, int, int], None] | None = None
    ) -> Plan:
        """The cheapest purchases that make a recorded build good, or the smallest change (see `kb.search.plan`)."""
        from kb.search.plan import Wish, plan

        wanted = wish or Wish()
        at: Setting = self._setting(id, {}, {}, wanted)
        return plan(at.build, at.record, at.catalogue, wanted, at.settings, clashes=at.clashes, lines=at.lines,
                    progress=progress)  # fmt: skip

    def why_not(
        self,
        id: str = "",
        wanted: Sequence[str] = (),
        roles: Mapping[str, str] | None = None,
        overrides: Mapping[str, str] | None = None,
        *,
        wish: Wish | None = None,
        progress: Callable[[str, int, int], None] | None = None,
    ) -> WhyNot:
        """Why nothing fits the roles `wanted` beside what is given; without them, why the build has no plan."""
        from kb.search.plan import Wish
        from kb.search.why_not import case_of_plan, case_of_roles, why_not

        asked = wish or Wish()
        for each in wanted:
            refuse_role(each, place=each[:60])
        at = self._setting(id, roles or {}, overrides or {}, asked, wanted)
        case = case_of_roles(at, wanted, asked) if wanted else case_of_plan(at, asked)
        return why_not(case, asked.limit_s, progress)

    def _setting(
        self, id: str, roles: Mapping[str, str], overrides: Mapping[str, str], wish: Wish, wanted: Sequence[str] = ()
    ) -> Setting:
        """What a search over the whole build starts from."""
        from kb.search.plan import Setting, kinds_wanted

        record = read.build(self._con, id) if id else None
        if record is not None and not record.roles and not roles:
            build = Build(id, record.name, {}, notes=record.notes)
        else:
            build = self.build(id, roles, overrides)
        catalogue = self.candidates([*kinds_wanted(build, wish.milestone), *(role(each).kind.kind for each in wanted)])
        ids = [part.id for parts in catalogue.values() for part in parts]
        return Setting(build, record, catalogue, self.settings(id), self.incompatibilities(),
                       self.lines_of(ids), {})  # fmt: skip

    def ready(
        self,
        id: str,
        roles: Mapping[str, str] | None = None,
        overrides: Mapping[str, str] | None = None,
        *,
        settings: Settings | None = None,
        answer: Answer | None = None,
    ) -> Board:
        """What stands before each milestone of a recorded build; `roles` and `overrides` as for `check`, to try.

        answer: what `check` said, where somebody has it already.
        """
        from kb.circuit.continuity import breaks
        from kb.ready.board import board

        record = read.build(self._con, id)
        if answer is not None:
            found = answer
        elif record.roles or roles:
            found = self.check(id, roles, overrides, settings=settings)
        else:
            nothing = Build(id, record.name, {}, notes=record.notes)
            found = Answer(nothing, (), (), (), settings or self.settings(id))
        return board(found, self.readings(id), breaks(found.build, found.findings))

    def buy(self, id: str, milestone: str = "drive") -> Shopping:
        """What is still to be got before a recorded build reaches the milestone, where, and what to look at first.

        UnknownName for a build or a milestone that there is not.
        """
        from kb.buying import Shelf, shopping
        from kb.ready.needs import described, needed_roles, small_parts_lacking
        from kb.rules import load_rules

        record, donors = read.build(self._con, id), read.donors(self._con)
        nothing = Answer(Build(id, record.name, {}), (), (), (), self.settings(id))
        found = self.check(id) if record.roles else nothing
        considered = [entry.part for some in record.alternatives.values() for entry in some]
        carried = [each.part for donor in donors for each in donor.carries]
        parts = read.parts(self._con, [*considered, *carried])
        lines = read.ancestry(self._con, {*parts, *(part.id for part in found.build.parts.values())})
        shelf = Shelf(donors, parts, lines, self.incompatibilities())
        rules = load_rules().values()
        needed = needed_roles(found.build, milestone)
        small = small_parts_lacking(found.build, milestone)
        return shopping(found, record, needed, shelf, rules, milestone, described(), small)

    def circuits(
        self, id: str = "", roles: Mapping[str, str] | None = None, overrides: Mapping[str, str] | None = None
    ) -> Inspection:
        """The circuits of a build, their breaks, and what nobody recorded (arguments as for `build`)."""
        from kb.circuit.continuity import inspect

        return inspect(self.build(id, roles, overrides))

    def breaks(
        self, id: str = "", roles: Mapping[str, str] | None = None, overrides: Mapping[str, str] | None = None
    ) -> list[Break]:
        """Every break of every circuit of a build (arguments as for `build`)."""
        return list(self.circuits(id, roles, overrides).breaks)

    def judged_readings(self, build: str) -> list[BandFinding]:
        """The readings of a build held against the accepted bands, in the order in which they were taken."""
        from kb.ready.bands import judge_readings

        taken = sorted(self.readings(build), key=lambda each: (each.start or 0, each.date, each.id))
        return judge_readings(self.build(build), taken, self.settings(build))

    def trace(
        self,
        id: str,
        symptom: str,
        answers: Iterable[tuple[str, str | None]] = (),
        *,
        roles: Mapping[str, str] | None = None,
        overrides: Mapping[str, str] | None = None,
        tools: Iterable[str] | None = None,
        answer: Answer | None = None,
        recorded: bool = True,
    ) -> Session:
        """What is behind a symptom of a recorded build, after some answers; `symptom` is its id, or free words.

        answers: (test, outcome), None for what cannot be told; recorded readings of the build and what the words say
        come before them. tools: ids of those at hand, None for the usual ones. answer: what `check` said, where
        somebody has it already. recorded: False leaves the recorded readings out. UnknownName for a test or an outcome
        that is none.
        """
        from kb.circuit.continuity import inspect
        from kb.trace.model import model
        from kb.trace.phrases import understood
        from kb.trace.session import Session

        told = understood(symptom)
        found = answer or self.check(id, roles, overrides)
        seen = inspect(found.build, found.findings)
        made = model(
            found.build, found, seen.breaks, self.readings(id) if recorded else (), told.symptom,
            circuits=seen.circuits, tools=None if tools is None else frozenset(tools),
        )  # fmt: skip
        session = Session.start(made)
        there = {test.id for test in made.tests}
        for test, outcome in told.answers:
            if test in there:  # a test that this build's parts do not call for tells nothing
                session = session.answered(test, outcome)
        for test, said in answers:
            session = session.answered(test, said)
        return session

    def sheet(
        self, id: str, roles: Mapping[str, str] | None = None, overrides: Mapping[str, str] | None = None
    ) -> Sheet:
        """The steps of the first start that a build calls for (arguments as for `build`)."""
        from kb.ready.sheet import sheet

        return sheet(self.build(id, roles, overrides))

    def find(
        self,
        asked: Iterable[str],
        id: str = "",
        roles: Mapping[str, str] | None = None,
        overrides: Mapping[str, str] | None = None,
        *,
        limit: int = 10,
        order: str = "margin",
        under: float | None = None,
        makers: Iterable[str] = (),
        owned: bool = False,
        settings: Settings | None = None,
        progress: Callable[[str, int, int], None] | None = None,
    ) -> Found:
        """Every recorded part that fits the roles `asked`, one to three, with a build or with named parts.

        id, roles, overrides: what is fixed, as for `build`. under: list only what costs no more. makers, owned: only
        parts of these makers, only those that the build has at hand. UnknownName or Fault for what cannot be searched.
        """
        from kb.ready.needs import unsuited_words
        from kb.search.candidates import refuse_contradictions, searched
        from kb.search.find import find

        names = list(asked)
        for name in names:
            refuse_role(name, place=name[:60])
        refuse_contradictions(names, [*(roles or {}), *(overrides or {})])
        record = read.build(self._con, id) if id else None
        if (record and record.roles) or roles or overrides:
            fixed = self.build(id, roles, overrides)
        else:
            fixed = Build(id or "parts", record.name if record else "No other part", {}, loose=not id)
        fixed = fixed._replace(parts={name: part for name, part in fixed.parts.items() if name not in names})
        recorded = self.candidates(list(dict.fromkeys(role(name).kind.kind for name in names)))
        domains = searched(names, recorded, list(fixed.parts), record, makers=list(makers), owned=owned)
        unsuited = tuple(
            (name, each.id, words)
            for name, several in domains.items()
            for each in several
            if each.part is not None and (words := unsuited_words(name, each.part))
        )
        out = {(name, part) for name, part, _ in unsuited}
        domains = {name: [each for each in some if (name, each.id) not in out] for name, some in domains.items()}
        clashes = self.incompatibilities()
        ids = [each.id for several in domains.values() for each in several] + [each.id for each in fixed.parts.values()]
        return find(
            domains, fixed, settings or self.settings(id), clashes=clashes,
            lines=self.lines_of(ids) if clashes else None, limit=limit, order=order,
            under=math.inf if under is None else under, progress=progress,
        )._replace(unsuited=unsuited)  # fmt: skip

    def measure(
        self,
        id: str = "",
        roles: Mapping[str, str] | None = None,
        overrides: Mapping[str, str] | None = None,
        *,
        milestone: str = "",
        at: str = "",
        tools: Iterable[str] = (),
        order: str = "minutes",
        by: str = "",
        progress: Callable[[str, int, int], None] | None = None,
    ) -> Advice:
        """The measurements worth taking, in order of what each settles (see `kb.worth.ordering`)."""
        from kb.worth import advice

        table = self.instruments()
        named = [self.instrument(each).id for each in tools]
        self._refuse_bare(id, roles)
        found = self.check(id, roles, overrides)
        return advice(
            found, milestone=milestone, at=at, tools=named, table=table, others=self._recorded, by=by, order=order,
            progress=progress,
        )  # fmt: skip

    def mates(self, id: str, beside: str = "") -> tuple[Neighbour, ...]:
        """What lies beside the part: recorded parts of every neighbouring role, judged with it (see `kb.mating`).

        beside: id of a recorded build, whose parts stand in where a question reads a third role. UnknownName for a part
        or a build that there is not.
        """
        from kb.mating import mates
        from kb.rules import load_rules

        part = self.part(id)
        lent: Mapping[str, Part] = {}
        if beside and read.build(self._con, beside).roles:
            lent = self.build(beside).parts
        return mates(
            part, tuple(load_rules().values()), self.ids, lambda ids: read.parts(self._con, ids), beside=lent,
            clashes=self.incompatibilities(), lines=self.lines_of, settings=self.settings(beside),
        )  # fmt: skip

    def compare(
        self,
        before: str,
        after: str = "",
        roles: Mapping[str, str] | None = None,
        overrides: Mapping[str, str] | None = None,
    ) -> Comparison:
        """What differs between two builds, or between one and itself with `roles` and `overrides` changed."""
        from kb.comparing import compare, cost_of, steps

        second = after or before
        self._refuse_bare(before)
        self._refuse_bare(second, roles)
        old = self.check(before)
        new = self.check(second, roles, overrides)
        milestones = steps(old, self.readings(before), new, self.readings(second))
        return compare(old, new, cost_of(old.build, self._paid(before, old.build)),
                       cost_of(new.build, self._paid(second, new.build)), milestones)  # fmt: skip

    def audit(
        self,
        ids: Iterable[str] = (),
        *,
        reported: bool = False,
        progress: Callable[[str, int, int], None] | None = None,
    ) -> Audit:
        """Recorded incompatibilities replayed with what could be known before buying: those named, else the confirmed.

        reported: those that are merely reported too. UnknownName for an id that there is not (see `kb.audit`).
        """
        from kb.audit import Shelf, Told, audit

        wanted = list(dict.fromkeys(ids))
        every = read.incompatibilities(self._con, refuted=True)
        for id in wanted:
            if id not in {each.id for each in every}:
                raise unknown("incompatibility", id, [each.id for each in every], list_with="matchmark incompat list")
        states = ("confirmed", "reported") if reported else ("confirmed",)
        chosen = [each for each in every if (each.id in wanted if wanted else each.status in states)]
        told = []
        for each in chosen:
            evidence = read.record(self._con, "incompatibility", each.id).get("evidence", ())
            told.append(Told(each, tuple((one.get("role", ""), one.get("feature", "")) for one in evidence)))
        builds = [self.build(id) for id in self.ids("build") if read.build(self._con, id).roles]
        lines = {id: line for build in builds for id, line in self.lines(build).items()}
        shelf = Shelf(
            lambda id: read.lines(self._con, [id]).get(id, ()), self.ids, builds, lines, self.incompatibilities(),
            read.instruments(self._con),
        )  # fmt: skip
        return audit(told, shelf, Settings(), progress)

    def _refuse_bare(self, id: str, roles: Mapping[str, str] | None = None) -> None:
        """Fault for a recorded build without any part: there is nothing to weigh yet."""
        if id and not roles and not read.build(self._con, id).roles:
            step = f"fill its roles first: matchmark fill {id} role=part"
            raise Fault(f"{id} has no parts yet", place=id, step=step)

    def _paid(self, id: str, build: Build) -> dict[str, tuple[bool, float | None]]:
        """(owned, price) of each role that holds a part which the recorded build knows about."""
        record = read.build(self._con, id)
        found = {}
        for each, part in build.parts.items():
            known = [record.roles[each]] if each in record.roles else []
            entry = next((one for one in (*known, *record.alternatives.get(each, ())) if one.part == part.id), None)
            found[each] = (entry.owned, entry.price) if entry else (False, None)
        return found
