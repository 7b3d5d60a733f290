"""The page on which a protocol is written, drawn and adopted."""

import pytest

from results.models import Course, Protocol
from tests.factories import make_lot
from tests.frontend.prepared import filled, page, press, text

pytestmark = pytest.mark.django_db


def test_a_protocol_is_looked_at_then_adopted(ada):
    boxes = filled(page(ada, "prepare-protocol"))
    boxes["standard-mass_g"] = "0,1800"

    shown = press(ada, "prepare-protocol", **boxes, look="1")
    assert "This is what would be adopted; nothing is yet" in text(shown)
    assert "0.18 g" in text(shown)
    assert Protocol.objects.count() == 1
    done = press(ada, "prepare-protocol", **filled(shown), adopt="1")

    assert done.status_code == 302
    assert Protocol.objects.get(version=2).document["standard"]["mass_g"] == 0.18
    after = text(page(ada, "prepare-protocol"))
    assert "Mass of the salt, g: 0.21 → 0.18" in after
    assert "Start from version 1" in after


def test_looking_changes_nothing_and_adopting_the_same_makes_no_version(ada):
    boxes = filled(page(ada, "prepare-protocol"))

    press(ada, "prepare-protocol", **boxes, adopt="1")

    assert Protocol.objects.count() == 1


def test_a_protocol_that_needs_mending_keeps_everything_typed(ada):
    boxes = filled(page(ada, "prepare-protocol"))
    boxes |= {"standards-1-take_mL": "lots", "title": "Second go", "cautions": "Mind."}

    answer = press(ada, "prepare-protocol", **boxes, adopt="1")

    assert answer.status_code == 422
    content = text(answer)
    assert "One thing needs mending; nothing typed is lost" in content
    assert 'id="standards-1-take_mL-problem"' in content
    assert 'value="lots"' in content
    assert 'value="Second go"' in content
    assert ">Mind.</textarea>" in content


def test_a_version_adopted_meanwhile_is_shown_first(ada):
    boxes = filled(page(ada, "prepare-protocol")) | {"develop_min": "25"}
    Protocol.objects.create(
        course=Course.objects.get(),
        version=2,
        document=Protocol.objects.get().document | {"develop_min": 12},
        adopted_at="2025-03-04T14:00Z",
    )

    answer = press(ada, "prepare-protocol", **boxes, adopt="1")

    assert answer.status_code == 409
    assert "Version 2 was adopted meanwhile" in text(answer)
    assert 'value="25"' in text(answer)


def test_a_script_gets_the_picture_alone(ada):
    boxes = filled(page(ada, "prepare-protocol"))

    answer = press(ada, "prepare-protocol", **boxes, look="1", part="1")
    broken = press(
        ada, "prepare-protocol", **boxes | {"path_cm": "x"}, look="1", part="1"
    )

    assert "<html" not in text(answer)
    assert text(answer).count("<svg") == 3
    assert broken.status_code == 422
    assert "It cannot be drawn until one thing is mended" in text(broken)
    assert '<a href="#path_cm">Path, cm</a>: Must be a number' in text(broken)


def test_warnings_name_the_lot_and_do_not_refuse(ada):
    make_lot(code="L9", iron_percent=40.0)
    boxes = filled(page(ada, "prepare-protocol")) | {"develop_min": "20"}

    shown = press(ada, "prepare-protocol", **boxes, look="1")
    done = press(ada, "prepare-protocol", **boxes, adopt="1")

    assert "above the strongest standard (2.98 mg/L) for lot L9 (40 %)" in text(shown)
    assert done.status_code == 302


def test_a_course_without_a_protocol_gets_one_to_start_from(ada):
    Protocol.objects.all().delete()

    answer = page(ada, "prepare-protocol")

    assert "No protocol yet; here is one to start from" in text(answer)
    assert (
        press(ada, "prepare-protocol", **filled(answer), adopt="1").status_code == 302
    )
    assert Protocol.objects.get().version == 1


def test_a_range_that_is_none_is_named_at_its_box(ada):
    boxes = filled(page(ada, "prepare-protocol")) | {"to_percent": "140"}

    answer = press(ada, "prepare-protocol", **boxes, look="1")

    assert answer.status_code == 422
    assert 'id="to_percent-problem"' in text(answer)
