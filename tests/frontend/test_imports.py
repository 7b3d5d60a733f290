import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from results.models import Submission
from tests.factories import make_course, make_staff, perfect_readings

pytestmark = pytest.mark.django_db


@pytest.fixture
def course():
    return make_course()


@pytest.fixture
def coordinator(client, course):
    client.force_login(make_staff("ada", course=course))
    return client


def table(**first_row):
    head = "section,group,station,vial,standard_mass_g,unknown_mass_g,tube,percent_T"
    rows = [
        f"A1,1,4,,{first_row.get('mass', '0.21')},0.25,{tube},{value:.1f}"
        for tube, value in perfect_readings().items()
    ]
    return SimpleUploadedFile("readings.csv", "\n".join([head, *rows]).encode())


def upload(client, course, **fields):
    address = reverse("course-import", args=[course.code])
    return client.post(address, fields, follow=True)


def test_a_table_in_order_is_received(coordinator, course):
    answer = upload(coordinator, course, table=table(), create="on")

    assert b"Received 7 readings of 1 groups." in answer.content
    assert Submission.objects.get().source == "table"


def test_a_table_with_a_slip_names_its_row(coordinator, course):
    answer = upload(coordinator, course, table=table(mass="heavy"), create="on")

    assert answer.status_code == 422
    assert b"Nothing was received; these rows need mending" in answer.content
    assert not Submission.objects.exists()


def test_an_import_without_a_file_asks_for_one(coordinator, course):
    answer = upload(coordinator, course)

    assert answer.status_code == 422
    assert b"Choose a file first." in answer.content
