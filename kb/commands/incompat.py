"""`matchmark incompat`: write down a clash that you found, list and show them, confirm or refute one."""

from __future__ import annotations

import argparse
import re
import sys
import textwrap
from collections.abc import Callable, Sequence
from typing import Any

from kb.commands._draft import declare_draft, draft
from kb.commands._photos import with_photos, without_photos
from kb.commands._voices import confidence_words, speak
from kb.errors import Fault, visible
from kb.known import seen
from kb.terminal import complain, say, who, width

FOUND = ("build", "bench", "listing", "report")
_READING = re.compile(r"[a-z_]+(:[a-z0-9-]+)?\.[a-z_]+[^=]*=")
_FLAGS = ("id", "title", "party", "symptom", "cause", "found", "evidence", "reading", "remedy", "harm", "milestone")


def declare(sub: argparse.ArgumentParser) -> None:
    """The sub-commands and their flags."""
    actions = sub.add_subparsers(dest="action", metavar="ACTION", required=True)
    add = actions.add_parser("add", help="record one: by flags, from a file, or asked step by step")
    add.add_argument("file", nargs="?", help="a record file (YAML or JSON) that holds it")
    add.add_argument(
        "--from-trace", dest="traced", default="", metavar="FILE", help="the file that trace --draft wrote"
    )
    add.add_argument("--id", default="", help="short name (default: made from the title)")
    add.add_argument("--title", default="", help="one line that names the clash")
    add.add_argument(
        "--party",
        action="append",
        default=[],
        metavar="ROLE=PART",
        help="one side: role=part-id, or a class as role.feature=condition (pan.sump_depth='< 180 mm'); repeat",
    )
    add.add_argument("--symptom", default="", help="what a builder notices")
    add.add_argument("--cause", default="", help="why it happens")
    add.add_argument("--found", choices=FOUND, default=None, help="how it was found")
    add.add_argument("--evidence", action="append", default=[], metavar="TEXT", help="what was seen; repeat")
    add.add_argument(
        "--reading",
        action="append",
        default=[],
        metavar="ROLE.FEATURE=VALUE",
        help="a measurement that shows it, in workshop notation; repeat",
    )
    add.add_argument(
        "--photo", action="append", default=[], metavar="FILE", help="a picture that shows it (JPEG, PNG, WebP); repeat"
    )
    add.add_argument("--remedy", default="", help="what helps")
    add.add_argument(
        "--harm", action="append", default=[], help="destroys, no_start, fire, leaks, wears, nuisance; repeat"
    )
    add.add_argument("--milestone", default="", help="first milestone that it blocks: prime, crank, fire, drive")
    add.add_argument("--by", default="", help="who found it (default: your login name)")
    actions.add_parser("list", help="list them").add_argument(
        "--status", choices=("reported", "confirmed", "refuted"), default=None, help="only these"
    )
    show = actions.add_parser("show", help="show one whole")
    show.add_argument("id", help="its short name")
    for name, words in (("confirm", "say that you saw it too"), ("refute", "say that it is not so")):
        review = actions.add_parser(name, help=words)
        review.add_argument("id", help="its short name")
        review.add_argument("--reason", required=True, help="why you say so")
        review.add_argument("--by", default="", help="who says so (default: your login name)")
    for name, words in (("agree", "say that you met the same"), ("disagree", "say that the pair worked for you")):
        voice = actions.add_parser(name, help=words)
        voice.add_argument("id", help="its short name")
        voice.add_argument("--text", default="", help="what you saw")
        voice.add_argument("--by", default="", help="who says so (default: your login name)")
        voice.add_argument("--date", default="", help="when you saw it, as 2024-05-01 (default: today)")
    declare_draft(actions)
    for action in actions.choices.values():
        action.add_argument("--db", metavar="FILE", default=argparse.SUPPRESS, help="the database")
        action.add_argument("--json", action="store_true", help="print plain data for a script")
    sub.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """Do what was asked; exit status 0."""
    actions = {"add": _add, "list": _list, "show": _show, "confirm": _review, "refute": _review, "agree": speak,
               "disagree": speak, "draft": draft}  # fmt: skip
    actions[given.action](given)
    return 0


def _add(given: argparse.Namespace) -> None:
    from kb.store.opening import look
    from kb.store.write import write_record

    look(given.db, writing=True)
    by = given.by or who()
    flags = [f"--{name}" for name in _FLAGS if getattr(given, name)]
    typed = False
    if given.traced and given.file:
        raise Fault("two files are given", place="--from-trace", step="name the draft alone")
    given.file = given.file or given.traced
    if given.photo and not (given.file or flags):
        raise Fault("a picture alone says too little", place="--photo", step="give the other flags, or a file, with it")
    if given.file and flags:
        step = "write it all into the file, or give flags alone"
        raise Fault(f"both a file and {', '.join(flags)} are given", place=given.file, step=step)
    if given.file:
        record, origin = _from_file(given.file), given.file
    elif flags:
        record, origin = _from_flags(given), "command"
    else:
        record, origin, typed = _asked(), "command", True
    if given.by or not record.get("by"):
        record["by"] = by
    new = with_photos(given.db, record, given.photo) if given.photo else set()
    try:
        write_record(given.db, record, by=by, origin=origin, new=True)
    except Fault as fault:
        without_photos(given.db, new)
        kept = _keep(record) if typed else ""
        if kept:
            complain(f"what you typed is kept in {kept}: mend it there, then: matchmark incompat add {kept}")
        raise fault from None
    if given.json:
        _print(record)
    else:
        say(f"recorded {record['id']}: the next check of such parts will show it")


def _from_file(path: str) -> dict[str, Any]:
    from kb.reading_files import read_file

    found = read_file(path)
    wrong = [each for each in found if each.data.get("kind") != "incompatibility"]
    if len(found) != 1 or wrong:
        raise Fault(
            "it does not hold exactly one incompatibility",
            place=path,
            step="load files of several records with: matchmark load",
        )
    return dict(found[0].data)


def _from_flags(given: argparse.Namespace) -> dict[str, Any]:
    missing = [
        flag
        for flag, value in (
            ("--title", given.title),
            ("--party", given.party),
            ("--symptom", given.symptom),
            ("--found", given.found),
            ("--harm", given.harm),
            ("--milestone", given.milestone),
        )
        if not value
    ]
    if missing:
        verb = "are" if len(missing) > 1 else "is"
        step = "add it, or give no flags at all to be asked step by step"
        raise Fault(f"{', '.join(missing)} {verb} missing", step=step)
    record: dict[str, Any] = {
        "kind": "incompatibility",
        "id": given.id or slug(given.title),
        "title": given.title,
        "parties": parties(given.party),
        "symptom": given.symptom,
        "found": given.found,
        "found_date": _today(),
        "harm": given.harm,
        "milestone": given.milestone,
    }
    evidence = [{"text": text} for text in given.evidence] + [reading(text) for text in given.reading]
    for name, value in (("cause", given.cause), ("evidence", evidence), ("remedy", given.remedy)):
        if value:
            record[name] = value
    return record


def parties(words: Sequence[str]) -> list[dict[str, Any]]:
    """Parties from `role=part` and `role.feature=condition`; conditions of one role belong together."""
    found: dict[str, dict[str, Any]] = {}
    for word in words:
        name, sep, value = word.partition("=")
        role, _, feature = name.strip().partition(".")
        if not sep or not role or not value.strip():
            raise Fault(
                f"{word[:60]!r} names no side", place="--party", step="write pan=deep-pan, or pan.sump_depth='< 180 mm'"
            )
        party = found.setdefault(role, {"role": role})
        if feature:
            party.setdefault("where", {}).setdefault(feature, []).append(value.strip())
        else:
            if "part" in party:
                raise Fault(
                    f"the role {role} is named twice", place="--party", step="name one part for it, or a class of parts"
                )
            party["part"] = value.strip()
    return list(found.values())


def reading(text: str) -> dict[str, str]:
    """Evidence from `role.feature=value`."""
    name, sep, value = text.partition("=")
    role, dot, feature = name.strip().partition(".")
    if not sep or not dot or not value.strip():
        raise Fault(f"{text[:60]!r} is no reading", place="--reading", step="write pan.sump_depth='188.4 mm'")
    return {"text": f"{name.strip()} read {value.strip()}", "role": role, "feature": feature, "reading": value.strip()}


def slug(title: str) -> str:
    """A short name from a title: lower case, digits and hyphens."""
    kept = "".join(char if char.isascii() and char.isalnum() else " " for char in title.lower())
    return "-".join(kept.split())[:80].strip("-") or "incompatibility"


def _asked() -> dict[str, Any]:
    """Ask step by step; what was typed is shown again before it is written."""
    if not sys.stdin.isatty():
        raise Fault(
            "nobody is there to be asked", step="give --title --party --symptom --found --harm --milestone, or a file"
        )
    import click

    try:
        return _interview()
    except click.Abort:
        raise KeyboardInterrupt from None


def _interview() -> dict[str, Any]:
    import click

    from kb.roles import ROLES
    from kb.rules._rule import HARMS, MILESTONES

    def ask(words: str, **more: Any) -> str:
        return str(click.prompt(words, **more)).strip()

    def several(words: str, again: str, check: Callable[[str], Any], least: int = 0) -> list[Any]:
        """Answers until one is empty; one that `check` refuses is told and asked again."""
        found: list[Any] = []
        while True:
            text = ask(again if found else words, default="", show_default=False)
            if not text and len(found) >= least:
                return found
            try:
                if text:
                    found.append(check(text))
            except Fault as fault:
                complain(str(fault))

    say("Write down what you found. Leave a line empty to skip it; Ctrl-C stops and writes nothing.")
    title = ask("In one line, what does not go with what")
    say("Name the sides: role=part (pan=deep-pan), or a class: role.feature=condition (pan.sump_depth=< 180 mm)")
    say("\n".join(textwrap.wrap(", ".join(ROLES), width(), initial_indent="  roles: ", subsequent_indent="    ")))
    sides = several("A side", "Another side (empty to go on)", _side, least=1)
    record: dict[str, Any] = {"kind": "incompatibility", "id": slug(title), "title": title, "parties": parties(sides)}
    record["symptom"] = ask("What does a builder notice")
    cause = ask("Why does it happen", default="", show_default=False)
    record["found"] = ask("How was it found", type=click.Choice(FOUND))
    record["found_date"] = _today()
    seen = "What was seen or measured (pan.sump_depth=188 mm; empty to go on)"
    evidence = several(seen, seen, lambda text: reading(text) if _READING.match(text) else {"text": text})
    remedy = ask("What helps", default="", show_default=False)
    record["harm"] = [ask("What does it do if overlooked", type=click.Choice(tuple(HARMS)))]
    record["milestone"] = ask("Which milestone does it block first", type=click.Choice(MILESTONES))
    for name, value in (("cause", cause), ("evidence", evidence), ("remedy", remedy)):
        if value:
            record[name] = value
    say(_text(record))
    if not click.confirm("Write it down so?", default=True):
        raise Fault("nothing was written", step="start again with: matchmark incompat add")
    return record


def _side(text: str) -> str:
    """A side as typed, if its role is one."""
    from kb.roles import role, role_feature

    for party in parties([text]):
        role(party["role"], place=text[:60])
        for feature in party.get("where", {}):
            role_feature(f"{party['role']}.{feature.partition('.')[0]}", place=text[:60])
    return text


def _keep(record: dict[str, Any]) -> str:
    """Keep what was typed but could not be written, in a file that can be mended and given again. Its name."""
    import json

    for number in range(1, 100):
        name = f"{record['id'][:60]}-draft{number if number > 1 else ''}.json"
        try:
            with open(name, "x", encoding="utf-8") as file:
                file.write(json.dumps(record, indent=2, ensure_ascii=False) + "\n")
            return name
        except FileExistsError:
            continue
        except (OSError, ValueError):
            break
    return ""


def _today() -> str:
    from datetime import date

    return date.today().isoformat()


def _list(given: argparse.Namespace) -> None:
    from contextlib import closing

    from kb.confidence import confidence
    from kb.store import read

    with closing(read.open_readonly(given.db)) as con:
        rows = [each for each in read.incompatibilities(con, refuted=True) if given.status in (None, each.status)]
        shares = {each.id: confidence(read.record(con, "incompatibility", each.id)).share for each in rows}
    if given.json:
        _print([
            {"id": each.id, "title": each.title, "status": each.status, "harm": list(each.harm),
             "confidence": round(shares[each.id], 4)} for each in rows
        ])  # fmt: skip
        return
    for each in rows:
        say(each.id)
        say(_wrapped(f"{each.status}, {shares[each.id]:.0%}: {each.title}", "   "))
    if not rows:
        say("none recorded; add one with: matchmark incompat add")


def _show(given: argparse.Namespace) -> None:
    from contextlib import closing

    from kb.store import read

    with closing(read.open_readonly(given.db)) as con:
        record = read.record(con, "incompatibility", given.id)
    if given.json:
        _print(record)
    else:
        say(_text(record))


def _review(given: argparse.Namespace) -> None:
    from kb.store.write import set_status

    status = {"confirm": "confirmed", "refute": "refuted"}[given.action]
    set_status(given.db, given.id, status, by=given.by or who(), reason=given.reason)
    if given.json:
        _print({"id": given.id, "status": status})
    else:
        say(f"{given.id} is {status}" + ("; it no longer counts in a check" if status == "refuted" else ""))


def _text(record: dict[str, Any]) -> str:
    """An incompatibility as lines."""
    lines = [
        record["title"],
        f"  {record.get('status', 'reported')}, found by {record.get('by') or '?'} ({record['found']})",
    ]
    for party in record["parties"]:
        conditions = [
            f"{name} {text}"
            for name, texts in party.get("where", {}).items()
            for text in ([texts] if isinstance(texts, str) else texts)
        ]
        such = f"any with {', '.join(conditions)}" if conditions else "any"
        lines.append(f"  {party['role']}: {party.get('part') or such}")
    for name in ("symptom", "cause", "remedy", "milestone"):
        if record.get(name):
            lines.append(f"  {name}: {record[name]}")
    harm = record["harm"]
    lines.append(f"  harm: {harm if isinstance(harm, str) else ', '.join(harm)}")
    for each in record.get("evidence", []):
        lines.append(f"  seen: {seen(each)}")
        if each.get("photo"):
            lines.append(f"  picture: {each['photo']}")
    for each in record.get("reports", []):
        said = "saw it too" if each.get("agrees", True) else "did not see it"
        lines.append(f"  {each['by']} {said} on {each['date']}" + (f": {each['text']}" if each.get("text") else ""))
    lines += [
        f"  {each['status']} by {each['by']} on {each['date']}: {each['reason']}" for each in record.get("reviews", [])
    ]
    lines.append(f"  confidence: {confidence_words(record)}")
    return "\n".join(_wrapped(line, "    ", line[: len(line) - len(line.lstrip())]) for line in lines)


def _wrapped(line: str, indent: str, first: str | None = None) -> str:
    return textwrap.fill(
        visible(line.strip()), width(), initial_indent=indent if first is None else first, subsequent_indent=indent,
        break_on_hyphens=False,
    )  # fmt: skip


def _print(data: Any) -> None:
    import json

    say(json.dumps(data, indent=2, ensure_ascii=False))
