"""A picture that a record names."""

from __future__ import annotations

from kb.store import photos
from kb.web.asking import Ask, Sent


def show(ask: Ask) -> Sent:
    """Its bytes, under the type that they were found to be; whatever they hold, nothing in them runs."""
    content, kind = photos.get(ask.site.path, ask.vars["id"])
    return Sent(content, kind)
