"""Sign-in by the one-use address that the server prints, and sign-out."""

from __future__ import annotations

from kb.web.asking import Ask, Go, Page, Refused


def into(ask: Ask) -> Page | Go:
    """Sign in whoever brings an unused token, under the name that it was made for."""
    if ask.site.public or not ask.site.keys:
        raise Refused("nobody signs in on this server: it is read-only", step="go to the first page: all can be read")
    if ask.looks_only:
        return Go("/")
    offered = ask.arg("token")
    # All are tried, so that the time tells nothing about which one it was near.
    opened = [key.name for key in ask.site.keys if key.once.take(offered)]
    if opened:
        return Go("/", sign="in", user=opened[0])
    if ask.site.rank_of(ask.user):
        return Go("/")
    raise Refused(
        "this sign-in address is used up, or was never one",
        step="stop the server with Ctrl-C, start matchmark serve again, and open the address that it prints",
    )


def to_home(ask: Ask) -> Go:
    """Signing out is a form; who comes by a link goes to the first page."""
    return Go("/")


def out(ask: Ask) -> Go:
    """Sign out."""
    return Go("/", sign="out")
