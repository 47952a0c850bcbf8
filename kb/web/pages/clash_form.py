"""Report an incompatibility: the form, and what it sends. What is typed is never lost to a fault."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from kb.commands.incompat import slug
from kb.errors import Fault, Faults, StoreFault
from kb.roles import ROLES, base_role, role_feature
from kb.rules._rule import HARMS, MILESTONES
from kb.store import photos, read
from kb.web import queries
from kb.web.addresses import address
from kb.web.asking import Ask, Go, Page, must_write

SIDES, SEEN, MOST_ROWS = 2, 2, 12
LONGEST_LIST = 600  # parts in a select; above that a field takes the id, with a list to complete it from
SIDE_FIELDS = ("role", "part", "where")
SEEN_FIELDS = ("text", "feature", "reading", "photo")
PLAIN = ("title", "symptom", "cause", "found", "found_date", "remedy", "milestone")
_NEEDED = {
    "title": ("title", "say in one line what does not go with what"),
    "symptom": ("symptom", "say what a builder notices"),
    "found": ("how it was found", "choose one"),
    "milestone": ("milestone", "choose the first one that it blocks"),
}


class Draft(NamedTuple):
    """The form as typed."""

    plain: dict[str, str]
    harm: list[str]
    sides: list[dict[str, str]]
    seen: list[dict[str, str]]


def show(ask: Ask) -> Page:
    """The empty form; `?pan=deep-pan` fills in a side, `?title=...&seen=...` what a trace or a check has found."""
    must_write(ask)
    sides = [
        {"role": name, "part": given[0][:100], "where": ""}
        for name, given in ask.args.items()
        if base_role(name) in ROLES and given and given[0].strip()
    ][:MOST_ROWS]
    plain = {name: ask.arg(name)[:2000] for name in PLAIN}
    harm = [each for each in ask.args.get("harm", ()) if each in HARMS]
    columns = [ask.args.get(name, []) for name in ("seen", "seen_feature", "seen_reading")]
    seen = [
        {name: texts[row][:2000] if row < len(texts) else "" for name, texts in zip(SEEN_FIELDS, columns, strict=False)}
        for row in range(min(MOST_ROWS, len(columns[0])))
    ]
    for row in seen:
        row["photo"] = ""
    return _page(ask, _filled(Draft(plain, harm, sides, seen)), {})


def take(ask: Ask) -> Page | Go:
    """Write it down, or show the form again with what is wrong at each field."""
    from kb.store.write import write_record

    draft = _typed(ask)
    faults: dict[str, Fault] = {}
    _keep_photos(ask, draft, faults)
    more = ask.field("more")
    if faults:
        return _page(ask, draft, faults, status=400)
    if more == "parts":  # the role is chosen: the form again, with the parts that fill it
        return _page(ask, draft, {})
    if more in ("sides", "seen"):
        rows = draft.sides if more == "sides" else draft.seen
        if len(rows) < MOST_ROWS:
            rows.append(dict.fromkeys(SIDE_FIELDS if more == "sides" else SEEN_FIELDS, ""))
        return _page(ask, draft, {})
    record = _record(ask, draft, faults)
    if not faults:
        try:
            change = write_record(ask.site.path, record, by=ask.user, origin="page", new=True)
            return Go(address("incompatibility", change.id))
        except Faults as found:
            for fault in found.faults:
                faults.setdefault(_field_of(fault.place, draft), fault)
        except StoreFault as fault:
            faults[""] = Fault(fault.message, step=fault.step)
    return _page(ask, draft, faults, status=400)


# -- reading what was typed ----------------------------------------------------------------------------------------


def _typed(ask: Ask) -> Draft:
    plain = {name: _text(ask.field(name)) for name in PLAIN}
    harm = [each for each in ask.form.get("harm", ()) if each in HARMS]
    draft = Draft(plain, harm, _rows(ask.form, "side", SIDE_FIELDS), _rows(ask.form, "seen", SEEN_FIELDS))
    return _filled(draft)


def _keep_photos(ask: Ask, draft: Draft, faults: dict[str, Fault]) -> None:
    """Keep the pictures that came with the form, so that one that is shown again still has them."""
    for number, data in enumerate(ask.files.get("seen_file", ())[: len(draft.seen)]):
        if not data:
            continue
        try:
            draft.seen[number]["photo"] = photos.put(ask.site.path, data)
        except Fault as fault:
            faults[f"seen-{number}-file"] = Fault(fault.message, step=fault.step)
    for row in draft.seen:
        if row["photo"] and not photos.there(ask.site.path, row["photo"]):
            row["photo"] = ""


def _text(text: str) -> str:
    return text.replace("\r\n", "\n").strip()


def _rows(form: Mapping[str, list[str]], what: str, fields: Sequence[str]) -> list[dict[str, str]]:
    columns = {name: form.get(f"{what}_{name}", []) for name in fields}
    count = min(MOST_ROWS, max(map(len, columns.values())))
    return [
        {name: _text(texts[row]) if row < len(texts) else "" for name, texts in columns.items()} for row in range(count)
    ]


def _filled(draft: Draft) -> Draft:
    """The draft with as many rows as the form shows at least."""
    for rows, least, fields in ((draft.sides, SIDES, SIDE_FIELDS), (draft.seen, SEEN, SEEN_FIELDS)):
        rows.extend(dict.fromkeys(fields, "") for _ in range(least - len(rows)))
    return draft


def _record(ask: Ask, draft: Draft, faults: dict[str, Fault]) -> dict[str, Any]:
    """The record as files hold it; what is missing goes into `faults` by the field's name."""
    plain = draft.plain
    for name, (words, step) in _NEEDED.items():
        if not plain[name]:
            faults[name] = Fault(
                f"the {words} is missing" if name != "found" else "how it was found is missing", step=step
            )
    if not draft.harm:
        faults["harm"] = Fault("the harm is missing", step="tick at least one")
    record: dict[str, Any] = {
        "kind": "incompatibility",
        "id": _free_id(ask, slug(plain["title"])),
        "title": plain["title"],
        "parties": [],
        "symptom": plain["symptom"],
        "found": plain["found"],
        "by": ask.user,
        "harm": draft.harm,
        "milestone": plain["milestone"],
    }
    for number, side in enumerate(draft.sides):
        if any(side.values()):
            _add_side(record["parties"], side, f"side-{number}", faults)
    if not record["parties"] and not any(name.startswith("side-") for name in faults):
        faults["side-0-role"] = Fault("nobody is named", step="choose a role and a part, or conditions, for each side")
    seen = [_evidence(row, f"seen-{number}", faults) for number, row in enumerate(draft.seen) if any(row.values())]
    for name, value in (
        ("cause", plain["cause"]),
        ("found_date", plain["found_date"]),
        ("remedy", plain["remedy"]),
        ("evidence", seen),
    ):
        if value:
            record[name] = value
    return record


def _add_side(parties: list[dict[str, Any]], side: dict[str, str], field: str, faults: dict[str, Fault]) -> None:
    if not side["role"]:
        faults[f"{field}-role"] = Fault("the role is missing", step="choose the place that the part fills")
        return
    party: dict[str, Any] = {"role": side["role"]}
    if side["part"]:
        party["part"] = side["part"]
    for line in side["where"].splitlines():
        name, _, condition = line.strip().partition(" ")
        name = name.rstrip(":=")
        condition = condition.strip().removeprefix("= ")
        if not line.strip():
            continue
        if not condition:
            faults[f"{field}-where"] = Fault(
                f"{line.strip()[:60]!r} is no condition", step="write feature, then condition: sump_depth < 180 mm"
            )
            return
        party.setdefault("where", {}).setdefault(name, []).append(condition)
    if len(party) == 1:
        faults[f"{field}-part"] = Fault(
            "neither a part nor a condition is given", step="choose the part, or describe which parts are meant"
        )
        return
    parties.append(party)


def _evidence(row: dict[str, str], field: str, faults: dict[str, Fault]) -> dict[str, str]:
    role, dot, feature = row["feature"].partition(".")
    if row["reading"] and not (role and dot and feature):
        faults[f"{field}-feature"] = Fault("what was read is missing", step="write role.feature: pan.sump_depth")
    if row["feature"] and not row["reading"]:
        faults[f"{field}-reading"] = Fault("the reading is missing", step="write it with its unit: 188.4 mm")
    shown = "see the picture" if row["photo"] and not row["reading"] else f"{row['feature']} read {row['reading']}"
    found = {"text": row["text"] or shown}
    if row["photo"]:
        found["photo"] = row["photo"]
    if row["feature"]:
        found.update({"role": role, "feature": feature, "reading": row["reading"]})
    return found


def _free_id(ask: Ask, wanted: str) -> str:
    taken = set(read.ids(ask.con, "incompatibility"))
    if wanted not in taken:
        return wanted
    return next(id for number in range(2, len(taken) + 3) if (id := f"{wanted[:74]}-{number}") not in taken)


def _field_of(place: str, draft: Draft) -> str:
    """The form's field for the place of a fault in the record: `parties.2.where.sump_depth` -> `side-1-where`."""
    steps = place.replace(": ", ".").split(".")
    rows = {"parties": ("side", draft.sides), "evidence": ("seen", draft.seen)}
    if steps[0] in rows and len(steps) > 1 and steps[1].isdigit():
        what, typed = rows[steps[0]]
        used = [number for number, row in enumerate(typed) if any(row.values())]
        at = int(steps[1]) - 1
        number = used[at] if at < len(used) else 0
        inner = steps[2] if len(steps) > 2 else ""
        if inner == "feature" and _exists(typed[number]["feature"]):
            inner = "reading"  # the feature is good, so what was read there is not
        last = {"where": "where", "part": "part", "role": "role", "reading": "reading", "feature": "feature"}
        usual = "part" if what == "side" else "text"
        return f"{what}-{number}-{last.get(inner, usual)}"
    return steps[0] if steps[0] in (*PLAIN, "harm") else "title" if steps[0] == "id" else ""


def _exists(path: str) -> bool:
    try:
        role_feature(path)
    except Fault:
        return False
    return True


# -- showing it ----------------------------------------------------------------------------------------------------


def _page(ask: Ask, draft: Draft, faults: Mapping[str, Fault], *, status: int = 200) -> Page:
    named = [base_role(side["role"]) for side in draft.sides]
    kinds = [ROLES[each].kind.kind if each in ROLES else "" for each in named]
    parts = queries.parts(ask.con, [kind for kind in dict.fromkeys(kinds) if kind], LONGEST_LIST + 1)
    values = {
        "draft": draft,
        "faults": faults,
        "roles": ROLES,
        # The parts of a side: those of the kind that its role takes; none before a role is chosen.
        "kinds": kinds,
        "parts_by_kind": parts,
        "long": {kind for kind, rows in parts.items() if len(rows) > LONGEST_LIST},
        "names": queries.named(ask.con, [side["part"] for side in draft.sides if side["part"]]),
        "harms": HARMS,
        "milestones": MILESTONES,
        "features": _features(draft),
        "most_rows": MOST_ROWS,
    }
    return Page("matchmark/clash_form.html", "Report an incompatibility", values, None, status)


def _features(draft: Draft) -> list[str]:
    """Names to complete what was measured from: of the roles that are named, else of all."""
    named = [base_role(side["role"]) for side in draft.sides if base_role(side["role"]) in ROLES]
    return [f"{name}.{each}" for name in dict.fromkeys(named or ROLES) for each in ROLES[name].kind.features]
