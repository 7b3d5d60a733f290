"""A phone's line to the site, through a proxy of one's own as on a server."""

import gzip
import http.client
import json
import time
from dataclasses import dataclass
from http.cookies import SimpleCookie

PATIENCE_S = 20  # as site.js has it
JSON = "application/json"


class NoAnswer(Exception):
    """The site was silent, or said that it could not (5xx): try again later."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What the site said."""

    status: int
    headers: http.client.HTTPMessage
    text: str

    @property
    def content(self):
        return json.loads(self.text)


class Line:
    """Asks as one phone with its own address and cookies; every answer is timed.

    Like a proxy in front, it opens a connection for each request and names the
    phone's address.
    """

    def __init__(self, port, address, timed):
        self.port, self.address, self.timed = port, address, timed
        self.cookies = {}

    def ask(self, kind, path, *, body=None, headers=None, is_lost=False):
        """Ask once: by GET, or by POST if there is a body.

        Parameters
        ----------
        kind : str
            The name under which the answer is timed.
        is_lost : bool
            The network goes away as soon as the request is under way.
        """
        method = "GET" if body is None else "POST"
        connection = http.client.HTTPConnection(
            "127.0.0.1", self.port, timeout=PATIENCE_S
        )
        started = time.monotonic()
        try:
            connection.request(method, path, body, self._headers(headers))
            if is_lost:
                raise NoAnswer
            answer = self._read(connection.getresponse())
        except (OSError, http.client.HTTPException) as error:
            self.timed.note(kind, started, type(error).__name__)
            raise NoAnswer(type(error).__name__) from error
        finally:
            connection.close()
        self.timed.note(kind, started, answer.status)
        if answer.status >= 500:
            raise NoAnswer(answer.status)
        return answer

    def ask_json(self, kind, path, content, headers=None, **how):
        headers = {"Content-Type": JSON, "Accept": JSON, **(headers or {})}
        return self.ask(kind, path, body=json.dumps(content), headers=headers, **how)

    def _headers(self, more):
        headers = {
            "Connection": "close",
            "Accept-Encoding": "gzip",
            "Accept-Language": "en",
            "X-Forwarded-For": self.address,
            **(more or {}),
        }
        if self.cookies:
            headers["Cookie"] = "; ".join(f"{k}={v}" for k, v in self.cookies.items())
        if "csrftoken" in self.cookies:
            headers["X-CSRFToken"] = self.cookies["csrftoken"]
        return headers

    def _read(self, response):
        text = response.read()
        if response.headers["Content-Encoding"] == "gzip":
            text = gzip.decompress(text)
        for line in response.headers.get_all("Set-Cookie", []):
            cookies = SimpleCookie(line)
            self.cookies |= {name: one.value for name, one in cookies.items()}
        return Answer(response.status, response.headers, text.decode())
