"""A form with files in it (multipart/form-data, RFC 7578), taken apart with the standard library."""

from __future__ import annotations

import re
from typing import NamedTuple

from kb.errors import Fault

MOST_PIECES = 500
_BOUNDARY = re.compile(r"""multipart/form-data\s*;\s*boundary=(?:"([^"\r\n]{1,70})"|([^\s;"]{1,70}))\s*\Z""", re.I)
_NAME = re.compile(rb'[;\s]name="([^"\r\n]{0,200})"')
_FILE = re.compile(rb'[;\s]filename="')


class Form(NamedTuple):
    """The fields of a form, each with its values in order, and contents of files, empty where none was chosen."""

    fields: dict[str, list[str]]
    files: dict[str, list[bytes]]


def boundary_of(content_type: str) -> str:
    """What parts the pieces of the body; empty if the type is no such form."""
    found = _BOUNDARY.match(content_type.strip())
    return (found.group(1) or found.group(2)) if found else ""


def take_apart(body: bytes, content_type: str) -> Form:
    """The form that `body` holds; names and types of files are not looked at. Fault if it is broken."""
    broken = Fault("this form cannot be read", step="go back to the page and send it again")
    boundary = boundary_of(content_type).encode("latin-1")
    if not boundary:
        raise broken
    # Never more pieces than are looked at: a megabyte of boundaries would be a list of a hundred thousand.
    pieces = (b"\r\n" + body).split(b"\r\n--" + boundary, MOST_PIECES + 2)
    if len(pieces) > MOST_PIECES + 2:
        raise Fault("that is more fields than any page has", step="go back to the page and use its form")
    if len(pieces) < 2 or not pieces[-1].startswith(b"--"):
        raise broken
    form = Form({}, {})
    for piece in pieces[1:-1]:
        head, empty_line, content = piece.partition(b"\r\n\r\n")
        said = next((line for line in head.split(b"\r\n") if line.lower().startswith(b"content-disposition:")), b"")
        name = _NAME.search(said)
        if not empty_line or name is None:
            raise broken
        key = name.group(1).decode("utf-8", "replace")
        if _FILE.search(said):
            form.files.setdefault(key, []).append(content)
        else:
            form.fields.setdefault(key, []).append(content.decode("utf-8", "replace"))
    return form
