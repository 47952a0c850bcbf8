"""`matchmark blank`: for every kind, the sheet loads once id and name are in, and each of its lines takes a value."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from kb.base import Base
from kb.blank import kinds_asked, plain, sheet, sheets, unit_of
from kb.errors import Fault
from kb.reading_files import read_text
from kb.records import KINDS, Feature
from kb.records.models import check
from kb.roles import ROLES
from kb.store.load import init, load
from tests.cli.running import TOP, Ran

Run = Callable[..., Ran]
LINE = re.compile(r"# ([ ]*(?:- )?)(\w+): ( +)(.*?) *# (\S.*)\Z")
MORE = re.compile(r"# +# \S.*\Z")
# A value for each field that every part has.
COMMON = {
    "maker": "Somebody", "based_on": "", "part_number": "A 1", "price": "12", "currency": "EUR", "supply": "yard",
    "how": "measured", "source": "", "date": "2026-03-14", "by": "Hanne", "notes": "Seen.",
}  # fmt: skip


def figure(feature: Feature) -> str:
    """A plain number in the unit of the sheet: the middle of what is plausible."""
    low, high = feature.plausible or (0.0, 0.12)
    middle = (low + high) / 2
    if feature.quantity == "temperature":
        return plain(middle - 273.15)  # derived from the definition of the degree Celsius
    return plain(middle / feature.shown_scale)


def value(feature: Feature) -> str:
    """What a builder might write for a feature, without its unit."""
    if feature.sort in ("dimension", "position"):
        return figure(feature)
    if feature.sort == "choice":
        return feature.options[0] if feature.options else "code-1"
    if feature.sort == "codes":
        return f"[{', '.join(feature.options[:2]) or 'code-1'}]"
    return {"count": "3", "flag": "true", "text": "some words"}[feature.sort]


def named(text: str) -> str:
    """The sheets with ids and names filled in."""
    text = re.sub(r"kind: (\w+)\nid:\n", lambda found: f"kind: {found[1]}\nid: my-{found[1].replace('_', '-')}\n", text)
    return re.sub(r"^name:$", "name: My sheet", text, flags=re.MULTILINE)


def fill(kind: str, only: str = "") -> str:
    """The sheet of `kind` with each line (or the one at the path `only`) uncommented and given a value."""
    out = []
    features, inside = KINDS[kind].features, ""
    for line in named(sheet(kind)).splitlines():
        found = LINE.match(line)
        if not found:
            out.append(line)
            continue
        indent, name, _, unit, _ = found.groups()
        if not indent:
            inside = name
        top = features.get(inside)
        path = f"{inside}.{name}" if indent else name
        if not indent and (name == "known" or (top is not None and top.sort == "list")):
            text, wanted = "", only.partition(".")[0] == name
        elif top is None:
            text, wanted = COMMON[name], only == path and COMMON[name] != ""
        else:
            feature = top.item.features[name] if indent and top.item else top
            text = value(feature) if feature.sort == "codes" else f"{value(feature)} {unit}".rstrip()
            if inside == "ticked" and name == "id":  # names an item of the list, not just anything
                text = {"first_start": "oil_counted", "small_parts": "pan_gasket"}[kind]
            # An entry of a list cannot be without its id.
            wanted = only == path or (name == "id" and only.startswith(f"{inside}."))
        whole = not only and COMMON.get(name) != ""
        out.append(f"{indent}{name}: {text}  {line[line.rindex('#') :]}" if wanted or whole else line)
    return "\n".join(out) + "\n"


def records(text: str) -> list[dict[str, Any]]:
    """The facts of every record in a text, held against their models."""
    return [check(given).facts for given in read_text(text, "sheet.yaml", "yaml")]


def paths(kind: str) -> Iterator[str]:
    for feature in KINDS[kind].features.values():
        if feature.item is None:
            yield feature.name
        else:
            yield from (f"{feature.name}.{name}" for name in feature.item.features)


@pytest.mark.parametrize("kind", KINDS)
def test_a_blank_sheet_loads_once_id_and_name_are_in(kind: str) -> None:
    head = {"kind": kind, "id": f"my-{kind.replace('_', '-')}", "name": "My sheet"}
    assert records(named(sheets([kind]))) == [head]


@pytest.mark.parametrize("kind", KINDS)
def test_every_line_takes_a_value(kind: str) -> None:
    for path in paths(kind):
        (facts,) = records(fill(kind, path))
        name, _, inner = path.partition(".")
        assert set(facts) == {"kind", "id", "name", name}, path
        if inner:
            assert set(facts[name][0]) == {"id", inner}, path


@pytest.mark.parametrize("kind", KINDS)
def test_a_sheet_filled_in_whole_holds_every_feature(kind: str) -> None:
    (facts,) = records(fill(kind))
    assert set(KINDS[kind].features) <= set(facts)
    for name, feature in KINDS[kind].features.items():
        if feature.sort == "dimension":
            # derived from the definition: the middle of the plausible range, in SI
            low, high = feature.plausible or (0.0, 0.0)
            assert facts[name][0]["si"] == pytest.approx((low + high) / 2, rel=1e-5, abs=1e-9), name
            assert facts[name][0]["by"] == "Hanne"
        if feature.item is not None:
            assert set(facts[name][0]) == set(feature.item.features)


@pytest.mark.parametrize("kind", KINDS)
def test_taking_one_hash_off_every_line_harms_nothing_but_the_values(kind: str) -> None:
    """What an editor's "uncomment" does: prose stays a comment, and the lines keep their indents."""
    lines = sheets([kind]).splitlines()
    bare = [line.removeprefix("#").removeprefix(" ") for line in lines]
    for line, rest in zip(lines, bare, strict=True):
        assert line in ("", "---", "id:", "name:", f"kind: {kind}") or line.startswith("## ") or MORE.match(line) or (
            LINE.match(line)), line  # fmt: skip
        if not LINE.match(line) and line.startswith("#"):
            assert rest.lstrip().startswith("#"), line


@pytest.mark.parametrize("kind", [*KINDS, "build"])
def test_a_sheet_fits_the_paper_and_says_all(kind: str) -> None:
    text = sheets([kind])
    assert [line for line in text.splitlines() if len(line) > 120] == []
    words = " ".join(re.sub(r"\n# +# ", " ", text).split())
    every = list(KINDS[kind].features.values()) if kind in KINDS else []
    for feature in [*every, *(inner for each in every if each.item for inner in each.item.features.values())]:
        for piece in (feature.meaning, feature.measure, *feature.options, feature.vocabulary):
            assert " ".join(piece.split()) in words, (feature, piece)
        if feature.sort in ("dimension", "position"):
            assert re.search(rf"\b{feature.name}: +{re.escape(unit_of(feature))} *# ", text), feature


def test_the_line_of_a_depth(run: Run) -> None:
    out = run("blank", "pan").out
    line = next(line for line in out.splitlines() if line.startswith("# sump_depth:"))
    assert re.match(r"# sump_depth: {10,}mm +# rail face to inside floor under the pickup foot", line)
    flat = " ".join(re.sub(r"\n# +# ", " ", out).split())
    assert "[depth gauge, steel rule] plausible 40 mm to 320 mm" in flat  # the range that the kind declares
    assert "a term of rail_pattern" in flat
    assert "how it is made: cast, stamped, welded" in flat


def test_a_whole_car_in_one_sitting(run: Run, tmp_path: Path) -> None:
    """Every sheet filled in, and a build of all of it, loaded by the command and checked."""
    file, base = tmp_path / "car.yaml", str(tmp_path / "car.db")
    ran = run("blank", "--all", "--out", str(file))
    assert ran.status == 0
    assert f"made {file}: sheets of {', '.join([*KINDS][:3])} and {len(KINDS) - 2} more;" in ran.out
    blank = file.read_text(encoding="utf-8")
    assert re.findall(r"^kind: (\w+)$", blank, re.MULTILINE) == [*KINDS, "build"]
    build = "".join(
        f"  {name}: my-{role.kind.kind.replace('_', '-')}\n"
        for name, role in ROLES.items()
        if re.search(rf"^#   {name}: ", blank, re.MULTILINE)
    )
    assert build.count("\n") == len(ROLES)
    vocabularies = {
        each.vocabulary
        for kind in KINDS.values()
        for top in kind.features.values()
        for each in (top, *(top.item.features.values() if top.item else ()))
        if each.vocabulary
    }
    assert vocabularies
    terms = [f"kind: term\nid: {each}/code-1\nmeaning: The first.\n" for each in sorted(vocabularies)]
    whole = [*(fill(kind) for kind in KINDS), f"kind: build\nid: my-car\nname: My car\nroles:\n{build}", *terms]
    file.write_text("---\n".join(whole), encoding="utf-8")
    init(base)
    assert load(base, [file], by="Hanne").faults == []
    with Base(base) as opened:
        answer = opened.check("my-car")
        assert answer.verdict in ("does not fit", "cannot tell", "fits")
        assert len(answer.findings) > 100
    assert run("check", "my-car", "--db", base).status in (0, 1, 3)


def test_all_sheets_blank_but_for_ids_and_names_load(tmp_path: Path) -> None:
    file, base = tmp_path / "car.yaml", str(tmp_path / "car.db")
    file.write_text(named(sheets(kinds_asked((), (), True))), encoding="utf-8")
    init(base)
    report = load(base, [file], by="Hanne")
    assert report.faults == []
    with Base(base) as opened:
        assert sorted(opened.ids("build")) == ["my-build"]


def test_the_guide_shows_the_sheet_as_it_is() -> None:
    page = (TOP / "docs" / "measuring.md").read_text(encoding="utf-8")
    (block,) = re.findall(r"```yaml\n(.*?)```", page, re.DOTALL)
    assert block in sheet("pan")


def test_kinds_by_role_and_each_once(run: Run) -> None:
    out = run("blank", "--role", "crank_sensor", "pan", "--role", "pan", "--role", "coolant_hose:return").out
    assert re.findall(r"^kind: (\w+)$", out, re.MULTILINE) == ["pan", "position_sensor", "coolant_hose"]
    for name in ROLES:
        assert kinds_asked((), [name], False) == [ROLES[name].kind.kind]


@pytest.mark.parametrize(
    ("words", "message", "step"),
    [
        (("pna",), "there is no kind named 'pna'", "did you mean pan"),
        (("--role", "crank_sensr"), "there is no role named 'crank_sensr'", "did you mean crank_sensor"),
        ((), "no kind is named", "matchmark blank pan pickup"),
        (("pan", "--all"), "beside --all", "leave one of them out"),
        (("pan", "pickup", "--form", "csv"), "a table holds one kind", "name one kind"),
        (("build", "--form", "csv"), "does not fit a table", "--form csv"),
        (("pan", "--form", "pdf"), "--form cannot be 'pdf'", "yaml, csv"),
    ],
)
def test_what_is_asked_wrongly(run: Run, words: tuple[str, ...], message: str, step: str) -> None:
    ran = run("blank", *words)
    assert (ran.status, ran.out) == (2, "")
    assert message in ran.err
    assert step in ran.step


def test_a_sheet_that_is_filled_in_is_never_lost(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "pan.yaml"
    assert run("blank", "pan", "--out", str(file)).status == 0
    before = file.read_bytes()
    again = run("blank", "pickup", "--out", str(file))
    assert (again.status, file.read_bytes()) == (2, before)
    assert "is there already" in again.err
    nowhere = run("blank", "pan", "--out", str(tmp_path / "none" / "pan.yaml"))
    assert nowhere.status == 2
    assert "cannot be written: No such file or directory" in nowhere.err


def test_a_sheet_not_filled_in_says_what_is_missing(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "pan.yaml"
    run("blank", "pan", "--out", str(file))
    init(str(tmp_path / "my.db"))
    ran = run("load", str(file), "--db", str(tmp_path / "my.db"))
    assert ran.status == 2
    for field in ("id", "name"):
        assert re.search(rf"pan\.yaml:\d+: {field}: is empty", ran.err)


def test_asking_for_nothing_in_python_is_a_fault() -> None:
    with pytest.raises(Fault, match="no kind is named"):
        kinds_asked([], [], False)


def test_a_donor_and_a_reading_are_written_down_on_sheets_too() -> None:
    donor = sheets(["donor"]).replace("id:\n", "id: row-9\n").replace("name:\n", "name: Row 9\n")
    donor = (
        donor.replace("# sort:", "sort: yard")
        .replace("# carries:", "carries:")
        .replace("#   - part:", "  - part: deep")
    )
    assert records(donor)[0]["carries"] == [{"part": "deep"}]
    given = {"build": "drover", "place": "oil-gallery", "value": "3 bar", "state": "running"}
    text = sheets(["reading"]).replace("id:\n", "id: r1\n")
    for name, value in given.items():
        text = text.replace(f"# {name}:", f"{name}: {value}")
    assert records(text)[0]["si"] == 3e5  # 1 bar is 1e5 Pa by definition
