"""A request below what a client can be made to send: piece by piece, or never to its end."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from typing import Any, NamedTuple

from tests.web.visiting import House, Visitor


class Sent(NamedTuple):
    """The answer, and how many messages of the body were asked for and given."""

    status: int
    headers: dict[str, str]
    text: str
    read: int


def cookies_of(visitor: Visitor) -> str:
    return "; ".join(f"{name}={value}" for name, value in visitor.cookies.items())


def sent(
    house: House,
    address: str,
    cookies: str,
    pieces: Sequence[bytes | None],
    *,
    method: str = "POST",
    scheme: str = "http",
    pause: float = 0.0,
) -> Sent:
    """Send a form whose body comes in these pieces and never ends; None: from here on nothing comes."""
    path, _, query = address.partition("?")
    heads = {"host": "127.0.0.1:8640", "content-type": "application/x-www-form-urlencoded", "cookie": cookies}
    scope = {
        "type": "http", "http_version": "1.1", "method": method, "scheme": scheme, "path": path,
        "query_string": query.encode(), "raw_path": path.encode(), "client": ("127.0.0.1", 1),
        "headers": [(name.encode(), value.encode()) for name, value in heads.items() if value],
    }  # fmt: skip
    answer: list[Any] = []
    waiting = iter(pieces)
    read = 0

    async def receive() -> Any:
        nonlocal read
        piece = next(waiting, None)
        if piece is None:
            await asyncio.sleep(30)
            raise AssertionError("the body was waited for")
        read += 1
        await asyncio.sleep(pause)
        return {"type": "http.request", "body": piece, "more_body": True}

    async def take(message: Any) -> None:
        answer.append(message)

    house.wait_for(house.app(scope, receive, take))
    headers = {name.decode().lower(): value.decode() for name, value in answer[0]["headers"]}
    text = b"".join(each.get("body", b"") for each in answer[1:]).decode(errors="replace")
    return Sent(answer[0]["status"], headers, text, read)
