"""Programs that call the API."""

import json

import pytest
from rest_framework.test import APIClient

from tests import factories


class Program(APIClient):
    """A program with the token of a group or of a member of staff."""

    def signed_in(self, path, **credentials):
        self.credentials()
        token = self.post(f"/api/v1/{path}", credentials, format="json").data["token"]
        self.credentials(HTTP_AUTHORIZATION=f"Bearer {token}")
        return self

    def as_group(self, slip):
        return self.signed_in("sign-in", slip_code=slip)

    def as_staff(self, username):
        return self.signed_in(
            "staff/sign-in", username=username, password=factories.PASSWORD
        )

    def send(self, body, key="key-1"):
        headers = {"Idempotency-Key": key} if key is not None else {}
        return self.post(
            "/api/v1/submissions",
            json.dumps(body),
            content_type="application/json",
            headers=headers,
        )

    def see(self, path, **query):
        return self.get(f"/api/v1/{path}", query)


@pytest.fixture
def program():
    return Program()


@pytest.fixture
def bench(db):
    return factories.make_bench(slip=factories.slip_code(1))


@pytest.fixture
def group_program(program, bench):
    """A program that is signed in for the group of `bench`."""
    return program.as_group(factories.slip_code(1))
