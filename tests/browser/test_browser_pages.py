"""Every page in a real browser: phone and desk, light and dark, with and without scripts; axe finds nothing."""

from __future__ import annotations

import pytest

from tests.browser.axe import violations
from tests.browser.conftest import DESK, PHONE, Tab
from tests.browser.pages import EVERY, REFUSED, missing

pytestmark = pytest.mark.browser

PAPER = (718, 1000)  # A4 less 10 mm on each side, at 96 px to the inch
NARROWEST = (320, 640)  # WCAG 2.2, 1.4.10: no scrolling in two directions at this width
SIDEWAYS = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
# Controls that a thumb must hit; links inside a sentence are exempt (WCAG 2.2, 2.5.8; 44 px as 2.5.5 asks).
SMALL = """() => [...document.querySelectorAll('button, input:not([type=hidden]), select, textarea, summary, .button, '
    + 'a.whole, header nav a, .bins a, .stacked td:first-child a')].filter(each => {
  const box = (each.closest('label.tick') || each).getBoundingClientRect();
  return box.width > 1 && box.height > 1 && box.height < 44 && !each.closest('.hidden-words');
}).map(each => each.outerHTML.slice(0, 100))"""
# What is there for scripts alone must not be seen without them.
DEAD = """() => [...document.querySelectorAll('button[type=button], [role=combobox], [role=listbox]')]
  .filter(each => each.checkVisibility()).map(each => each.outerHTML.slice(0, 100))"""


def _set(tab: Tab, size: tuple[int, int]) -> None:
    tab.page.set_viewport_size({"width": size[0], "height": size[1]})


def test_every_page_is_listed_here() -> None:
    assert missing() == set()


@pytest.mark.parametrize("path", EVERY)
def test_phone_and_desk_light_and_dark(path: str, tab: Tab) -> None:
    _set(tab, PHONE)
    tab.page.emulate_media(color_scheme="light")
    assert tab.open(path) == REFUSED.get(path, 200)
    assert tab.page.locator("h1").count() == 1
    assert tab.page.evaluate(SIDEWAYS) == 0
    assert tab.page.evaluate(SMALL) == []
    assert violations(tab.page) == []
    tab.page.emulate_media(color_scheme="dark")
    _set(tab, DESK)
    assert tab.page.evaluate(SIDEWAYS) == 0
    assert violations(tab.page) == []
    _set(tab, NARROWEST)
    assert tab.page.evaluate(SIDEWAYS) == 0
    assert tab.complaints == []


@pytest.mark.parametrize("path", EVERY)
def test_without_scripts(path: str, bare_tab: Tab) -> None:
    assert bare_tab.open(path) in (REFUSED.get(path, 200), 403)  # a stranger may not open what writes
    assert bare_tab.page.locator("h1").count() == 1
    assert bare_tab.page.evaluate(SIDEWAYS) == 0
    assert bare_tab.page.evaluate(SMALL) == []
    assert bare_tab.page.evaluate(DEAD) == []
    assert bare_tab.complaints == []


@pytest.mark.parametrize(
    "path",
    ["/fit?build=drover", "/build/drover/sheet", "/build/drover/measure/sheet", "/build/drover/circuits", "/base/pan",
     "/part/aldine-33-38-pan", "/rule/pickup-floor-gap"],
)  # fmt: skip
def test_on_paper(path: str, tab: Tab) -> None:
    _set(tab, PAPER)
    tab.page.emulate_media(media="print", color_scheme="dark")  # who reads in the dark prints on white all the same
    try:
        assert tab.open(path) == 200
        assert tab.page.evaluate(SIDEWAYS) == 0
        assert tab.page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
        for hidden in ("header nav", "form.find", ".foot", ".no-print"):
            assert tab.page.locator(f"{hidden} >> visible=true").count() == 0, hidden
        assert tab.page.locator("h1").is_visible()
    finally:
        tab.page.emulate_media(media="screen")
