"""A connection that is closed if nobody asks anything on it in time.

The host's own server waits for ever for the end of a request's head, so that a few hundred silent connections would
keep everybody else out. How long the body may take is the guard's business.
"""

from __future__ import annotations

import asyncio
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol


class Patient(H11Protocol):
    """One connection; `SECONDS` are given for each head, from its first byte or from the connection on."""

    SECONDS = 15.0
    _limit: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Somebody has called."""
        super().connection_made(transport)
        self._limit = self.loop.call_later(self.SECONDS, self._cut)

    def connection_lost(self, exc: Exception | None) -> None:
        """The other side, or we, have hung up."""
        self._stop()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Something came: the rest of a head, or of a body."""
        if self._limit is None and not self._busy():
            self._limit = self.loop.call_later(self.SECONDS, self._cut)
        super().data_received(data)
        if self._busy():
            self._stop()

    def _busy(self) -> bool:
        """Whether a whole head has come and its answer has not gone out yet."""
        cycle: Any = self.cycle
        return cycle is not None and not cycle.response_complete

    def _stop(self) -> None:
        if self._limit is not None:
            self._limit.cancel()
            self._limit = None

    def _cut(self) -> None:
        self._limit = None
        if not self._busy() and not self.transport.is_closing():
            self.transport.close()
