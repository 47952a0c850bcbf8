"""axe-core in a page: what breaks WCAG 2.2 AA or its best practices."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page

TAGS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")
_RUN = "options => axe.run(document, options)"


def _script() -> str:
    from axe_playwright_python.base import AXE_SCRIPT

    return str(AXE_SCRIPT)


def violations(page: Page, *, rules: tuple[str, ...] = ()) -> list[str]:
    """One line a violation: the rule, how often, the first place. rules: only these, instead of all of TAGS."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(_script())  # through the debugger, so that the content policy stays in force for the page
    only = {"type": "rule", "values": list(rules)} if rules else {"type": "tag", "values": list(TAGS)}
    found: dict[str, Any] = page.evaluate(_RUN, {"runOnly": only, "resultTypes": ["violations"]})
    return [_line(each) for each in found["violations"]]


def _line(each: dict[str, Any]) -> str:
    node = each["nodes"][0]
    why = next((check["message"] for check in (*node["any"], *node["all"], *node["none"])), each["help"])
    return f"{each['id']} x{len(each['nodes'])} at {node['target']}: {node['html'][:160]} ({why[:160]})"
