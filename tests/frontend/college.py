"""A small OpenID provider that runs in a thread: keys, codes, tokens, and faults.

Written after OpenID Connect Core 1.0 (3.1 code flow, 5.3 user information),
Discovery 1.0 (section 4) and RFC 7636 (4.6, verifier and challenge).
"""

import base64
import hashlib
import hmac
import json
import secrets
import time
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread
from urllib.parse import parse_qs, urlencode, urlsplit

from joserfc import jwt
from joserfc.jwk import RSAKey

CLIENT_ID, CLIENT_SECRET = "benchwide", "between-the-two-of-us"
ZOE = {
    "sub": "248289761001",
    "preferred_username": "zoe",
    "name": "Zoe Lindqvist",
    "email": "zoe@chem.example",
    "email_verified": True,
}


@cache
def rsa_key(kid):
    return RSAKey.generate_key(2048, {"kid": kid, "use": "sig"})


def encoded(part):
    return base64.urlsafe_b64encode(json.dumps(part).encode()).rstrip(b"=").decode()


@dataclass
class College:
    """What the provider knows, and what it does wrong when a test says so."""

    issuer: str = ""
    person: dict = field(default_factory=lambda: dict(ZOE))
    #: Key ids that are published; tokens are signed by the last one.
    published: list = field(default_factory=lambda: ["spring"])
    signed_by: str = ""
    #: Key id in the token's head.
    key_named: str = ""
    algorithm: str = "RS256"
    #: Changes to the token's claims; one that is None is left out.
    claims: dict = field(default_factory=dict)
    #: Changes to the discovery document and to the answer with the tokens.
    described: dict = field(default_factory=dict)
    answered: dict = field(default_factory=dict)
    told: dict = field(default_factory=dict)
    is_ill: bool = False
    codes: dict = field(default_factory=dict)
    asked: list = field(default_factory=list)

    def discovery(self):
        return {
            "issuer": self.issuer,
            "authorization_endpoint": f"{self.issuer}/authorize",
            "token_endpoint": f"{self.issuer}/token",
            "jwks_uri": f"{self.issuer}/keys",
            "userinfo_endpoint": f"{self.issuer}/userinfo",
            "end_session_endpoint": f"{self.issuer}/leave",
            "id_token_signing_alg_values_supported": ["RS256", "HS256", "none"],
        } | self.described

    def keys(self):
        return {"keys": [rsa_key(kid).as_dict(private=False) for kid in self.published]}

    def authorize(self, query):
        """Let the person in at once; return where the browser is sent."""
        assert query["client_id"] == CLIENT_ID
        assert query["response_type"] == "code"
        assert "openid" in query["scope"].split()
        assert query["code_challenge_method"] == "S256"
        code = secrets.token_urlsafe(16)
        self.codes[code] = query
        answer = urlencode({"code": code, "state": query["state"]})
        return f"{query['redirect_uri']}?{answer}"

    def token(self, form, authorization):
        """Exchange a code, once; return status and answer."""
        if not self._is_client(form, authorization):
            return 401, {"error": "invalid_client"}
        query = self.codes.pop(form.get("code"), None)
        digest = hashlib.sha256(form.get("code_verifier", "").encode()).digest()
        challenge = base64.urlsafe_b64encode(digest).rstrip(b"=").decode()
        if (
            query is None
            or form["redirect_uri"] != query["redirect_uri"]
            or challenge != query["code_challenge"]
        ):
            return 400, {"error": "invalid_grant"}
        tokens = {"access_token": "opaque", "token_type": "Bearer", "expires_in": 300}
        tokens |= {"id_token": self.id_token(query["nonce"])} | self.answered
        return 200, {name: one for name, one in tokens.items() if one is not None}

    def _is_client(self, form, authorization):
        ways = self.described.get("token_endpoint_auth_methods_supported")
        if ways == ["client_secret_post"]:
            return (form["client_id"], form["client_secret"]) == (
                CLIENT_ID,
                CLIENT_SECRET,
            )
        given = base64.b64decode(authorization.removeprefix("Basic ")).decode()
        return given == f"{CLIENT_ID}:{CLIENT_SECRET}"

    def id_token(self, nonce):
        now = int(time.time())
        claims = self.person | {"iss": self.issuer, "aud": CLIENT_ID, "nonce": nonce}
        claims |= {"iat": now, "exp": now + 300} | self.claims
        claims = {name: one for name, one in claims.items() if one is not None}
        if self.algorithm == "none":
            return f"{encoded({'alg': 'none'})}.{encoded(claims)}."
        kid = self.key_named or self.published[-1]
        if self.algorithm == "HS256":
            body = f"{encoded({'alg': 'HS256', 'kid': kid})}.{encoded(claims)}"
            mac = hmac.digest(CLIENT_SECRET.encode(), body.encode(), "sha256")
            return f"{body}.{base64.urlsafe_b64encode(mac).rstrip(b'=').decode()}"
        key = rsa_key(self.signed_by or kid)
        return jwt.encode({"alg": self.algorithm, "kid": kid}, claims, key)


class _Door(BaseHTTPRequestHandler):
    def do_GET(self):
        college, parts = self.server.college, urlsplit(self.path)
        college.asked.append(parts.path)
        query = {name: one[0] for name, one in parse_qs(parts.query).items()}
        if college.is_ill:
            self._answer(503, {"error": "temporarily_unavailable"})
        elif parts.path == "/authorize":
            self.send_response(302)
            self.send_header("Location", college.authorize(query))
            self.send_header("Content-Length", "0")
            self.end_headers()
        elif parts.path == "/userinfo":
            assert self.headers["Authorization"] == "Bearer opaque"
            self._answer(200, college.person | college.told)
        elif parts.path == "/keys":
            self._answer(200, college.keys())
        else:
            assert parts.path == "/.well-known/openid-configuration"
            self._answer(200, college.discovery())

    def do_POST(self):
        college = self.server.college
        college.asked.append(self.path)
        body = self.rfile.read(int(self.headers["Content-Length"])).decode()
        form = {name: one[0] for name, one in parse_qs(body).items()}
        if college.is_ill:
            self._answer(503, {"error": "temporarily_unavailable"})
        else:
            self._answer(*college.token(form, self.headers.get("Authorization", "")))

    def _answer(self, status, content):
        body = json.dumps(content).encode()
        self.send_response(status)
        self.send_header("Content-Type", "application/json")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_):
        """Say nothing among the tests."""


@contextmanager
def open_college():
    """Run a provider; yield it."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), _Door)
    server.college = College(issuer=f"http://127.0.0.1:{server.server_port}")
    thread = Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield server.college
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
