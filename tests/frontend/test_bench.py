import json
import re

import pytest
from django.urls import reverse

from results.models import Submission
from tests.factories import (
    make_bench,
    make_course,
    make_section,
    make_station,
    raw_submission,
    slip_code,
    submit,
    worked_off,
)
from tests.frontend.benches import sign_in, typed_sheet

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(client):
    bench = make_bench(slip=slip_code())
    sign_in(client)
    return bench


def send(client, **changes):
    return client.post(reverse("bench-sheet"), typed_sheet(**changes))


def box(content, name):
    return re.search(rf'<input[^>]*id="{name}"[^>]*>', content.decode()).group()


def test_the_sheet_shows_vial_chain_and_cautions(client, bench):
    content = client.get(reverse("bench-sheet")).content.decode()

    assert bench.vial.code in content
    assert "make up to <b>500 mL</b>" in content
    assert "current safety data sheet" in content


def test_standards_stand_from_pale_to_deep(client, bench):
    content = client.get(reverse("bench-sheet")).content.decode()

    tints = re.findall(r'data-tint="(\d)"', content)
    # The blank first and again after the standards, then the unknown tubes: all of
    # no known strength.
    assert tints == ["0", "1", "2", "3", "4", "6", "0", "0", "0"]


def test_every_rendering_brings_a_key_of_its_own(client, bench):
    keys = {
        re.search(rb'name="key" value="([^"]+)"', page.content).group(1)
        for page in (client.get(reverse("bench-sheet")) for _ in range(2))
    }

    assert len(keys) == 2


def test_readings_sent_lead_to_their_result(client, bench):
    answer = send(client)

    assert answer.url == reverse("bench-result", args=[1])
    assert Submission.objects.get().source == "page"


def test_a_comma_and_a_point_are_the_same(client, bench):
    send(client, standard_mass_g="0,2104", unknown_mass_g="0.2504")

    submission = Submission.objects.get()
    assert submission.standard_mass_g == 0.2104
    assert submission.unknown_mass_g == 0.2504


def test_a_script_is_told_where_the_result_is(client, bench):
    answer = client.post(
        reverse("bench-sheet"), typed_sheet(), headers={"accept": "application/json"}
    )

    assert answer.status_code == 201
    assert json.loads(answer.content) == {"revision": 1, "url": "/bench/result/1/"}


def test_the_same_key_sent_twice_is_one_submission(client, bench):
    answers = [send(client).url for _ in range(2)]

    assert answers == [reverse("bench-result", args=[1])] * 2
    assert Submission.objects.count() == 1


def test_a_used_key_with_other_numbers_gets_a_new_key(client, bench):
    send(client)

    again = send(client, standard_mass_g="0.2200")

    assert again.status_code == 422
    assert b'value="0.2200"' in again.content
    assert typed_sheet()["key"].encode() not in again.content


def test_a_refusal_keeps_everything_that_was_typed(client, bench):
    answer = send(
        client,
        **{"standard_mass_g": "210", "value-0": "93,25", "own_slope": "0,20"},
        left_out=["U2"],
    )

    assert answer.status_code == 422
    assert 'value="93,25"' in box(answer.content, "value-0")
    assert 'value="0,20"' in box(answer.content, "own_slope")
    assert b'name="left_out" value="U2" checked' in answer.content


def test_a_problem_stands_beside_its_box_and_in_the_list(client, bench):
    content = send(client, standard_mass_g="210").content

    assert 'aria-invalid="true"' in box(content, "standard_mass_g")
    assert 'aria-describedby="standard_mass_g-problem' in box(
        content, "standard_mass_g"
    )
    assert b'<a href="#standard_mass_g">210 looks like milligrams.' in content


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        ({"value-2": "13O"}, "value-2"),
        ({"value-3": ""}, "value-3"),
        ({"taken-1": "500"}, "taken-1"),
        ({"own_slope": "about 0.2"}, "own_slope"),
        ({"replicate-4": "0"}, "value-4"),
    ],
)
def test_each_problem_finds_its_box(client, bench, changes, name):
    content = send(client, **changes).content

    assert f'<a href="#{name}">'.encode() in content
    assert 'aria-invalid="true"' in box(content, name)


def test_a_missing_station_is_said_beside_the_choice(client, bench):
    content = send(client, station="").content.decode()

    assert 'id="station-problem"' in content
    assert 'href="#station"' in content


def test_a_tube_ticked_as_not_measured_is_left_out(client, bench):
    send(client, left_out=["2"])

    tubes = Submission.objects.get().readings.values_list("tube", flat=True)
    assert "2" not in tubes


def test_the_iron_in_the_first_flask_may_be_given_in_milligrams(client, bench):
    sheet = client.get(reverse("bench-sheet")).content.decode()
    client.post(reverse("bench-sheet"), typed_sheet(own_iron_mg="30,00"))

    assert "first flask, mg</label>" in sheet
    assert Submission.objects.get().own_iron_mg == "30.00"


def test_a_second_reading_takes_the_volume_of_its_tube(client, bench):
    again = {"tube-7": "1", "replicate-7": "2", "value-7": "80", "taken-0": "5.2"}

    send(client, **again)

    readings = Submission.objects.get().readings.filter(tube="1")
    assert list(readings.values_list("replicate", "taken_mL")) == [(1, 5.2), (2, 5.2)]


def test_absorbances_are_taken_on_their_own_scale(client, bench):
    make_station(bench.course, code="9", scale="absorbance")

    send(
        client,
        scale="absorbance",
        station="9",
        **{f"value-{i}": "0.4" for i in range(7)},
    )

    assert Submission.objects.get().scale == "absorbance"


def test_a_change_starts_from_what_was_sent(client, bench):
    raw = raw_submission(left_out=["U2"], percent_T={"U2": None, "1": 80.5})
    submit(bench.group, raw)

    content = client.get(reverse("bench-sheet")).content

    assert 'value="80.5"' in box(content, "value-0")
    assert b'name="left_out" value="U2" checked' in content
    assert b"Send revision 2" in content


def test_a_closed_section_says_so_and_keeps_what_was_typed(client, bench):
    bench.section.closes_at = "2020-01-01T00:00Z"
    bench.section.save()

    answer = send(client)

    assert answer.status_code == 422
    assert b"closed on 1 January" in answer.content


def test_a_course_without_a_protocol_asks_for_paper(client):
    make_bench(slip=slip_code(), section=make_section(make_course(protocol=False)))
    sign_in(client)

    shown, sent = client.get(reverse("bench-sheet")), send(client)

    assert (shown.status_code, sent.status_code) == (503, 422)
    assert b"no protocol yet" in shown.content


def test_the_result_waits_and_then_shows_the_line(client, bench):
    send(client)
    state = reverse("bench-result-state", args=[1])

    before = client.get(state).content
    worked_off()
    after = client.get(state).content

    assert b"data-waiting" in before
    assert b"data-waiting" not in after
    assert b'class="fit"' in after
    assert b"0.198" in after


def test_the_result_page_lists_every_revision(client, bench):
    send(client)
    send(client, key="another", unknown_mass_g="0.2600")

    content = client.get(reverse("bench-result-current")).content

    assert b"Revision 2</a>" in content
    assert b"Revision 1</a>" in content


def test_a_group_without_readings_is_led_to_its_sheet(client, bench):
    assert client.get(reverse("bench-result-current")).url == reverse("bench-sheet")


def test_a_revision_that_is_not_there_is_not_found(client, bench):
    answer = client.get(reverse("bench-result", args=[7]))

    assert answer.status_code == 404
    assert b"There is no revision 7" in answer.content


def test_iron_is_kept_back_until_the_course_shows_it(client):
    bench = make_bench(slip=slip_code(), iron_shown="on_release")
    submit(bench.group)
    worked_off()
    sign_in(client)

    content = client.get(reverse("bench-result-current")).content

    assert b"iron in your unknown, %" not in content
    assert b"shown when Iron, autumn releases it" in content


def test_what_a_group_sees_does_not_depend_on_the_assigned_value(client, time_machine):
    time_machine.move_to("2025-03-05T10:00Z", tick=False)
    pages = []
    for number, assigned in ((1, 12.0), (2, 9.0)):
        section = make_section(make_course(f"IRON-{number}"), "A1")
        bench = make_bench(
            iron_percent=assigned, slip=slip_code(number), section=section
        )
        submit(bench.group)
        worked_off()
        sign_in(client, number)
        pages.append(
            [
                re.sub(
                    rb'IRON-\d|(csrfmiddlewaretoken|key)" value="[^"]+"',
                    b"",
                    client.get(reverse(name)).content,
                )
                for name in ("bench-sheet", "bench-result-current")
            ]
        )

    assert pages[0] == pages[1]
