"""Pages, forms and table pages: what the pages themselves link to and offer to fill in, with hostile values in it.

What may be asked is read off the pages (links, forms) and off the source of the page functions, so that a new page or
field is part of it by being there.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import random
import re
import shutil
import tempfile
from collections.abc import Iterable, Mapping
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import parse_qsl, quote, unquote, urlencode

from kb.roles import ROLES
from kb.store.dump import content_hash, dump
from kb.store.load import init, load
from kb.web.guard import CSP
from kb.web.routes import ROUTES
from tests.browser.pages import ADDRESSES, named
from tests.hostile import words
from tests.hostile.campaign import Outcome
from tests.pictures import JPEG
from tests.web import small
from tests.web.test_web_access import TABLE
from tests.web.visiting import House, Visitor

PAGES = Path(__file__).parent.parent.parent / "kb" / "web"
ASKED = re.compile(r"""\b(?:arg|field)\(["'](\w+)["']\)|\b(?:args|form)\.get\(["'](\w+)["']""")
MARKS = tuple(mark.lower() for mark in ("<script>alert", "<img src=x", "<svg onload", "<script>1<"))
PEOPLE = (("ann", "contributor"), ("bob", "reader"))
TABLE_WORDS = (
    "_search",
    "_sort",
    "_sort_desc",
    "_size",
    "_next",
    "_facet",
    "_facet_date",
    "_facet_array",
    "_where",
    "_shape",
    "_nl",
    "_col",
    "_nocol",
    "_labels",
    "_trace",
    "_json",
    "_ttl",
    "_extra",
    "_filter_column",
    "_filter_op",
    "_filter_value",
    "_stream",
    "_timelimit",
    "_through",
    "sql",
    "id",
    "id__contains",
    "id__exact",
    "id__glob",
    "id__in",
    "id__arraycontains",
    "price__gt",
    "name__like",
    "name__isnull",
    "id__date",
    "rowid",
)


def make(name: str) -> Pages:
    return Pages(name, whole=bool(os.environ.get("MATCHMARK_LONG")))


class Form(NamedTuple):
    """A form of a page as a browser would send it: fields with their value, and what else a select offers."""

    method: str
    action: str
    fields: list[tuple[str, str]]
    offered: dict[str, list[str]]


class Answer(NamedTuple):
    status: int
    headers: dict[str, str]
    content: bytes


class Harvest(HTMLParser):
    """Links and forms of a page."""

    def __init__(self, html: str, here: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.forms: list[Form] = []
        self.here, self.select = here, ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        if tag == "a" and found.get("href", "").startswith("/"):
            self.links.append(found["href"].partition("#")[0])
        elif tag == "form":
            action = found.get("action", self.here).partition("#")[0]
            self.forms.append(Form(found.get("method", "get").lower(), action, [], {}))
        elif self.forms and found.get("name") and tag in ("input", "select", "textarea", "button"):
            self.forms[-1].fields.append((found["name"], found.get("value", "")))
            self.select = found["name"] if tag == "select" else self.select
        elif self.forms and tag == "option" and self.select:
            self.forms[-1].offered.setdefault(self.select, []).append(found.get("value", ""))


class Pages:
    """A served base, visited by nobody, a reader, a contributor and a keeper. sort: pages, forms or tables."""

    def __init__(self, sort: str, whole: bool) -> None:
        self.sort, self.whole = sort, whole
        self.held = tempfile.TemporaryDirectory()
        self.path = str(Path(self.held.name) / "hostile-secret-place.db")
        if whole:
            init(self.path, sample=True)
        else:
            shutil.copyfile(small.make(Path(self.held.name)), self.path)
        self.house = House(self.path, writer="sam", people=PEOPLE)
        self.secrets = [self.path, self.held.name, self.house.datasette._secret]
        self.secrets += [self.house.token_of(name) for name in ("sam", "ann", "bob")]
        self.cookies: dict[str, str] = {"": ""}
        for name in ("sam", "ann", "bob"):
            visitor = Visitor(self.house).sign_in(name)
            visitor.get("/incompatibility/new")
            self.cookies[name] = "; ".join(f"{key}={value}" for key, value in visitor.cookies.items())
        self.token = Visitor(self.house)
        self.names = sorted(
            {
                name
                for file in PAGES.rglob("*.py")
                for pair in ASKED.findall(file.read_text("utf-8"))
                for name in pair
                if name
            }
        )
        self.roles = list(ROLES)
        self.features = [f"{role}.{name}" for role, each in ROLES.items() for name in each.kind.features]
        self.links: dict[str, list[str]] = {}
        self.forms: dict[str, list[Form]] = {}
        self.values: dict[str, list[str]] = {}
        self.csrf: dict[str, str] = {}
        self.look_round()

    def look_round(self) -> None:
        """Open every page once as a keeper and learn what it links to and asks for."""
        addresses = [due.address for due in TABLE.values()]
        if self.whole:
            addresses = [each for some in ADDRESSES.values() for each in some] + [
                f"/build/drover{TABLE[name].address[13:]}" for name in TABLE if name.startswith("/build/ID/")
            ]
        tables = [
            "/base",
            "/base/pan",
            "/base/part?_size=3&_facet=kind&_sort_desc=name",
            "/base/history",
            "/base/pan/deep-pan",
        ]
        known = [(re.compile(route.path), named(route.path)) for route in ROUTES]
        for address in [*addresses, *tables]:
            answer = self.ask("GET", address, "sam")
            html = answer.content.decode(errors="replace")
            found = Harvest(html, address)
            self.links.setdefault("tables" if address.startswith("/base") else named_of(address, known), []).append(
                address
            )
            for link in found.links:
                self.links.setdefault(named_of(link, known), []).append(link)
            for form in found.forms:
                self.forms.setdefault(named_of(form.action, known), []).append(form)
                for name, value in form.fields:
                    self.values.setdefault(name, []).append(value)
                for name, several in form.offered.items():
                    self.values.setdefault(name, []).extend(several)
        for several in (*self.links.values(), *self.values.values()):
            several[:] = sorted(set(several))
        for name, cookie in self.cookies.items():
            html = self.ask("GET", "/incompatibility/new" if name in ("sam", "ann") else "/", name).content.decode()
            token = re.search(r'name="csrftoken" value="([^"]+)"', html)
            self.csrf[name] = token[1] if token else cookie.partition("ds_csrftoken=")[2].partition(";")[0]

    def ask(
        self, method: str, address: str, who: str = "", body: bytes = b"", headers: Mapping[str, str] | None = None
    ) -> Answer:
        """One request, straight to the application."""
        raw, _, query = address.partition("?")
        said = {"host": "127.0.0.1:8640", "cookie": self.cookies[who], **(headers or {})}
        scope = {
            "type": "http",
            "http_version": "1.1",
            "method": method,
            "scheme": "http",
            "path": unquote(raw),
            "raw_path": raw.encode("utf-8", "replace"),
            "query_string": query.encode("utf-8", "replace"),
            "client": ("127.0.0.1", 1),
            "headers": [(name.encode(), value.encode("latin-1", "replace")) for name, value in said.items() if value],
        }
        came: list[Any] = []
        waiting = [{"type": "http.request", "body": body, "more_body": False}]

        async def receive() -> Any:
            return waiting.pop() if waiting else {"type": "http.disconnect"}

        async def send(message: Any) -> None:
            came.append(message)

        self.house.wait_for(self.house.app(scope, receive, send))
        heads = {name.decode("latin-1").lower(): value.decode("latin-1") for name, value in came[0]["headers"]}
        return Answer(came[0]["status"], heads, b"".join(each.get("body", b"") for each in came[1:]))

    # -- cases --------------------------------------------------------------------------------------------------------

    def case(self, rnd: random.Random) -> Outcome:
        who = rnd.choice(("sam", "sam", "ann", "bob", ""))
        errors = io.StringIO()
        with contextlib.redirect_stderr(errors):
            if self.sort == "forms":
                address, body, kind = self.form(rnd, who)
                said = f"POST {address} as {who or 'nobody'}: {body[:250]!r}"
                answer = self.ask("POST", address, who, body, {"content-type": kind})
            else:
                address = self.table(rnd) if self.sort == "tables" else self.query(rnd)
                said = f"GET {address} as {who or 'nobody'}"
                answer = self.ask(rnd.choice(("GET",) * 9 + ("HEAD",)), address, who)
        sort = "accepted" if answer.status in (200, 302, 303) else "refused"
        return Outcome(sort, self.wrong(answer, address, errors.getvalue()), said)

    def value(self, rnd: random.Random, name: str, good: str = "") -> str:
        """A value for a field: what it had, what another had, or something hostile."""
        luck = rnd.random()
        if luck < 0.25:
            return good
        if luck < 0.5 and self.values.get(name):
            return rnd.choice(self.values[name])
        if luck < 0.6:
            return rnd.choice((*self.roles, *self.features[:: len(self.features) // 40]))
        if luck < 0.7:
            return rnd.choice(
                ("190 mm", "7 1/2 in", "20 +/- 1 mm", "3", "4 bar", "800 rpm", "drover", "deep-pan", "yes")
            )
        return words.text(rnd, good)

    def query(self, rnd: random.Random) -> str:
        """The address of one of our pages, perhaps its twin, with a query that belongs there, more or less."""
        route = rnd.choice(ROUTES)
        name = named(route.path)
        address = rnd.choice(self.links.get(name) or [TABLE[name].address])
        path, _, given = address.partition("?")
        if rnd.random() < 0.15:
            pieces = path.split("/")
            pieces[-1] = quote(words.text(rnd, pieces[-1])[:300], safe=rnd.choice(("", "/.%")))
            path = "/".join(pieces)
        pairs = parse_qsl(given, keep_blank_values=True)
        for form in rnd.sample(self.forms.get(name, []), min(1, len(self.forms.get(name, [])))):
            pairs += [pair for pair in form.fields if pair[0] != "csrftoken" and rnd.random() < 0.7]
        pairs = [(key, self.value(rnd, key, value)) if rnd.random() < 0.4 else (key, value) for key, value in pairs]
        for _ in range(rnd.choice((0, 0, 1, 2, 8))):
            lists = (self.names, self.names, list(self.values) or self.names, self.roles, self.features)
            key = rnd.choice(rnd.choice(lists))
            pairs.append((key, self.value(rnd, key)))
        if rnd.random() < 0.1:
            pairs.append((words.text(rnd), words.text(rnd)))
        rnd.shuffle(pairs)
        if name.endswith(("/plan", "/buy")) and self.whole and rnd.random() < 0.8:
            pairs.append(("milestone", "prime"))  # the others take their seconds
        end = ".json" if route.twin and rnd.random() < 0.4 else ""
        written = urlencode(pairs, errors="replace")
        if rnd.random() < 0.05:
            written = words.changed(rnd, written)
        return f"{path}{end}?{written}"[:9000] if written else f"{path}{end}"

    def table(self, rnd: random.Random) -> str:
        """An address of tables and rows."""
        path = rnd.choice(self.links["tables"]).partition("?")[0]
        if rnd.random() < 0.3:
            path = "/base/" + "/".join(
                quote(words.text(rnd, "pan")[:200], safe="") for _ in range(rnd.choice((1, 2, 3)))
            )
        path += rnd.choice(("", "", "", ".json", ".csv", ".jsono", ".db", ".xml", ".blob"))
        pairs = []
        for _ in range(rnd.randint(0, 4)):
            key = rnd.choice(TABLE_WORDS)
            odd = (
                words.text(rnd, "pan"),
                "name",
                "kind",
                "id",
                "1",
                "100",
                "array",
                "on",
                "1=1",
                "max",
                "arrayfirst",
                "a",
                "exact",
            )
            pairs.append((key, rnd.choice(odd)))
        return f"{path}?{urlencode(pairs, errors='replace')}"[:9000]

    def form(self, rnd: random.Random, who: str) -> tuple[str, bytes, str]:
        """(address, body, type) of a form that is filled in with good and hostile values."""
        route = rnd.choice([each for each in ROUTES if each.form and each.path != "/sign-out"])
        name = named(route.path)
        found = [form for form in self.forms.get(name, []) if form.method == "post"]
        form = rnd.choice(found) if found else Form("post", TABLE[name].address, [], {})
        action = form.action
        if rnd.random() < 0.05:
            action = rnd.choice(self.links.get(name) or [action])
        pairs = []
        for key, value in form.fields:
            if key == "csrftoken" or rnd.random() < 0.1:
                continue
            offered = form.offered.get(key)
            good = (
                rnd.choice(offered) if offered else value or rnd.choice(("190 mm", "leaks", "seen", "2024-05-31", ""))
            )
            pairs.append((key, self.value(rnd, key, good) if rnd.random() < 0.3 else good))
            if rnd.random() < 0.03:
                pairs.append((key, self.value(rnd, key, good)))
        for _ in range(rnd.choice((0, 0, 0, 1, 3))):
            key = rnd.choice(rnd.choice((self.names, self.names, self.features)))
            pairs.append((key, self.value(rnd, key)))
        pairs.append(("csrftoken", self.csrf[who] if rnd.random() < 0.97 else words.text(rnd)))
        if route.files and rnd.random() < 0.4:
            return action, self.multipart(rnd, pairs), "multipart/form-data; boundary=edge"
        body = urlencode(pairs, errors="replace").encode()
        if rnd.random() < 0.03:
            body = words.bytes_changed(rnd, body)
        return action, body, "application/x-www-form-urlencoded"

    def multipart(self, rnd: random.Random, pairs: list[tuple[str, str]]) -> bytes:
        pieces = [
            b'--edge\r\nContent-Disposition: form-data; name="'
            + key.encode("utf-8", "replace")
            + b'"\r\n\r\n'
            + value.encode("utf-8", "replace")
            + b"\r\n"
            for key, value in pairs
        ]
        name = words.text(rnd, "pan.jpg")[:100].replace("\r", "").replace("\n", "").replace('"', "")
        data = JPEG if rnd.random() < 0.3 else words.bytes_changed(rnd, JPEG)
        head = f'--edge\r\nContent-Disposition: form-data; name="photo"; filename="{name}"\r\n\r\n'
        pieces.append(head.encode("utf-8", "replace") + data + b"\r\n")
        return b"".join(pieces) + b"--edge--\r\n"

    # -- what is promised ---------------------------------------------------------------------------------------------

    def wrong(self, answer: Answer, address: str, errors: str) -> str:
        """What breaks a promise in an answer; nothing if all is kept."""
        text = answer.content.decode("utf-8", "replace")
        if answer.status >= 500 or "Traceback" in text:
            return f"status {answer.status}: {errors[-900:] or text[:300]}"
        if secret := next((each for each in self.secrets if each in text + str(answer.headers)), ""):
            return f"shows {secret!r}"
        if answer.headers.get("content-security-policy") != CSP:
            return "carries no content policy"
        target = answer.headers.get("location", "/")
        if not re.match(r"/(?![/\\])", target) or "\n" in target or "\r" in target:
            return f"leads to {target!r}"
        kind = answer.headers.get("content-type", "")
        if kind.startswith("text/html"):
            small_text = text.lower()
            if mark := next((each for each in MARKS if each in small_text), ""):
                at = small_text.find(mark)
                return f"holds live markup: {text[max(0, at - 100) : at + 100]!r}"
        elif kind.startswith("application/json") and text:
            try:
                json.loads(text, parse_constant=_no_number)
            except ValueError as error:
                return f"is no JSON: {error}"
        return ""

    def close(self) -> Iterable[str]:
        """What was written into the base goes out and comes back."""
        self.house.close()
        folder = Path(self.held.name)
        dump(self.path, folder / "out")
        init(folder / "again.db")
        load(folder / "again.db", [folder / "out"], by="tests")
        if content_hash(folder / "again.db") != content_hash(self.path):
            yield "a dump and a load do not give the same base"
        self.held.cleanup()


def named_of(address: str, known: list[tuple[re.Pattern[str], str]]) -> str:
    """The route of an address as it stands in the tables of tests; `tables` for what is the host's own."""
    path = unquote(address.partition("?")[0])
    return next((name for pattern, name in known if pattern.fullmatch(path)), "tables")


def _no_number(text: str) -> float:
    raise ValueError(f"{text} is not JSON")
