"""Sign-in by the one-use address that the server prints, and sign-out."""

from __future__ import annotations

from kb.web.asking import Ask, Go, Page, Refused


def into(ask: Ask) -> Page | Go:
    """Sign in whoever brings the unused token."""
    if not ask.site.writable or ask.site.key is None:
        raise Refused("nobody signs in on this server: it is read-only", step="go to the first page: all can be read")
    if ask.user == ask.site.writer:
        return Go("/")
    if ask.looks_only:
        return Go("/")
    if not ask.site.key.take(ask.arg("token")):
        raise Refused(
            "this sign-in address is used up, or was never one",
            step="stop the server with Ctrl-C, start matchmark serve again, and open the address that it prints",
        )
    return Go("/", sign="in")


def to_home(ask: Ask) -> Go:
    """Signing out is a form; who comes by a link goes to the first page."""
    return Go("/")


def out(ask: Ask) -> Go:
    """Sign out."""
    return Go("/", sign="out")
