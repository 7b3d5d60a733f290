"""The broker that needs no server: messages as files, each whole or not there.

The library's own transport makes a message's file before it writes it, so that a
worker that looks twenty times a second can take an empty one and die of it.
"""

import fcntl
from pathlib import Path
from time import monotonic_ns
from typing import Any
from uuid import uuid4

from kombu.transport import TRANSPORT_ALIASES, filesystem
from kombu.utils.json import dumps


class Channel(filesystem.Channel):
    """A channel whose files appear complete."""

    # The library's own stubs and its transport name the message differently.
    def _put(  # type: ignore[override]
        self, queue: str, message: Any, **_: Any
    ) -> None:
        folder = Path(self.data_folder_out)
        name = f"{monotonic_ns() // 1_000_000}_{uuid4()}"
        being_written = folder / f"{name}.writing"
        being_written.write_text(dumps(message))
        being_written.replace(folder / f"{name}.{queue}.msg")

    def _queue_bind(self, *arguments: Any) -> None:
        # Two processes that start together would else find each other's file of
        # bindings just made and still empty.
        with (Path(self.control_folder) / "binding.lock").open("w") as turn:
            fcntl.flock(turn, fcntl.LOCK_EX)
            super()._queue_bind(*arguments)


class Transport(filesystem.Transport):
    """The library's transport with these channels."""

    Channel = Channel


def use_own_transports() -> None:
    """Have addresses that begin with filesystem: or redis: use transports from here."""
    TRANSPORT_ALIASES["filesystem"] = f"{__name__}:{Transport.__name__}"
    for scheme in ("redis", "rediss"):
        TRANSPORT_ALIASES[scheme] = "labsite.redis_broker:Transport"
