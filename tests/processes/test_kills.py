"""Parts of a site killed at random moments: a few kills of the trial `make faults`."""

import pytest

from tests.faults.kills import Trial
from tests.faults.trial_site import site_with_parts

KILLS = 8
pytestmark = pytest.mark.timeout(300)


@pytest.mark.parametrize("database_kind", ["sqlite", "postgres"])
def test_nothing_that_was_received_is_lost_doubled_or_stuck_by_kills(
    tmp_path, database_kind
):
    with site_with_parts(database_kind, tmp_path, class_of=20) as (site, parts, slips):
        told = Trial(site, parts, slips, seed=1).run(KILLS)

    assert sum(told.kills.values()) == KILLS
    assert told.account.acknowledged > 0
    assert told.account.is_clean, told.account
