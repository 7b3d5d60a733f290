"""What a scheme's document may say."""

import pytest

from results.policy.marking import DEFAULT_DOCUMENT, read_points, read_scheme
from results.policy.refusals import NotAdmitted


def problems(**changes):
    with pytest.raises(NotAdmitted) as refused:
        read_scheme({**DEFAULT_DOCUMENT, **changes})
    return {one.pointer: one.message for one in refused.value.problems}


def accuracy(**changes):
    return {"accuracy": {**DEFAULT_DOCUMENT["accuracy"], **changes}}


def test_the_document_to_start_from_is_out_of_twenty():
    assert read_scheme(DEFAULT_DOCUMENT).max_points == 20


def test_every_problem_is_named_with_its_place():
    found = problems(
        title="",
        colour={},
        completeness=[3],
        lateness={"per_day": "x", "grace_min": 1.5},
        resubmission={"free": -1, "counted": "never"},
    )

    assert set(found) == {
        "/title",
        "/colour",
        "/completeness",
        "/lateness/per_day",
        "/lateness/grace_min",
        "/resubmission/free",
        "/resubmission/counted",
    }


@pytest.mark.parametrize(
    ("changes", "place", "words"),
    [
        ({"knots": []}, "/accuracy/knots", "at least one"),
        ({"knots": [[1]]}, "/accuracy/knots/0", "[percent, points]"),
        ({"knots": [[-1, 3]]}, "/accuracy/knots/0", "[percent, points]"),
        ({"knots": [[2, 9], [1, 8]]}, "/accuracy/knots/1", "Percents must rise"),
        ({"knots": [[1, 8], [2, 9]]}, "/accuracy/knots/1", "must not rise with"),
        ({"knots": [[1, 11]]}, "/accuracy/knots/0", "cannot give more"),
        ({"beyond": 9}, "/accuracy/beyond", "must not rise again"),
        ({"floor": 11}, "/accuracy/floor", "Write 10 at most"),
        ({"widen_by_u": 6}, "/accuracy/widen_by_u", "Write 5 at most"),
        ({"shape": "curved"}, "/accuracy/shape", "step, linear"),
    ],
)
def test_bands_that_would_be_unfair_are_refused(changes, place, words):
    assert words in problems(**accuracy(**changes))[place]


def test_a_scheme_without_points_is_refused():
    with pytest.raises(NotAdmitted) as refused:
        read_scheme({"title": "Empty"})

    assert "At least one part" in refused.value.problems[0].message


@pytest.mark.parametrize("typed", ["", "x", "1.005", True, None, [], "1e9", "nan"])
def test_what_is_no_number_of_points(typed):
    assert read_points(typed) is None
