import re

import pytest
from django.contrib.staticfiles import finders
from django.urls import reverse

from frontend.scripts import BENCH, HOME
from tests.factories import make_bench, slip_code
from tests.frontend.benches import sign_in


def test_the_worker_is_allowed_the_whole_site_and_asked_for_anew(client):
    answer = client.get(reverse("bench-worker"))

    assert answer["Service-Worker-Allowed"] == "/"
    assert answer["Cache-Control"] == "no-cache"
    assert answer["Content-Type"].startswith("text/javascript")


def test_the_worker_changes_with_what_it_holds(client, tmp_path, settings):
    before = client.get(reverse("bench-worker")).content
    style = tmp_path / "frontend" / "benchwide.css"
    style.parent.mkdir()
    style.write_text("body { margin: 1px; }")
    settings.STATICFILES_DIRS = [tmp_path]
    finders.get_finder.cache_clear()
    after = client.get(reverse("bench-worker")).content
    finders.get_finder.cache_clear()

    marks = [re.search(rb'"version": "(\w+)"', one).group(1) for one in (before, after)]
    assert marks[0] != marks[1]


@pytest.mark.django_db
def test_the_worker_holds_the_files_of_the_sheet_and_no_others(client):
    make_bench(slip=slip_code())
    sign_in(client)

    sheet = client.get(reverse("bench-sheet")).content.decode()
    worker = client.get(reverse("bench-worker")).content.decode()

    held = re.search(r'"files": \[([^\]]*)\]', worker).group(1)
    assert set(re.findall(r'"([^"]+)"', held)) == set(
        re.findall(r'(?:href|src)="([^"]+\?v=\w+)"', sheet)
    )


@pytest.mark.parametrize("bundle", [HOME, BENCH], ids=lambda one: one.route)
def test_scripts_of_this_version_are_kept_for_long_and_others_never(client, bundle):
    current = client.get(bundle.address)
    other = client.get(reverse(bundle.route), {"v": "000000000000"})

    assert "immutable" in current["Cache-Control"]
    assert other["Cache-Control"] == "no-cache"
    assert current.content == other.content
    assert current.content.count(b'"use strict";') == len(bundle.names)


@pytest.mark.django_db
def test_only_a_sheet_that_can_be_sent_is_marked_to_be_held(client):
    make_bench(slip=slip_code())
    sign_in(client)

    sheet = client.get(reverse("bench-sheet"))
    refused = client.post(reverse("bench-sheet"), {})

    assert sheet["Bench-Sheet"] == "1"
    assert "Bench-Sheet" not in refused
