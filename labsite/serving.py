"""How gunicorn serves the site: ``gunicorn --config=python:labsite.serving``.

How many processes there are, gunicorn reads from ``WEB_CONCURRENCY``.
"""

import os

from labsite.environment import read_environment

threads = 4

if read_environment(os.environ).trusted_proxies:
    # A process takes what its threads can answer and leaves the rest in the queue that
    # all processes share. Otherwise one takes a hundred connections of a rush and has
    # them wait, while the other has nothing to do. Browsers without a proxy between
    # keep connections open that would fill those few places.
    worker_connections = threads
    keepalive = 0
