"""What a page function gets and gives: plain values, no Datasette, so that pages are easy to test and to move."""

from __future__ import annotations

import secrets
import threading
from collections.abc import Mapping
from functools import cached_property
from typing import Any, NamedTuple

from kb.base import Base
from kb.errors import Fault
from kb.store.opening import Connection
from kb.store.read import open_readonly

Values = Mapping[str, list[str]]


class OneUse:
    """A random token that opens once."""

    def __init__(self) -> None:
        self.token = secrets.token_urlsafe(32)
        self._unused = True
        self._lock = threading.Lock()

    def take(self, offered: str) -> bool:
        """Whether `offered` is the token and nobody has used it yet; from then on it is used."""
        # Compared as bytes: compare_digest refuses text beyond ASCII.
        good = secrets.compare_digest(offered.encode(), self.token.encode())
        with self._lock:
            opens = good and self._unused
            if opens:
                self._unused = False
        return opens


class Site(NamedTuple):
    """What this server serves.

    name: of the database in addresses. hosts: names that the Host header may carry; any_address: it may also be any
    IP address, which no rebound name can be. writer: who signs in; empty where nothing may be written.
    """

    path: str
    name: str
    public: bool = False
    hosts: frozenset[str] = frozenset()
    any_address: bool = False
    writer: str = ""
    key: OneUse | None = None

    @property
    def writable(self) -> bool:
        return bool(self.writer) and not self.public


class Ask:
    """One request. `vars` from the address, `args` from the query, `form` from the body; `user` who is signed in.

    looks_only: asks for the headers alone (HEAD). files: contents of the files that a form sent, by field, in order.
    """

    def __init__(
        self,
        site: Site,
        vars: Mapping[str, str],
        args: Values,
        form: Values | None = None,
        user: str = "",
        looks_only: bool = False,
        files: Mapping[str, list[bytes]] | None = None,
    ) -> None:
        self.site = site
        self.vars = vars
        self.args = args
        self.form = form or {}
        self.user = user
        self.looks_only = looks_only
        self.files = files or {}

    @cached_property
    def base(self) -> Base:
        """The knowledge base, opened for this request."""
        return Base(self.site.path)

    @cached_property
    def con(self) -> Connection:
        """A connection for the lists that a check does not need."""
        return open_readonly(self.site.path)

    def close(self) -> None:
        """Close what this request opened."""
        for name in ("base", "con"):
            if name in self.__dict__:
                getattr(self, name).close()

    def arg(self, name: str) -> str:
        """The query's first value of `name`, stripped, or an empty text."""
        return next(iter(self.args.get(name, ())), "").strip()

    def field(self, name: str) -> str:
        """The form's first value of `name`, or an empty text."""
        return next(iter(self.form.get(name, ())), "")


class Page(NamedTuple):
    """A page: template with its values; `data` is the JSON twin. heading goes into the title."""

    template: str
    heading: str
    values: Mapping[str, Any]
    data: Any = None
    status: int = 200


class Go(NamedTuple):
    """Another address to go to. sign: 'in' or 'out' when it changes who is signed in."""

    to: str
    sign: str = ""


class Sent(NamedTuple):
    """Bytes that are no page: a picture."""

    content: bytes
    kind: str


class Refused(Fault):
    """Something that this visitor may not do here."""


def must_write(ask: Ask) -> None:
    """Refused unless the visitor may write here."""
    if not ask.site.writable:
        raise Refused("this server is read-only", step="write it down on your own: matchmark incompat add")
    if ask.user != ask.site.writer:
        raise Refused(
            "you are not signed in, so nothing can be written",
            step="open the sign-in address that matchmark serve printed when it started; a used one: start it again",
        )
