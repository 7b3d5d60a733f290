"""The site as it is served outside tests, static files included, with its bytes."""

import contextlib
from dataclasses import dataclass, field

from django.core.servers.basehttp import ThreadedWSGIServer
from django.db import connections
from django.test.testcases import LiveServerThread


@dataclass
class Served:
    """A running site, and every answer that it gave: path and bytes on the wire."""

    url: str = ""
    answers: list[tuple[str, int]] = field(default_factory=list)

    def counting(self, application):
        """Wrap a WSGI application so that its answers are counted, headers too."""

        def counted(environ, start_response):
            size = 0

            def start(status, headers, exc_info=None):
                nonlocal size
                size += sum(len(name) + len(value) + 4 for name, value in headers)
                return start_response(status, headers, exc_info)

            body = application(environ, start)
            try:
                for part in body:
                    size += len(part)
                    yield part
            finally:
                body.close()
                self.answers.append((environ["PATH_INFO"], size))

        return counted


class PatientServer(ThreadedWSGIServer):
    """Closing it waits for who answers still: they close their sockets themselves."""

    daemon_threads = False


class SiteThread(LiveServerThread):
    """Runs the site."""

    server_class = PatientServer


@contextlib.contextmanager
def served(settings):
    """Serve the site by its own middleware; yield it."""
    site = Served()
    shared = {
        one.alias: one
        for one in connections.all(initialized_only=True)
        if one.vendor == "sqlite" and one.is_in_memory_db()
    }
    for connection in shared.values():
        connection.inc_thread_sharing()
    thread = SiteThread(
        "localhost", static_handler=site.counting, connections_override=shared
    )
    thread.daemon = True
    settings.ALLOWED_HOSTS = ["localhost"]
    thread.start()
    thread.is_ready.wait()
    try:
        if thread.error:
            raise thread.error
        site.url = f"http://localhost:{thread.port}"
        yield site
    finally:
        thread.terminate()
        for connection in shared.values():
            connection.dec_thread_sharing()
