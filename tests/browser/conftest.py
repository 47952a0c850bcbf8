"""A real Chromium over a real server. Without the browser the tests are skipped, unless MATCHMARK_NEED_BROWSER=1.

Everything here lives no longer than a module: while a browser lives, its thread can run no other event loop. Under
pytest-xdist each worker has a server and a browser of its own; `--dist loadfile` starts the fewest.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, sync_playwright

from kb.store.load import init
from kb.store.write import write_record
from tests.web import small
from tests.web.test_web_serve import Running, running

CHROMIUM = "/usr/bin/chromium"
FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
PHONE, DESK = (390, 844), (1280, 900)


def launched(play: Playwright) -> Browser:
    """Debian's Chromium, without what it would ask of other machines."""
    return play.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))


def sign_in(browser: Browser, server: Running) -> Any:
    """The cookies of who used the sign-in address."""
    context = browser.new_context()
    context.new_page().goto(next(word for word in server.said.split() if "/sign-in?token=" in word))
    state = context.storage_state()
    context.close()
    return state


def new_context(
    browser: Browser, size: tuple[int, int], scheme: Any = "light", scripts: bool = True, state: Any = None
) -> BrowserContext:
    """A window of this size."""
    return browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme=scheme,
        java_script_enabled=scripts,
        storage_state=state,
    )


class Tab:
    """A page that is used again and again; `complaints` hold what its console said since the last address.

    A page that is refused says so in the console; that is no complaint.
    """

    def __init__(self, context: BrowserContext, port: int) -> None:
        self.page = context.new_page()
        self.complaints: list[str] = []
        self.page.complaints = self.complaints  # type: ignore[attr-defined]  # for who has the page alone
        self._port = port
        self.page.on("console", lambda message: self._hear(message.text))
        self.page.on("pageerror", lambda error: self._hear(str(error)))

    def _hear(self, words: str) -> None:
        if "the server responded with a status of" not in words:
            self.complaints.append(words)

    def open(self, path: str) -> int:
        """Go there; the status of the answer."""
        self.complaints.clear()
        answer = self.page.goto(f"http://127.0.0.1:{self._port}{path}")
        assert answer is not None
        return answer.status


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    if not os.path.exists(CHROMIUM):
        words = f"there is no {CHROMIUM}: install Debian's package chromium to run the browser tests"
        if os.environ.get("MATCHMARK_NEED_BROWSER") == "1":
            pytest.fail(words)
        pytest.skip(words)
    with sync_playwright() as play:
        found = launched(play)
        yield found
        found.close()


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """Over the small base of the tests of the pages."""
    with running(small.make(tmp_path_factory.mktemp("browser"))) as found:
        yield found
        found.stop()


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """Over the sample, with a part, a build and a clash whose names are code."""
    path = str(tmp_path_factory.mktemp("sample") / "sample.db")
    init(path, sample=True)
    hostile = next(part for part in small.PARTS if part["id"] == "hostile-pan")
    for record in (hostile, small.HOSTILE_BUILD, small.CLASH):
        write_record(path, record, by="tests", origin="tests")
    with running(path) as found:
        yield found
        found.stop()


@pytest.fixture(scope="module")
def tab(sample: Running, browser: Browser) -> Iterator[Tab]:
    """One page over the sample, signed in, with scripts."""
    context = new_context(browser, PHONE, state=sign_in(browser, sample))
    yield Tab(context, sample.port)
    context.close()


@pytest.fixture(scope="module")
def bare_tab(sample: Running, browser: Browser) -> Iterator[Tab]:
    """One page over the sample, of a stranger on a phone, without scripts."""
    context = new_context(browser, PHONE, scripts=False)
    yield Tab(context, sample.port)
    context.close()


@pytest.fixture(scope="module")
def signed(server: Running, browser: Browser) -> Any:
    return sign_in(browser, server)


@pytest.fixture
def visit(server: Running, browser: Browser, signed: Any) -> Iterator[Callable[..., Page]]:
    """Open an address of the small base: `visit("/fit", size=PHONE, scheme="dark", scripts=False, signed_in=True)`."""
    contexts: list[BrowserContext] = []

    def go(
        path: str, *, size: tuple[int, int] = DESK, scheme: Any = "light", scripts: bool = True, signed_in: bool = False
    ) -> Page:
        contexts.append(new_context(browser, size, scheme, scripts, signed if signed_in else None))
        tab = Tab(contexts[-1], server.port)
        tab.open(path)
        return tab.page

    yield go
    for context in contexts:
        context.close()
