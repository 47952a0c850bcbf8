"""A visitor of the pages, in this process: keeps cookies, reads forms and structure off the HTML."""

from __future__ import annotations

import asyncio
import sqlite3
import threading
from collections.abc import Coroutine, Mapping
from contextlib import closing
from html.parser import HTMLParser
from typing import Any, TypeVar
from urllib.parse import urlencode

import httpx
from datasette.app import Datasette

from kb.web import host

T = TypeVar("T")


class House:
    """A served base and its event loop, in a thread of its own, as the browser tests occupy the main one."""

    def __init__(self, path: str, **more: Any) -> None:
        self.loop = asyncio.new_event_loop()
        self.thread = threading.Thread(target=self.loop.run_forever, daemon=True)
        self.thread.start()
        self.path = path
        self.datasette: Datasette = host.make(path, **more)
        self.app = self.datasette.app()

    @property
    def token(self) -> str:
        return self.token_of()

    def token_of(self, name: str = "") -> str:
        """Of the first address for `name`; without one, of the first of all."""
        return next(key.once.token for key in host.site_of(self.datasette).keys if name in ("", key.name))

    def stamp(self) -> int:
        """Grows with every change of the base."""
        with closing(sqlite3.connect(self.path)) as con:
            return int(con.execute("SELECT coalesce(max(id), 0) FROM history").fetchone()[0])

    def wait_for(self, coroutine: Coroutine[Any, Any, T]) -> T:
        return asyncio.run_coroutine_threadsafe(coroutine, self.loop).result(60)

    def close(self) -> None:
        self.loop.call_soon_threadsafe(self.loop.stop)
        self.thread.join(10)
        for database in self.datasette.databases.values():
            database.close()
        self.loop.close()


class Visitor:
    """Somebody at a browser without JavaScript."""

    def __init__(self, house: House) -> None:
        self.house = house
        self.cookies = httpx.Cookies()

    def ask(self, method: str, path: str, *, headers: Mapping[str, str] | None = None, content: Any = None) -> Any:
        async def once() -> httpx.Response:
            transport = httpx.ASGITransport(app=self.house.app, raise_app_exceptions=True)
            async with httpx.AsyncClient(
                transport=transport, base_url="http://127.0.0.1:8640", cookies=self.cookies
            ) as client:
                response = await client.request(method, path, headers=dict(headers or {}), content=content)
                self.cookies = client.cookies
                return response

        return self.house.wait_for(once())

    def get(self, path: str, **more: Any) -> Any:
        return self.ask("GET", path, **more)

    def post(self, path: str, form: Any, *, token: str | None = None) -> Any:
        """Send a form; `token` None takes the one of a page, as a browser would."""
        if token is None:
            token = Read(self.get("/incompatibility/new").text).hidden.get("csrftoken", "")
        pairs = [*(form.items() if isinstance(form, dict) else form), ("csrftoken", token)]
        headers = {"content-type": "application/x-www-form-urlencoded"}
        return self.ask("POST", path, headers=headers, content=urlencode(pairs).encode())

    def sign_in(self, name: str = "") -> Visitor:
        response = self.get(f"/sign-in?token={self.house.token_of(name)}")
        assert response.status_code == 303
        return self


class Read(HTMLParser):
    """What a page consists of."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.hidden: dict[str, str] = {}
        self.words = ""
        self.open: list[str] = []
        self.in_label: list[tuple[str, dict[str, str]]] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        self.tags.append((tag, found))
        if tag == "input" and found.get("type") == "hidden":
            self.hidden[found["name"]] = found.get("value", "")
        if "label" in self.open:
            self.in_label.append((tag, found))
        if tag not in ("input", "meta", "link", "br", "img", "path", "circle", "rect", "line"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag in self.open:
            while self.open.pop() != tag:
                pass

    def handle_data(self, data: str) -> None:
        self.words += data

    def all(self, tag: str) -> list[dict[str, str]]:
        return [found for name, found in self.tags if name == tag]

    def strange_scripts(self) -> list[dict[str, str]]:
        """Scripts in the page itself, or from anywhere but our own files."""
        return [found for found in self.all("script") if not found.get("src", "").startswith("/-/matchmark/")]

    def unlabelled(self) -> list[dict[str, str]]:
        """Controls that a screen reader could not name."""
        labels = {found.get("for") for found in self.all("label")}
        wrapped = [found for _, found in self.in_label]
        controls = [found for name, found in self.tags if name in ("input", "select", "textarea")]
        return [
            found
            for found in controls
            if found.get("type") not in ("hidden", "submit")
            and found.get("id") not in labels
            and "aria-label" not in found
            and found not in wrapped
        ]
