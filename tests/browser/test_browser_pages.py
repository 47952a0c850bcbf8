"""The pages in a real browser: phone and desk, light and dark, without scripts, by keyboard, printed."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import DESK, PHONE

pytestmark = pytest.mark.browser

Visit = Callable[..., Page]
PARTS = "pan=deep-pan&pan_gasket=thin-gasket&pickup=long-tube"
PAGES = (
    "/", "/fit", "/fit?build=drover", f"/fit?{PARTS}", "/fit?build=nothing", "/build/drover", "/part", "/part/deep-pan",
    "/part/two-tales",
    "/part/hostile-pan", "/incompatibility", "/incompatibility/hostile-clash", "/incompatibility/new", "/rule",
    "/rule/passage-sealing", "/search?q=pan", "/base", "/base/pan?_facet=rail_pattern&id__contains=a",
    "/base/part", "/base/pan/deep-pan", "/base/part/hostile-pan",
)  # fmt: skip
SIDEWAYS = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
# Controls that a thumb must hit; links inside a sentence are exempt (WCAG 2.2, 2.5.8).
SMALL = """() => [...document.querySelectorAll('button, input:not([type=hidden]), select, textarea, summary, .button, '
    + 'a.whole, header nav a, .bins a')].filter(each => {
  const box = (each.closest('label.tick') || each).getBoundingClientRect();
  return box.width > 1 && box.height > 1 && box.height < 44 && !each.closest('.hidden-words');
}).map(each => each.outerHTML.slice(0, 100))"""


@pytest.mark.parametrize("path", PAGES)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_phone_shows_it_without_sideways_scroll(path: str, scheme: str, visit: Visit) -> None:
    page = visit(path, size=PHONE, scheme=scheme, signed_in=True)
    assert page.evaluate(SIDEWAYS) == 0
    assert page.evaluate(SMALL) == []
    complaints = [words for words in page.complaints if "400 (Bad Request)" not in words]  # type: ignore[attr-defined]
    assert complaints == []


@pytest.mark.parametrize("path", PAGES)
def test_a_desk_shows_it_too(path: str, visit: Visit) -> None:
    page = visit(path, size=DESK, signed_in=True)
    assert page.evaluate(SIDEWAYS) == 0
    assert page.locator("h1").count() == 1


def test_the_dark_page_is_dark(visit: Visit) -> None:
    shade = "getComputedStyle(document.body).backgroundColor"
    assert visit("/").evaluate(shade) != visit("/", scheme="dark").evaluate(shade)


def test_no_script_of_a_hostile_name_runs(visit: Visit) -> None:
    for path in ("/part/hostile-pan", "/incompatibility/hostile-clash", "/fit?build=hostile", "/base/part/hostile-pan"):
        page = visit(path)
        dialogs: list[str] = []
        page.on("dialog", lambda dialog, seen=dialogs: (seen.append(dialog.message), dialog.dismiss()))
        page.reload()
        assert dialogs == []
        assert page.locator("main script, main img").count() == 0


def test_the_main_path_without_scripts(visit: Visit) -> None:
    page = visit("/", size=PHONE, scripts=False)
    page.get_by_role("link", name="Check some parts").click()
    page.get_by_label("Pan", exact=True).select_option("deep-pan")
    page.get_by_label("Pan gasket").select_option("thin-gasket")
    page.get_by_label("Pickup", exact=True).select_option("long-tube")
    page.get_by_role("button", name="Check").click()
    page.wait_for_url(f"**/fit?{PARTS}")
    assert page.locator(".verdict-words").inner_text() == "does not fit"
    # Readings 190 +/- 0.2 and 190.1 +/- 0.1 mm weigh 1 : 4 (inverse variances): 190.08 + 2 - 191.8 = 0.28 mm.
    assert page.locator("#pickup-floor-gap .headline").inner_text().startswith("0.28 mm")
    assert page.locator("svg.mm-drawing").count() >= 1
    page.get_by_label("Another feature").fill("pan.sump_depth")
    page.get_by_label("Its value").fill("7 7/8 in")
    page.get_by_role("button", name="Check").click()
    # 200.025 + 2 - 191.8 = 10.225 mm, inside the limits (derived from the definition; 25.4 mm to the inch).
    page.locator("li#pickup-floor-gap").wait_for(state="attached")
    assert page.locator("article#pickup-floor-gap").count() == 0


def test_a_report_without_scripts_changes_the_verdict(visit: Visit) -> None:
    page = visit("/fit?build=drover", size=PHONE, scripts=False, signed_in=True)
    assert page.locator(".verdict-words").inner_text() == "cannot tell"
    page.get_by_role("link", name="Report an incompatibility of these parts").click()
    page.get_by_role("button", name="Write it down").last.click()
    page.get_by_role("alert").wait_for()
    assert page.get_by_role("alert").locator("li").count() >= 4
    page.get_by_label("In one line: what does not go with what").fill("The bench pan drips")
    page.get_by_label("What a builder notices").fill("a drop on the floor")
    page.get_by_label("How it was found").select_option("bench")
    page.get_by_label("leaks").check()
    page.get_by_label("driving").check()
    page.get_by_label("In one line: what does not go with what").press("Enter")
    page.wait_for_url("**/incompatibility/the-bench-pan-drips")
    page.goto(page.url.partition("/incompatibility")[0] + "/fit?build=drover")
    assert page.locator(".verdict-words").inner_text() == "does not fit"
    assert page.get_by_role("heading", name="The bench pan drips").count() == 1
    page.get_by_role("link", name="The bench pan drips").last.click()
    page.get_by_label("It is not so").check()
    page.get_by_label("Why", exact=True).fill("the drop was from the filter")
    page.get_by_role("button", name="Write it down").click()
    page.get_by_text("It no longer counts in a check").wait_for()
    page.goto(page.url.partition("/incompatibility")[0] + "/fit?build=drover")
    assert page.locator(".verdict-words").inner_text() == "cannot tell"


def test_by_keyboard(visit: Visit) -> None:
    page = visit("/fit?build=drover")
    page.keyboard.press("Tab")
    focused = "document.activeElement.textContent.trim()"
    assert page.evaluate(focused) == "Skip to the content"
    assert page.locator(".skip").bounding_box()["x"] >= 0  # type: ignore[index]
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
    page.keyboard.press("Tab")
    assert page.evaluate("document.querySelector('main').contains(document.activeElement)")
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline == "solid"
    page.get_by_label("Pickup", exact=True).focus()
    page.keyboard.press("Enter")
    page.get_by_label("Pickup", exact=True).select_option("long-tube")
    page.get_by_role("button", name="Check").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**pickup=long-tube**")
    assert page.locator(".verdict-words").inner_text() == "does not fit"


def test_a_wide_table_scrolls_inside_itself(visit: Visit) -> None:
    page = visit("/base/part", size=PHONE)
    box = page.locator(".scroll").first
    assert box.evaluate("each => each.scrollWidth > each.clientWidth")
    assert box.get_attribute("tabindex") == "0"


def test_filter_sort_and_count_of_a_table_without_scripts(visit: Visit) -> None:
    page = visit("/base/pan", size=PHONE, scripts=False)
    page.get_by_text("Filter, sort and count").click()
    page.get_by_label("Column", exact=True).select_option("id")
    page.get_by_label("Comparison").select_option("contains")
    page.get_by_label("Value", exact=True).fill("deep")
    page.get_by_label("Count the values of").select_option("rail_pattern")
    page.get_by_role("button", name="Apply").click()
    page.get_by_role("heading", name="rail pattern").wait_for()
    assert page.locator("tbody tr").count() == 1
    assert page.get_by_role("heading", name="rail pattern").count() == 1


def test_print_leaves_out_what_paper_cannot_press(visit: Visit) -> None:
    page = visit("/fit?build=drover")
    page.emulate_media(media="print")
    assert not page.locator("form.ask").is_visible()
    assert not page.locator("header nav").is_visible()
    assert page.locator(".verdict-words").is_visible()
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
