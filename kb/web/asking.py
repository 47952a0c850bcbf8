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


# What somebody may do here, each more than the one before it; the first is a stranger, who is not signed in.
RANKS = ("", "reader", "contributor", "keeper")


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


class Key(NamedTuple):
    """A sign-in address for somebody: it opens once."""

    name: str
    once: OneUse


class Site(NamedTuple):
    """What this server serves.

    name: of the database in addresses. public: nothing can be written and nobody signs in. hosts: names that the Host
    header may carry; any_address: it may also be any IP address, which no rebound name can be. people: name -> rank
    of who may sign in; keys: their addresses. private: who is not signed in sees nothing.
    """

    path: str
    name: str
    public: bool = False
    hosts: frozenset[str] = frozenset()
    any_address: bool = False
    people: Mapping[str, str] = {}
    keys: tuple[Key, ...] = ()
    private: bool = False

    @property
    def writable(self) -> bool:
        """Whether there is anybody who may write here."""
        return not self.public and any(rank in ("contributor", "keeper") for rank in self.people.values())

    def rank_of(self, user: str) -> str:
        """What `user` may do here, one of RANKS."""
        return "" if self.public else self.people.get(user, "")

    def allows(self, user: str, least: str) -> bool:
        """Whether `user` has at least the rank `least`."""
        return RANKS.index(self.rank_of(user)) >= RANKS.index(least)


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

    @property
    def may_write(self) -> bool:
        """Whether the visitor may add something: a contributor or a keeper."""
        return self.site.allows(self.user, "contributor")

    @property
    def may_keep(self) -> bool:
        """Whether the visitor may judge or replace what others wrote: a keeper."""
        return self.site.allows(self.user, "keeper")

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
    """A page: template with its values; `data` is the JSON twin, or makes it. heading goes into the title."""

    template: str
    heading: str
    values: Mapping[str, Any]
    data: Any = None
    status: int = 200


class Go(NamedTuple):
    """Another address to go to. sign: 'in' or 'out' when it changes who is signed in; user: who is, from then on."""

    to: str
    sign: str = ""
    user: str = ""


class Sent(NamedTuple):
    """Bytes that are no page: a picture."""

    content: bytes
    kind: str


class Refused(Fault):
    """Something that this visitor may not do here."""


def must_write(ask: Ask) -> None:
    """Refused unless the visitor may add something here: a contributor or a keeper.

    Every form that writes calls it, or `must_keep`. A page shows its forms where `ask.may_write`; templates know the
    same as `visitor.may_write`.
    """
    must_be(ask.site, ask.user, "contributor")


def must_keep(ask: Ask) -> None:
    """Refused unless the visitor is a keeper: for what judges or replaces what others wrote down.

    A page shows such a form where `ask.may_keep`; templates know the same as `visitor.may_keep`.
    """
    must_be(ask.site, ask.user, "keeper")


def must_be(site: Site, user: str, least: str) -> None:
    """Refused unless `user` has at least the rank `least` on this server."""
    if site.allows(user, least):
        return
    if not site.writable:
        raise Refused("this server is read-only", step="write it down on your own: matchmark incompat add")
    rank = site.rank_of(user)
    if not rank:
        raise Refused(
            "you are not signed in, so nothing can be written",
            step="open the sign-in address that matchmark serve printed when it started; a used one: start it again",
        )
    if least == "keeper":
        raise Refused(f"you are signed in as a {rank}: only a keeper judges or replaces records", step="ask a keeper")
    raise Refused(f"you are signed in as a {rank}, who only reads", step="ask the keeper for a contributor's address")
