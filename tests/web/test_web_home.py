"""The first page, the one search, the facets of the incompatibilities, the report's role step, rules at work."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import parse_qs, urlsplit

import pytest

from kb.base import Base
from kb.errors import UnknownName
from kb.store import read
from kb.store.load import init
from kb.web.host import site_of
from kb.web.pages import home
from kb.web.showing import arrows, label, plain
from tests.web import small
from tests.web.visiting import House, Read, Visitor


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    path = tmp_path_factory.mktemp("home") / "s.db"
    init(path, sample=True)
    made = House(str(path), writer="sam")
    yield made
    made.close()


def links(page: Read) -> list[str]:
    return [each.get("href", "") for each in page.all("a")]


def at_rest() -> bool:
    """Whether no board is being worked out any more, however busy the machine is."""
    with home._NEWS:
        return home._NEWS.wait_for(lambda: not home._AT_WORK, 60.0)


def squeezed(page: Read) -> str:
    return " ".join(page.words.split())


# -- first page ----------------------------------------------------------------------------------------------------


def test_every_board_says_what_ready_says(sample: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(home, "PATIENCE_S", 60.0)  # however busy the machine is
    words = squeezed(Read(Visitor(sample).get("/").text))
    with Base(sample.path) as base:
        board = base.ready("drover")
        name = board.answer.build.name
    said = words[words.index(name) :]
    for each in board.milestones:
        start = said.index(f"{each.name}: {each.state}")
        said = said[start:]
        count = len(each.blockers)
        assert said.startswith(f"{each.name}: {each.state}{f'{count} blocker' if count else ''}"), each.name


def test_the_fullest_builds_come_first_and_the_rest_is_listed(sample: House) -> None:
    page = Read(Visitor(sample).get("/").text)
    con = read.open_readonly(sample.path)
    filled = dict(con.rows("SELECT build, count(*) FROM build_role GROUP BY build"))
    con.close()
    shown = [each.removeprefix("/build/") for each in links(page) if each.startswith("/build/")]
    assert set(filled) <= set(shown)
    counts = [filled[each] for each in shown]
    assert counts == sorted(counts, reverse=True)


def test_a_board_that_is_not_worked_out_yet_waits_for_the_next_visit(
    sample: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert at_rest()
    monkeypatch.setattr(home, "_CARDS", type(home._CARDS)())
    monkeypatch.setattr(home, "PATIENCE_S", -1.0)
    visitor = Visitor(sample)
    assert visitor.get("/").text.count("not worked out yet") == home.MOST_BUILDS
    monkeypatch.setattr(home, "PATIENCE_S", 60.0)
    assert "not worked out yet" not in visitor.get("/").text
    monkeypatch.setattr(home, "PATIENCE_S", -1.0)  # what is known already does not wait
    assert "not worked out yet" not in visitor.get("/").text


def test_the_boards_are_worked_out_before_anybody_asks(sample: House, monkeypatch: pytest.MonkeyPatch) -> None:
    assert at_rest()
    monkeypatch.setattr(home, "_CARDS", type(home._CARDS)())
    home.look_ahead(site_of(sample.datasette))
    assert at_rest()
    monkeypatch.setattr(home, "PATIENCE_S", -1.0)
    assert "not worked out yet" not in Visitor(sample).get("/").text
    assert len(home._CARDS) == home.MOST_BUILDS


def test_a_board_that_breaks_off_leaves_the_page_as_it_is(
    sample: House, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    def broken(*_: object) -> home.Card:
        raise ArithmeticError("made for this test")

    assert at_rest()
    monkeypatch.setattr(home, "_CARDS", type(home._CARDS)())
    monkeypatch.setattr(home, "_card", broken)
    monkeypatch.setattr(home, "PATIENCE_S", 60.0)
    assert Visitor(sample).get("/").text.count("not worked out yet") == home.MOST_BUILDS
    assert "made for this test" in capfd.readouterr().err


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("no car_loom, no second_fuel", "no car loom, no second fuel"),
        ("pan.floor is not recorded", "the floor of the pan is not recorded"),
        ("engine_bay.cylinders is light_v", "the cylinders of the engine bay is light v"),
        ("pan_gasket=my_own", "pan_gasket=my_own"),  # as it is typed
        ("called my_best_pan", "called my_best_pan"),  # no name of ours
    ],
)
def test_names_of_ours_are_put_into_words(text: str, words: str) -> None:
    assert plain(text) == words


def test_an_arrow_is_one_sign() -> None:
    assert arrows("pan_gasket: a-1 -> nothing") == "pan gasket: a-1 \u2192 nothing"


# -- search --------------------------------------------------------------------------------------------------------


def test_a_feature_is_found_with_how_to_measure_it_and_who_reads_it(sample: House) -> None:
    visitor = Visitor(sample)
    data = visitor.get("/search.json?q=sump+depth").json()
    assert ("pan", "sump_depth") in {(each["kind"], each["name"]) for each in data["features"]}
    readers = next(each["rules"] for each in data["features"] if each["name"] == "sump_depth")
    assert "pickup-floor-gap" in readers  # as its declaration says
    page = Read(visitor.get("/search?q=sump+depth").text)
    assert "/rule/pickup-floor-gap" in links(page)
    assert "Measure: straight edge across the rail" in squeezed(page)


@pytest.mark.parametrize(
    ("query", "meant"),
    [("q=aldyne", "aldine"), ("q=pan+aldyne", "pan aldine"), ("q=pickpu+gap", "pickup gap")],
)
def test_a_misspelt_word_gets_the_nearest(sample: House, query: str, meant: str) -> None:
    visitor = Visitor(sample)
    data = visitor.get(f"/search.json?{query}").json()
    assert data["records"] == data["rules"] == data["features"] == []
    assert meant in data["did_you_mean"]
    page = Read(visitor.get(f"/search?{query}").text)
    meant_links = [each for each in links(page) if each.startswith("/search?q=")]
    assert [meant] in [parse_qs(urlsplit(each).query)["q"] for each in meant_links]


def test_suggestions_stay_inside_the_kind(sample: House) -> None:
    visitor = Visitor(sample)
    assert "ternn" not in visitor.get("/search.json?q=ternn").text.split('"did_you_mean"')[1]
    everywhere = visitor.get("/search.json?q=ternn").json()["did_you_mean"]
    assert "tern" in everywhere  # the maker of ignition parts, PRODUCT's scenario
    assert "tern" not in visitor.get("/search.json?q=ternn&kind=pan").json()["did_you_mean"]  # makes no pan
    found = visitor.get("/search.json?q=aldine&kind=pan").json()
    assert found["records"]
    assert {each["kind"] for each in found["records"]} == {"pan"}


def test_a_misspelt_part_of_a_role_gets_parts_of_its_kind_only(sample: House) -> None:
    with Base(sample.path) as base, pytest.raises(UnknownName) as caught:
        base.build("", {"pickup": "calder-38-pam"})  # nearest of all: a pan
    assert "did you mean" in caught.value.step or "there are" in caught.value.step
    named = caught.value.step.replace("?", " ").replace(",", " ").split()
    with Base(sample.path) as base:
        pickups, others = set(base.ids("pickup")), set(base.ids("")) - set(base.ids("pickup"))
    assert pickups & set(named)
    assert not others & set(named)


def test_what_is_tried_in_a_role_is_not_owned_because_the_role_is(sample: House) -> None:
    with Base(sample.path) as base:
        record = base.record_of("drover")
        entry = record.roles["pan"]
        assert entry.owned  # sample_db/builds: the first pan lies in the shed
        assert "pan" in base.build("drover").owned
        assert "pan" not in base.build("drover", {"pan": "hob-lane-38-steel"}).owned
        assert "pan" in base.build("drover", {"pan": entry.part}).owned


# -- incompatibilities ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "narrowed",
    ["status=confirmed", "harm=leaks", "milestone=prime", "subsystem=oil", "kind=pan",
     "status=confirmed&harm=destroys&kind=pan", "milestone=fire&kind=pickup&status=refuted"],
)  # fmt: skip
def test_facets_combine(sample: House, narrowed: str) -> None:
    visitor = Visitor(sample)
    every = visitor.get("/incompatibility.json").json()
    found = visitor.get(f"/incompatibility.json?{narrowed}").json()
    wanted = {name: value[0] for name, value in parse_qs(narrowed).items()}

    def meets(clash: dict[str, object]) -> bool:
        from kb.roles import ROLES, base_role

        kinds = [ROLES[base_role(each["role"])].kind for each in clash["parties"]]  # type: ignore[attr-defined]
        has = {
            "status": [clash["status"]], "harm": str(clash["harm"]).replace('"', "").strip("[]").split(","),
            "milestone": [clash["milestone"]], "subsystem": [each.family for each in kinds],
            "kind": [each.kind for each in kinds],
        }  # fmt: skip
        return all(value in [str(one).strip() for one in has[name]] for name, value in wanted.items())

    assert [each["id"] for each in found] == [each["id"] for each in every if meets(each)]


def test_a_count_is_what_its_link_leads_to(sample: House) -> None:
    visitor = Visitor(sample)
    page = visitor.get("/incompatibility?milestone=prime").text
    cards = page.split('<ul class="bins">')[1:]
    tried = 0
    for block in cards:
        for piece in block.split("</ul>")[0].split("<li>")[1:]:
            if 'class="number"' not in piece:
                continue
            to = piece.split('href="')[1].split('"')[0].replace("&amp;", "&")
            number = int(piece.split('class="number">')[1].split("<")[0])
            path, _, query = to.partition("?")
            assert len(visitor.get(f"{path}.json?{query}").json()) == number, to
            tried += 1
    assert tried > 10


# -- the report ----------------------------------------------------------------------------------------------------


def test_the_parts_of_a_side_are_those_of_its_role(sample: House) -> None:
    visitor = Visitor(sample).sign_in()
    first = Read(visitor.get("/incompatibility/new").text)
    assert not [each for each in first.all("select") if each.get("name") == "side_part"]  # no role yet
    form = [("side_role", "pickup"), ("side_part", ""), ("side_where", ""), ("side_role", ""), ("side_part", ""),
            ("side_where", ""), ("title", "kept all the same"), ("more", "parts")]  # fmt: skip
    response = visitor.post("/incompatibility/new", form)
    assert response.status_code == 200
    page = Read(response.text)
    assert not page.unlabelled()
    assert "kept all the same" in {each.get("value") for each in page.all("input")}
    with Base(sample.path) as base:
        pickups, pans = set(base.ids("pickup")), set(base.ids("pan"))
    offered = {each.get("value", "") for each in page.all("option")}
    assert pickups <= offered
    assert not pans & offered


# -- rules at work -------------------------------------------------------------------------------------------------


def test_a_rule_shows_a_finding_as_the_check_says_it_now(sample: House) -> None:
    with Base(sample.path) as base:
        finding = next(each for each in base.check("drover").findings if each.rule.id == "passage-sealing")
    assert finding.verdict == "does not fit"  # the scenario: the first pan leaves a passage unclamped
    page = Read(Visitor(sample).get("/rule/passage-sealing").text)
    at = page.words.index("At work on a build of this base")
    assert "does not fit" in page.words[at:]
    assert "at P1: -33.4 %" in page.words[at:]  # as `matchmark check drover` prints it
    assert [each for each in page.all("svg") if "mm-drawing" in each.get("class", "")]
    ids = [found["id"] for _, found in page.tags if "id" in found]
    assert sorted(ids) == sorted(set(ids))


def test_a_rule_that_no_build_asks_says_so(stranger: Visitor) -> None:
    words = squeezed(Read(stranger.get("/rule/bell-dowels").text))  # the small base has no block
    assert "No recorded build asks it" in words


# -- words ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("not recorded: pan.sump_depth", "not recorded: the sump depth of the pan"),
        ("pan.flange.P1.height -1.9 mm", "the height at P1 of the pan's flange -1.9 mm"),
        ("see index.html, pan.nothing", "see index.html, pan.nothing"),  # no feature is called that
        (small.SCRIPT, small.SCRIPT),
    ],
)
def test_features_are_named_as_people_say_them(text: str, words: str) -> None:
    assert plain(text) == words


def test_a_label_is_short() -> None:
    assert label("pan.sump_depth") == "pan: sump depth"
    assert label("of the oil") == "of the oil"


def test_the_build_page_names_what_to_measure(sample: House) -> None:
    page = Read(Visitor(sample).get("/build/drover").text)
    assert "What to measure first" in page.words
    to = next(each for each in links(page) if each.startswith("/here?") and "where=" in each)
    assert parse_qs(urlsplit(to).query)["where"] == ["pan.sump_depth"]  # `matchmark measure drover` puts it first
