"""A real Chromium over a real server. Without the browser the tests are skipped, unless MATCHMARK_NEED_BROWSER=1."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from tests.web import small
from tests.web.test_web_serve import Running, running

CHROMIUM = "/usr/bin/chromium"
FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
PHONE, DESK = (390, 844), (1280, 900)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    # No longer than a module: while it lives, this thread can run no other event loop.
    if not os.path.exists(CHROMIUM):
        words = f"there is no {CHROMIUM}: install Debian's package chromium to run the browser tests"
        if os.environ.get("MATCHMARK_NEED_BROWSER") == "1":
            pytest.fail(words)
        pytest.skip(words)
    with sync_playwright() as play:
        found = play.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield found
        found.close()


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    with running(small.make(tmp_path_factory.mktemp("browser"))) as found:
        yield found
        found.stop()


@pytest.fixture(scope="module")
def signed(server: Running, browser: Browser) -> Any:
    """The cookies of who used the sign-in address."""
    context = browser.new_context()
    page = context.new_page()
    page.goto(next(word for word in server.said.split() if "/sign-in?token=" in word))
    state = context.storage_state()
    context.close()
    return state


@pytest.fixture
def visit(server: Running, browser: Browser, signed: Any) -> Iterator[Callable[..., Page]]:
    """Open an address: `visit("/fit", size=PHONE, scheme="dark", scripts=False, signed_in=True)`.

    The page's `complaints` hold what the browser said in its console, such as breaches of the content policy.
    """
    contexts: list[BrowserContext] = []

    def go(
        path: str, *, size: tuple[int, int] = DESK, scheme: Any = "light", scripts: bool = True, signed_in: bool = False
    ) -> Page:
        context = browser.new_context(
            viewport={"width": size[0], "height": size[1]},
            color_scheme=scheme,
            java_script_enabled=scripts,
            storage_state=signed if signed_in else None,
        )
        contexts.append(context)
        page = context.new_page()
        complaints: list[str] = []
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.complaints = complaints  # type: ignore[attr-defined]
        page.goto(f"http://127.0.0.1:{server.port}{path}")
        return page

    yield go
    for context in contexts:
        context.close()
