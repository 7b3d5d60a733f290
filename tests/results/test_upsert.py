"""Rows written column by column are the rows that models would write."""

import gc
import math
from contextlib import nullcontext

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from results import recompute
from results.models import Answer
from results.recompute.upsert import upsert
from tests.factories import NOW, make_group, make_station, submit

pytestmark = pytest.mark.django_db


@pytest.fixture
def answer():
    make_station()
    submit(make_group())
    recompute.work_off(clock=lambda: NOW)
    return Answer.objects.get()


def columns_of(answer, **changed):
    """What an answer holds, as columns of one row."""
    fields = [field.attname for field in Answer._meta.fields]
    kept = [name for name in fields if name not in ("id", "computations")]
    return {name: [changed.get(name, getattr(answer, name))] for name in kept}


def store(columns):
    upsert(Answer, columns, unique="submission_id", counter="computations")


def values_of(answer):
    return {
        field.attname: getattr(answer, field.attname) for field in Answer._meta.fields
    }


def test_a_row_is_found_again_as_a_model_wrote_it(answer):
    columns = columns_of(answer)
    answer.save()
    written = values_of(Answer.objects.get())
    Answer.objects.all().delete()

    store(columns)

    stored = values_of(Answer.objects.get())
    assert {**stored, "id": written["id"]} == written


def test_a_row_that_is_there_is_written_over_and_counted(answer):
    store(columns_of(answer, slope=0.25, care=[0.5, 0.125], reason=""))

    again = Answer.objects.get()
    assert (again.pk, again.slope, again.care) == (answer.pk, 0.25, [0.5, 0.125])
    assert again.computations == answer.computations + 1


def test_what_is_not_finite_is_null_within_json(answer):
    store(columns_of(answer, details={"mandel_f": math.nan, "phi": -math.inf}))

    assert Answer.objects.get().details == {"mandel_f": None, "phi": None}


def test_no_row_is_written_if_one_is_refused(answer):
    right, wrong = columns_of(answer, slope=0.5), columns_of(answer, reason="no_slope")
    both = {name: right[name] + wrong[name] for name in right}

    with pytest.raises(IntegrityError), transaction.atomic():
        store(both)

    assert Answer.objects.get().slope == answer.slope


def test_no_rows_are_no_trouble(answer):
    store({name: [] for name in columns_of(answer)})

    assert values_of(Answer.objects.get()) == values_of(answer)


@pytest.mark.parametrize("error", [None, DatabaseError])
def test_the_collector_rests_in_a_batch_and_works_again_after_it(
    answer, monkeypatch, error
):
    working = []

    def computed(*_):
        working.append(gc.isenabled())
        if error:
            raise error
        return [], []

    monkeypatch.setattr("results.recompute.work._compute", computed)
    submit(answer.submission.group, key="another")

    with pytest.raises(error) if error else nullcontext():
        recompute.work_off(clock=lambda: NOW)

    assert working == [False]
    assert gc.isenabled()
