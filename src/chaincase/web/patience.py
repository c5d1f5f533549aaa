"""How long a connection may stay open without a whole request: who sends a line a minute must not hold it for ever.

The guard counts the bodies; this counts what comes before them, which the server's own timeouts leave out.
"""

from typing import Any, Final

from uvicorn.protocols.http.h11_impl import H11Protocol

SILENT_SECONDS: Final = 30.0
"""From the connection, or the answer before, to the last line of a request's head."""


class Patient(H11Protocol):
    """The server's protocol, with an end to patience."""

    seconds: float = SILENT_SECONDS

    def connection_made(self, transport: Any) -> None:
        """Begin to look at the clock."""
        super().connection_made(transport)
        self._silent_since = self.loop.time()
        self._looking = self.loop.call_later(self.seconds, self._look)

    def connection_lost(self, exc: Exception | None) -> None:
        """Stop looking."""
        self._looking.cancel()
        super().connection_lost(exc)

    def on_response_complete(self) -> None:
        """Begin anew after each answer."""
        self._silent_since = self.loop.time()
        super().on_response_complete()

    def _look(self) -> None:
        answering = self.cycle is not None and not self.cycle.response_complete
        left = self.seconds if answering else self._silent_since + self.seconds - self.loop.time()
        if left <= 0:
            self.transport.close()
        else:
            self._looking = self.loop.call_later(left, self._look)
