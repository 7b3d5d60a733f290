"""Bodies that are no JSON, or JSON as no program would write it, are refused."""

import time

import pytest

from api.urls import urlpatterns
from tests import factories
from tests.api.conftest import Program
from tests.bodies import in_turns
from tests.stored import everything

LONGEST_ANSWER_S = 5


@pytest.fixture
def course(bench):
    factories.make_grading(bench.course)
    factories.submit(bench.group)
    factories.worked_off()
    factories.make_staff("ada")
    return bench


@pytest.fixture
def paths(course):
    """Every address of the API; every one is asked to take something."""
    there = {
        "<slug:code>": course.course.code,
        "<int:section_id>": course.section.pk,
        "<int:group_id>": course.group.pk,
        "<int:lot_id>": course.lot.pk,
        "<int:station_id>": course.station.pk,
        "<int:revision>": 1,
    }
    found = []
    for one in urlpatterns:
        path = str(one.pattern)
        for placeholder, value in there.items():
            path = path.replace(placeholder, str(value))
        found.append(path)
    return found


def program_of(caller):
    program = Program(raise_request_exception=False)
    if caller == "group":
        return program.as_group(factories.slip_code(1))
    return program.as_staff("ada") if caller == "staff" else program


@pytest.mark.parametrize("caller", ["nobody", "group", "staff"])
def test_a_body_that_makes_no_sense_is_refused_and_leaves_nothing(
    course, paths, caller
):
    program = program_of(caller)
    before = everything()
    turns, wrong = in_turns(), []

    for path in paths:
        for body in next(turns):
            started = time.perf_counter()
            answer = program.generic(
                "POST",
                f"/api/v1/{path}",
                body.content,
                content_type=body.media_type,
                headers={"Idempotency-Key": "key-of-nonsense"},
            )
            took = time.perf_counter() - started
            is_refused = 400 <= answer.status_code < 500
            if not is_refused or took > LONGEST_ANSWER_S:
                wrong.append((path, body.name, answer.status_code, took))

    assert wrong == []
    assert everything() == before


@pytest.mark.parametrize("path", ["submissions", "sign-in", "staff/sign-in"])
def test_a_body_beyond_the_limit_is_refused_by_its_length(
    group_program, settings, path
):
    assert settings.DATA_UPLOAD_MAX_MEMORY_SIZE <= 5 * 2**20
    content = b'{"note": "' + b"x" * settings.DATA_UPLOAD_MAX_MEMORY_SIZE + b'"}'

    answer = group_program.generic(
        "POST",
        f"/api/v1/{path}",
        content,
        content_type="application/json",
        headers={"Idempotency-Key": "key-1"},
    )

    assert answer.status_code == 413
    assert answer.json()["type"] == "/api/v1/problems/body-too-large"
