"""Phones of one group that type, and send, at the same moment."""

from functools import partial

import pytest

from results import intake
from results.models import DraftEdit, SheetDraft
from results.summaries.drafts import draft_sheet
from tests.at_once import together
from tests.factories import NOW, make_bench, submit

pytestmark = pytest.mark.django_db(transaction=True)

NOW_MS = 1_741_096_800_000
PHONES = ("aaaaaaaa", "bbbbbbbb", "cccccccc", "dddddddd")


@pytest.fixture
def group():
    return make_bench().group


def types(group, phone, **boxes):
    edits = [
        {"field": name, "value": value, "stamp_ms": NOW_MS}
        for name, value in boxes.items()
    ]
    document = {"phone": phone, "sent_ms": NOW_MS, "edits": edits}
    return intake.take_edits(group_id=group.pk, document=document, received_at=NOW)


def test_phones_that_begin_a_sheet_at_once_share_it(group):
    together(
        *(
            partial(types, group, phone, station=phone, **{f"box-{phone}": "1"})
            for phone in PHONES
        )
    )

    sheet = draft_sheet(group.pk)
    # Of edits of one moment, that of the phone with the last name stands.
    assert sheet.boxes["station"].value == PHONES[-1]
    assert len(sheet.boxes["station"].earlier) == len(PHONES) - 1
    assert set(sheet.boxes) == {"station", *(f"box-{phone}" for phone in PHONES)}
    assert SheetDraft.objects.get().version == len(PHONES)


def test_a_message_that_comes_twice_at_once_changes_the_sheet_once(group):
    sheets = together(*[partial(types, group, PHONES[0], station="4")] * 4)

    assert {sheet.version for sheet in sheets} == {1}
    assert DraftEdit.objects.count() == 1


def test_typing_and_sending_at_once_lose_nothing(group):
    types(group, PHONES[0], standard_mass_g="0,21", station="4")

    together(
        partial(submit, group),
        partial(types, group, PHONES[1], standard_mass_g="0,22", vial="9"),
    )

    sheet = draft_sheet(group.pk)
    assert sheet.boxes["standard_mass_g"].value == "0,22"
    assert not sheet.boxes["standard_mass_g"].is_sent
    assert sheet.boxes["station"].is_sent
    assert not sheet.boxes["vial"].is_sent
