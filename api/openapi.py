"""How operations are described (OpenAPI 3)."""

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import (
    OpenApiExample,
    OpenApiParameter,
    OpenApiResponse,
    extend_schema,
)

from api.answers.common import ProblemSerializer
from api.problems import KINDS, PROBLEM_MEDIA_TYPE, ProblemKind

_View = TypeVar("_View", bound=Callable[..., Any])
_OF_EVERY_TOKEN = ("sign-in-needed", "not-for-this-token")

IDEMPOTENCY_KEY = OpenApiParameter(
    "Idempotency-Key",
    type={"type": "string", "minLength": 1, "maxLength": 120, "pattern": "^[!-~]+$"},
    location=OpenApiParameter.HEADER,
    required=True,
    description="A new key for new readings, the same key when the same request is "
    "repeated: it is then stored only once.",
    examples=[OpenApiExample("A key", value="bench-7-2025-10-07-1")],
)

PAGES = (
    OpenApiParameter("page", int, description="Number of the page, from 1."),
    OpenApiParameter("page_size", int, description="Most rows on it, up to 200."),
)


class TokenScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    """Describes the tokens of groups and staff."""

    target_class = "api.authentication.TokenAuthentication"
    name = "token"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:  # noqa: ARG002
        """Return the scheme."""
        return {
            "type": "http",
            "scheme": "bearer",
            "description": "A token from one of the two sign-in addresses.",
        }


def operation(
    tag: str,
    summary: str,
    answers: dict[int, tuple[Any, str]],
    **more: Any,
) -> Callable[[_View], _View]:
    """Describe one operation.

    Parameters
    ----------
    tag : str
        Under which heading it stands.
    summary : str
        What it does, in a few words.
    answers : dict
        By status, what is answered and in which case.
    **more
        `name` for programs that are generated; `example` of the answer; `sends`,
        the body's serializer, with `sent_example`; codes of `problems`;
        `parameters`; `description`; `public` if no token is needed; `paged` if the
        answer comes in pages.
    """
    problems = ("server-error", "not-now", *more.get("problems", ()))
    if not more.get("public"):
        problems += _OF_EVERY_TOKEN
    return extend_schema(
        operation_id=more["name"],
        tags=[tag],
        summary=summary,
        description=more.get("description", f"{summary}."),
        request=more.get("sends"),
        parameters=[*more.get("parameters", ()), *(PAGES if more.get("paged") else ())],
        responses={
            **{
                (status, "application/json"): OpenApiResponse(answer, description=case)
                for status, (answer, case) in answers.items()
            },
            **_problem_responses(problems),
        },
        examples=_examples(answers, more),
    )


def file_operation(
    summary: str,
    *,
    name: str,
    media_type: str,
    example: str,
    parameters: Sequence[OpenApiParameter] = (),
) -> Callable[[_View], _View]:
    """Describe an operation for staff that answers with a file.

    Parameters
    ----------
    name : str
        For programs that are generated.
    example : str
        What the file begins with, or what it is.
    """
    problems = (
        "server-error",
        "not-now",
        "not-found",
        "no-grading-scheme",
        *_OF_EVERY_TOKEN,
    )
    return extend_schema(
        operation_id=name,
        tags=["for staff"],
        summary=summary,
        description=f"{summary}. The columns stay as they are.",
        parameters=list(parameters),
        responses={
            (200, media_type): OpenApiResponse(
                OpenApiTypes.BINARY,
                description="The file.",
                examples=[
                    OpenApiExample(
                        "An invented file",
                        value=example,
                        response_only=True,
                        media_type=media_type,
                        status_codes=["200"],
                    )
                ],
            ),
            **_problem_responses(problems),
        },
    )


def _examples(
    answers: dict[int, tuple[Any, str]], more: dict[str, Any]
) -> list[OpenApiExample]:
    answered = OpenApiExample(
        "An invented answer",
        value=more["example"],
        response_only=True,
        status_codes=[str(status) for status in answers],
    )
    if "sent_example" not in more:
        return [answered]
    sent = OpenApiExample(
        "An invented request", value=more["sent_example"], request_only=True
    )
    return [answered, sent]


def _problem_responses(
    codes: Sequence[str],
) -> dict[tuple[int, str], OpenApiResponse]:
    by_status: dict[int, list[ProblemKind]] = {}
    for code in codes:
        by_status.setdefault(KINDS[code].status, []).append(KINDS[code])
    return {
        (status, PROBLEM_MEDIA_TYPE): OpenApiResponse(
            ProblemSerializer,
            description=". ".join(kind.title for kind in kinds) + ".",
            examples=[_problem_example(kind, status) for kind in kinds],
        )
        for status, kinds in sorted(by_status.items())
    }


def _problem_example(kind: ProblemKind, status: int) -> OpenApiExample:
    return OpenApiExample(
        kind.title,
        value={
            "type": kind.uri,
            "title": kind.title,
            "status": kind.status,
            "detail": kind.meaning,
            "instance": "/api/v1/submissions",
            "errors": _ERRORS.get(kind.code, []),
        },
        response_only=True,
        media_type=PROBLEM_MEDIA_TYPE,
        status_codes=[str(status)],
    )


_ERRORS = {
    "not-admitted": [
        {
            "pointer": "/standard_mass_g",
            "detail": "210.4 looks like milligrams. In grams it is 0.2104.",
        }
    ],
    "idempotency-key-missing": [
        {
            "header": "Idempotency-Key",
            "detail": "Send the header Idempotency-Key with 1 to 120 visible "
            "characters.",
        }
    ],
}
