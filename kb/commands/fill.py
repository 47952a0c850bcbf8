"""Say which parts fill the roles of a build."""

from __future__ import annotations

import argparse

from kb.commands._after import board_of, changed
from kb.commands._shared import answer_options, once, pair
from kb.terminal import who


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("build", metavar="BUILD", help="the build, or with --new the short name of the one to make")
    sub.add_argument("parts", nargs="*", metavar="ROLE=PART", help="the part that goes into the role")
    have = sub.add_mutually_exclusive_group()
    have.add_argument("--owned", action="store_true", help="these parts are at hand")
    have.add_argument("--to-buy", action="store_true", help="these parts have to be bought")
    sub.add_argument(
        "--got",
        action="append",
        default=[],
        metavar="ROLE",
        help="the part in this role is at hand now (all: every part of the build); repeat",
    )
    sub.add_argument("--empty", action="append", default=[], metavar="ROLE", help="take out what fills it; repeat")
    sub.add_argument(
        "--considering",
        action="append",
        default=[],
        metavar="ROLE=PART",
        help="note a part as under consideration, without putting it in; repeat",
    )
    sub.add_argument("--new", default="", metavar="NAME", help="make a new build with this name for people")
    sub.add_argument("--by", default="", help="who says so (default: your login name)")
    answer_options(sub)
    sub.set_defaults(run=run_fill, several="parts")


def run_fill(given: argparse.Namespace) -> int:
    from kb.errors import Fault
    from kb.store import builds
    from kb.store.change import fill

    roles: dict[str, str] = {}
    for word in given.parts:
        once(roles, *pair(word, "ROLE=PART"))
    changes: dict[str, str | None] = dict(roles)
    for role in given.empty:
        if role in roles:
            raise Fault(f"{role[:60]} is filled and emptied at once", place="--empty", step="say one of them")
        changes[role] = None
    got = _got(given)
    for role in given.got:
        if role in changes:
            raise Fault(f"{role[:60]} is changed and said to be at hand at once", place="--got", step="say one of them")
    noted: dict[str, str] = {}
    for word in given.considering:
        once(noted, *pair(word, "--considering"))
    if not changes and not noted and not given.new and not given.got:
        raise Fault("nothing is to be changed", step="name a role and its part: pan=deep-pan; or --empty pan")
    if given.new and given.empty:
        raise Fault("a new build has nothing to take out", place="--empty", step="leave --empty out")
    by = given.by or who()
    owned = True if given.owned else False if given.to_buy else None
    before = None if given.new else board_of(given, given.build)
    said = []
    if given.new:
        builds.begin(given.db, given.build, given.new, roles, owned=bool(owned), by=by)
        said.append(f"made the build {given.build}: {given.new}")
    elif changes:
        fill(given.db, given.build, changes, owned=owned, by=by)
    if got:
        fill(given.db, given.build, got, owned=True, by=by)
        said += [f"{role}: {part} is at hand" for role, part in got.items()]
    elif given.got:
        said.append("every part is at hand already")
    said += [f"{role}: {part}" + (", at hand" if given.owned else "") for role, part in roles.items()]
    said += [f"{role}: empty" for role in given.empty]
    if noted:
        builds.consider(given.db, given.build, noted, owned=bool(owned), by=by)
        said += [f"{role}: {part} under consideration" for role, part in noted.items()]
    return changed(given, before, given.build, said)


def _got(given: argparse.Namespace) -> dict[str, str]:
    """The roles of --got with the parts that fill them, those already at hand left out."""
    from kb.base import Base
    from kb.errors import Fault, unknown

    if not given.got:
        return {}
    if given.new:
        raise Fault("a new build says --owned of its parts", place="--got", step="leave --got out")
    with Base(given.db) as base:
        record = base.record_of(given.build)
    for name in given.got:
        if name != "all" and name not in record.roles:
            fault = unknown("filled role", name, [*record.roles, "all"], place="--got")
            fault.step = fault.step or f"it has: {', '.join([*record.roles, 'all'][:30])}"
            raise fault
    wanted = record.roles if "all" in given.got else given.got
    return {name: record.roles[name].part for name in wanted if not record.roles[name].owned}
