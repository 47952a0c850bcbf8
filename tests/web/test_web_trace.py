"""The trace as pages: one question at a time, every answer an address, without JavaScript."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from kb.store.load import init
from kb.trace.trees import trees
from kb.web.addresses import address
from tests.web.visiting import House, Read, Visitor

HERE = "/build/drover-good/trace"
FOUND = f"{HERE}?symptom=oil-prime&a=pad-jet=none&a=mechanical-gauge=fades&a=suction-vacuum=leaks"


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    path = str(tmp_path_factory.mktemp("sample") / "sample.db")
    init(path, sample=True)
    made = House(path, writer="sam")
    yield made
    made.close()


@pytest.fixture
def visitor(sample: House) -> Visitor:
    return Visitor(sample)


def links(page: Read, within: str) -> list[str]:
    return [each["href"] for each in page.all("a") if within in each.get("href", "")]


def test_the_symptoms_are_chosen_by_a_button_or_told_in_words(visitor: Visitor) -> None:
    page = Read(visitor.get(HERE).text)
    assert len(links(page, "trace?symptom=")) == len(trees())
    assert not page.unlabelled()
    gone = visitor.get(f"{HERE}?symptom=belt+dust+on+the+pump+side")
    assert gone.status_code in (302, 303)
    assert gone.headers["location"] == f"{HERE}?symptom=belt&a=dust=one-side&a=pump-side-dust=yes"
    wrong = visitor.get(f"{HERE}?symptom=<b>purple</b>")
    assert wrong.status_code == 400
    assert "not understood" in wrong.text
    assert "<b>purple" not in wrong.text
    assert len(links(Read(wrong.text), "trace?symptom=")) == len(trees())


def test_one_question_with_big_buttons_and_a_way_back(visitor: Visitor) -> None:
    first = f"{HERE}?symptom=oil-prime"
    page = Read(visitor.get(first).text)
    answers = [each for each in links(page, "symptom=oil-prime&") if "&a=" in each]
    assert len(answers) >= 3  # the outcomes, and "I cannot tell"
    assert answers[-1].endswith("=unknown")
    assert "Stop after 30 seconds without pressure" in page.words  # before the first step
    assert not page.strange_scripts()
    for before, step in pairwise([first, answers[0]]):
        shown = Read(visitor.get(step).text)
        assert before in links(shown, "trace")  # undo is a link
        assert "Answers so far" in shown.words
    unsure = Read(visitor.get(answers[-1]).text)
    assert "cannot be told" in unsure.words


def test_the_buttons_are_sixty_pixels_at_least() -> None:
    css = Path("kb/web/static/style.css").read_text(encoding="utf-8")
    rule = css.partition(".choices .button {")[2].partition("}")[0]
    assert int(rule.partition("min-height: ")[2].partition("px")[0]) >= 60


def test_it_is_followed_to_the_end_by_links_alone(visitor: Visitor) -> None:
    """Someone whose pump is not turned: reads the question, presses the button that is true."""
    true = {"drill-feel": "free", "slot-turning": "still", "at-oil-pickup": "full", "pad-jet": "none"}
    here, steps = f"{HERE}?symptom=oil-prime", 0
    while "verdict-words" not in (text := visitor.get(here).text) and steps < 12:
        data = visitor.get(here.replace("/trace", "/trace.json", 1)).json()
        test = data["next"]
        outcome = true.get(test["id"], next(iter(test["outcomes"])))
        here = next(each for each in links(Read(text), "&a=") if each.endswith(f"{test['id']}={outcome}"))
        steps += 1
    assert "It is almost certain: the pump is not turned" in visitor.get(here).text
    assert steps <= 6


def test_the_page_of_a_clear_cause(visitor: Visitor) -> None:
    page = Read(visitor.get(FOUND).text)
    assert "Found" in page.words
    assert "It is almost certain: the suction draws air" in page.words
    assert "Suspects" in page.words
    assert "A verdict is advice" in page.words
    assert any(each.get("class") == "mm-drawing" for each in page.all("svg"))
    assert "suspect 1: 9" in page.words  # marked in the drawing by shape and words: 9x %
    assert "/fit?build=drover-good#pickup-seal-squeeze" in links(page, "/fit")
    assert not links(page, "/incompatibility/new")  # a stranger cannot write
    levels = [int(name[1]) for name, _ in page.tags if name in ("h1", "h2", "h3")]
    assert all(after <= before + 1 for before, after in pairwise(levels))
    ids = [found["id"] for _, found in page.tags if "id" in found]
    assert sorted(ids) == sorted(set(ids))


def test_the_button_opens_the_form_with_everything_filled_in(sample: House) -> None:
    writer = Visitor(sample).sign_in()
    to = links(Read(writer.get(FOUND).text), "/incompatibility/new")
    assert len(to) == 1
    form = writer.get(to[0])
    assert form.status_code == 200
    page = Read(form.text)
    assert page.tags
    title = next(each for each in page.all("input") if each.get("name") == "title")
    assert title["value"].startswith("No oil pressure when priming: the suction draws air")
    for piece in ("The suction draws air", "Fit the ring that the groove asks for", "it leaks."):
        assert piece in page.words, piece
    chosen = {each["value"] for each in page.all("option") if "selected" in each}
    assert {"oil_pump", "pickup", "pickup_seal", "bench-38-pump", "bench-38-pickup", "calder-38-ring"} <= chosen
    assert "build" in chosen  # how it was found
    checked = {each["value"] for each in page.all("input") if "checked" in each}
    assert {"destroys", "prime"} <= checked


def test_readings_can_be_left_out(visitor: Visitor) -> None:
    page = Read(visitor.get("/build/drover/trace?symptom=oil-prime").text)
    assert "recorded reading drover-first-priming" in page.words
    without = links(page, "readings=no")
    assert without
    again = Read(visitor.get(without[0]).text)
    assert "recorded reading" not in again.words
    assert all("readings=no" in each for each in links(again, "&a="))


@pytest.mark.parametrize(
    ("address", "status"),
    [
        ("/build/nothing/trace", 404),
        ("/build/nothing/trace?symptom=belt", 404),
        (f"{HERE}?symptom=belt&a=nonsense", 400),
        (f"{HERE}?symptom=belt&a=sond=chirp", 404),
        (f"{HERE}?symptom=belt&a=sound=<script>", 404),
    ],
)
def test_what_is_wrong_is_told(visitor: Visitor, address: str, status: int) -> None:
    response = visitor.get(address)
    assert response.status_code == status
    assert "Traceback" not in response.text
    assert "<script>" not in response.text


def test_the_twin_says_what_the_page_says(visitor: Visitor) -> None:
    data = visitor.get(FOUND.replace("/trace", "/trace.json", 1)).json()
    assert data["state"] == "clear"
    assert data["suspects"][0]["cause"] == "suction-leak"
    assert [each["id"] for each in visitor.get(f"{HERE}.json").json()["symptoms"]] == list(trees())
    assert FOUND.replace("/trace", "/trace.json", 1) in links(Read(visitor.get(FOUND).text), ".json")
    assert address("build", "drover-good", "trace") == HERE
