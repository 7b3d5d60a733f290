"""Signing in: a slip code or a password becomes a token."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict

from django.utils import timezone
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import BaseThrottle
from rest_framework.views import APIView

from api import examples
from api.answers.common import TokenSerializer
from api.answers.groups import GroupTokenSerializer
from api.authentication import group_token, staff_token
from api.openapi import operation
from api.parsers import ShallowJSONParser
from api.sent import PasswordSentSerializer, SlipSentSerializer, checked
from results.intake import count_wrong_try, seconds_to_wait, sign_in_group
from results.policy.refusals import NotAdmitted
from results.summaries.group import group_label

_PROBLEMS = (
    "malformed",
    "not-admitted",
    "body-too-large",
    "unsupported-media-type",
    "too-many-attempts",
)


class _WrongTries(BaseThrottle):
    """Lets nobody try who guessed wrong too often in this minute."""

    _wait_s = 0

    def allow_request(self, request: Request, view: APIView) -> bool:  # noqa: ARG002
        self._wait_s = seconds_to_wait(self.get_ident(request), now=timezone.now())
        return self._wait_s == 0

    def wait(self) -> float:
        return self._wait_s


@contextmanager
def _wrong_try_counted(request: Request) -> Iterator[None]:
    try:
        yield
    except NotAdmitted:
        count_wrong_try(_WrongTries().get_ident(request), now=timezone.now())
        raise


class _SignIn(APIView):
    authentication_classes = ()
    permission_classes = (AllowAny,)
    parser_classes = (ShallowJSONParser,)
    throttle_classes = (_WrongTries,)


class GroupSignIn(_SignIn):
    """A slip code for a group's token."""

    @operation(
        "signing in",
        "Sign a group in with the code on its slip",
        {200: (GroupTokenSerializer, "The token, and whom it signs in.")},
        name="group_sign_in",
        description="The token lasts 12 hours, or until the group gets a new slip.",
        sends=SlipSentSerializer,
        sent_example=examples.SLIP,
        example=examples.GROUP_TOKEN,
        problems=_PROBLEMS,
        public=True,
    )
    def post(self, request: Request) -> Response:
        """Answer with a token."""
        typed = checked(SlipSentSerializer, request.data)["slip_code"]
        with _wrong_try_counted(request):
            signed_in = sign_in_group(typed)
        issued = group_token(signed_in, now=timezone.now())
        label = group_label(signed_in.group_id)
        answer = {**asdict(issued), **(asdict(label) if label else {})}
        return Response(GroupTokenSerializer(answer).data)


class StaffSignIn(_SignIn):
    """A name and a password for a token of staff."""

    @operation(
        "signing in",
        "Sign a member of staff in",
        {200: (TokenSerializer, "The token.")},
        name="staff_sign_in",
        description="The token lasts 12 hours, or until the password changes.",
        sends=PasswordSentSerializer,
        sent_example=examples.PASSWORD,
        example=examples.TOKEN,
        problems=_PROBLEMS,
        public=True,
    )
    def post(self, request: Request) -> Response:
        """Answer with a token."""
        sent = checked(PasswordSentSerializer, request.data)
        with _wrong_try_counted(request):
            issued = staff_token(sent["username"], sent["password"], now=timezone.now())
        return Response(TokenSerializer(issued).data)
