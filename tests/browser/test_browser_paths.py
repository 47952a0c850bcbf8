"""Ways through the pages in a real browser: without scripts, by keyboard alone, on a phone, on paper."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import DESK, PHONE, Tab

pytestmark = pytest.mark.browser

Visit = Callable[..., Page]
PARTS = "pan=deep-pan&pan_gasket=thin-gasket&pickup=long-tube"
# What has the focus: its words or its label, where it is, and whether it is framed.
FOCUSED = r"""() => {
  const each = document.activeElement;
  if (!each || each === document.body) return null;
  const style = getComputedStyle(each), box = each.getBoundingClientRect();
  const label = each.labels && each.labels.length ? each.labels[0].textContent : each.textContent;
  return {
    words: (each.getAttribute('aria-label') || label || '').trim().replace(/\s+/g, ' '), tag: each.tagName,
    framed: style.outlineStyle === 'solid' && parseFloat(style.outlineWidth) >= 2,
    seen: box.width > 0 && box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth,
  };
}"""


def tab_to(page: Page, words: str, most: int = 150) -> None:
    """Press Tab until what is called `words` has the focus."""
    passed = []
    for _ in range(most):
        page.keyboard.press("Tab")
        found = page.evaluate(FOCUSED)
        if found and found["words"] == words:
            return
        passed.append(found["words"][:40] if found else "")
    raise AssertionError(f"Tab does not reach {words!r}, only {passed}")


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


@pytest.mark.parametrize("path", ["/fit?build=drover", "/base/pan", "/incompatibility/new", "/part/deep-pan"])
def test_tab_goes_through_a_page_and_out_again(path: str, visit: Visit) -> None:
    page = visit(path, signed_in=True)
    page.emulate_media(reduced_motion="reduce")
    stops = 0
    for _ in range(400):
        page.keyboard.press("Tab")
        found = page.evaluate(FOCUSED)
        if found is None:  # past the last stop the focus leaves the page
            break
        assert found["framed"], found
        assert found["seen"], found
        stops += 1
    assert 15 < stops < 400


def test_the_main_path_by_keyboard_alone(visit: Visit) -> None:
    page = visit("/")
    tab_to(page, "Will it fit")
    page.keyboard.press("Enter")
    page.wait_for_url("**/fit")
    for label, typed in (("Pan", "Deep"), ("Pan gasket", "Thin"), ("Pickup", "Long")):
        tab_to(page, label)
        page.keyboard.type(typed)
    tab_to(page, "Check")
    page.keyboard.press("Enter")
    page.wait_for_url("**pickup=long-tube**")
    assert page.locator(".verdict-words").first.inner_text() == "does not fit"


def test_the_other_pages_stand_behind_a_word_on_a_phone(visit: Visit) -> None:
    page = visit("/rule", size=PHONE, scripts=False)
    ways = page.get_by_role("navigation", name="Main")
    assert ways.get_by_role("link", name="Will it fit").is_visible()
    assert not ways.get_by_role("link", name="Incompatibilities").is_visible()
    ways.locator("summary").click()
    ways.get_by_role("link", name="Incompatibilities").click()
    page.wait_for_url("**/incompatibility")
    assert page.locator("header").bounding_box()["height"] <= 110  # type: ignore[index]  # two lines of 44 px


def test_all_pages_stand_in_a_line_on_a_desk(visit: Visit) -> None:
    page = visit("/rule", size=DESK)
    ways = page.get_by_role("navigation", name="Main")
    for name in ("Will it fit", "What fits", "Parts", "Incompatibilities", "Rules", "Tables"):
        assert ways.get_by_role("link", name=name).is_visible(), name
    assert not ways.locator("summary").is_visible()
    assert ways.locator("[aria-current]").inner_text() == "Rules"


def test_a_wide_table_scrolls_inside_itself_and_keeps_its_first_column(tab: Tab) -> None:
    tab.page.set_viewport_size({"width": DESK[0], "height": DESK[1]})
    tab.open("/base/pickup")
    box = tab.page.locator(".scroll").first
    assert box.evaluate("each => each.scrollWidth > each.clientWidth")
    assert box.get_attribute("tabindex") == "0"
    box.evaluate("each => { each.scrollLeft = 400 }")
    first = tab.page.locator("tbody td").first.bounding_box()
    edge = box.bounding_box()
    assert first is not None
    assert edge is not None
    assert abs(first["x"] - edge["x"]) <= 2  # a border's width


def test_on_a_phone_a_row_shows_its_first_columns_and_the_others_when_asked(bare_tab: Tab) -> None:
    bare_tab.open("/base/pickup")
    row = bare_tab.page.locator("tbody tr").first
    few = row.locator("td:visible").count()
    assert few == 6  # what it is called, and five more (kb/web/tables.py)
    assert not bare_tab.page.locator("thead").is_visible()
    bare_tab.page.get_by_label("Show every filled column").check()
    many = row.locator("td:visible").count()
    assert many > few
    assert many == row.locator("td:not(.empty)").count()
    bare_tab.page.get_by_label("Show every filled column").uncheck()
    assert row.locator("td:visible").count() == few


def test_words_search_a_table_without_scripts(bare_tab: Tab) -> None:
    bare_tab.open("/base/pan")
    bare_tab.page.get_by_text("Search, filter, sort and count").click()
    bare_tab.page.get_by_label("Rows whose record holds these words").fill("brightwater")
    bare_tab.page.get_by_role("button", name="Apply").click()
    bare_tab.page.get_by_text('where the record holds "brightwater"').wait_for()
    names = bare_tab.page.locator("tbody td:first-child").all_inner_texts()
    assert names
    assert all(name.startswith("brightwater") for name in names)
    assert bare_tab.page.get_by_label("Rows whose record holds these words").input_value() == "brightwater"


def test_filter_sort_and_count_of_a_table_without_scripts(visit: Visit) -> None:
    page = visit("/base/pan", size=PHONE, scripts=False)
    page.get_by_text("filter, sort and count").click()
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
