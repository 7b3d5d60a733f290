"""How gunicorn serves the site: ``gunicorn --config=python:labsite.serving``.

How many processes there are, gunicorn reads from ``WEB_CONCURRENCY``.
"""

import os
import socket
import struct
from typing import Any

from labsite.environment import read_environment

threads = 4
# A file handed to the system to be sent waits for its reader without end.
sendfile = False
# A thread that reads a request or sends an answer waits that long for the next byte.
PATIENCE_S = 10

if read_environment(os.environ).trusted_proxies:
    # A process takes what its threads can answer and leaves the rest in the queue that
    # all processes share. Otherwise one takes a hundred connections of a rush and has
    # them wait, while the other has nothing to do. Browsers without a proxy between
    # keep connections open that would fill those few places.
    worker_connections = threads
    keepalive = 0


def post_worker_init(worker: Any) -> None:
    """Have lines that fall silent give their threads back.

    Lines inherit what is set of the socket that they come by.
    """
    patience = struct.pack("ll", PATIENCE_S, 0)
    for listener in worker.sockets:
        for option in (socket.SO_RCVTIMEO, socket.SO_SNDTIMEO):
            listener.setsockopt(socket.SOL_SOCKET, option, patience)
