"""Redis as the broker: a worker that outlives it.

Two things that the library's own channel does after its server ended raise errors that
nothing expects, and end the worker: giving back messages that were fetched and not yet
begun, and telling of a message that it was begun, by a channel that is closed since.
"""

from typing import Any

from kombu.transport import redis
from redis.exceptions import ConnectionError as ConnectionLost


class Channel(redis.Channel):
    """A channel that gives nothing back, and says so when it has no server."""

    # A message only wakes: the sweep that comes next does as well.
    do_restore = False

    def _connparams(self, *arguments: Any, **named: Any) -> dict[str, Any]:
        connection: Any = self.connection
        if connection is None or connection.client is None:
            message = "this channel's connection was closed"
            raise ConnectionLost(message)
        found: dict[str, Any] = super()._connparams(  # type: ignore[misc]
            *arguments, **named
        )
        return found


class Transport(redis.Transport):
    """The library's transport with these channels."""

    Channel = Channel
