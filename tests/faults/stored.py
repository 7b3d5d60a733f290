"""What a site has of what it promised: each sheet once, with its own answer."""

from collections import Counter, defaultdict
from dataclasses import dataclass, field

from tests.faults.phones import IRON_STEP

_STORED = """
    SELECT g.code, s.idempotency_key, s.id, s.revision, s.is_current, a.iron_percent
    FROM results_submission s
    JOIN results_group g ON g.id = s.group_id
    LEFT JOIN results_answer a ON a.submission_id = s.id
    WHERE s.source = 'api' ORDER BY g.code, s.revision
"""
_DOUBLED_ANSWERS = """
    SELECT count(*) - count(DISTINCT submission_id) FROM results_answer
"""
_TORN = """
    SELECT count(*) FROM results_submission s
    WHERE (SELECT count(*) FROM results_reading r WHERE r.submission_id = s.id) <> 7
"""
_FORGOTTEN = """
    SELECT count(*) FROM results_submission s WHERE NOT EXISTS
        (SELECT 1 FROM results_answer a WHERE a.submission_id = s.id)
    AND NOT EXISTS
        (SELECT 1 FROM results_pendingrecompute p WHERE p.submission_id = s.id)
"""


@dataclass
class Account:
    """Promised against stored, in numbers; all but the first two are to be 0."""

    acknowledged: int
    stored: int
    lost: int
    doubled: int
    wrong: int
    torn: int
    forgotten: int
    remarks: list[str] = field(default_factory=list)

    @property
    def is_clean(self):
        amiss = self.lost, self.doubled, self.wrong, self.torn, self.forgotten
        return not any(amiss) and not self.remarks


def account(site, ledger):
    """Compare what was promised up to now with what a site has."""
    receipts = list(ledger.receipts)
    promised = {(one.group, one.key) for one in receipts}
    rows = site.rows(_STORED)
    times = Counter((group, key) for group, key, *_ in rows)
    return Account(
        acknowledged=len(promised),
        stored=len(rows),
        lost=sum(which not in times for which in promised),
        doubled=sum(n - 1 for n in times.values()) + site.ask(_DOUBLED_ANSWERS),
        wrong=sum(
            iron is not None and abs(iron - ledger.sent[key]) > IRON_STEP / 4
            for _, key, _, _, _, iron in rows
        ),
        torn=site.ask(_TORN),
        forgotten=site.ask(_FORGOTTEN),
        remarks=[*_renamed(rows, receipts), *_misnumbered(rows), *ledger.faults],
    )


def unfinished(site):
    """Count submissions that wait for their answer, or were set aside."""
    return site.ask("SELECT count(*) FROM results_pendingrecompute")


def _renamed(rows, receipts):
    """Yield receipts that name another submission than the one under their key."""
    stored = {(group, key): (pk, revision) for group, key, pk, revision, *_ in rows}
    for one in receipts:
        found = stored.get((one.group, one.key))
        if found not in {None, (one.submission_id, one.revision)}:
            yield f"{one} is stored as {found}"


def _misnumbered(rows):
    """Yield groups whose revisions do not count up to the current one."""
    by_group = defaultdict(list)
    for group, _, _, revision, is_current, _ in rows:
        by_group[group].append((revision, bool(is_current)))
    for group, revisions in by_group.items():
        first = revisions[0][0]
        last = first + len(revisions) - 1
        if revisions != [(n, n == last) for n in range(first, last + 1)]:
            yield f"group {group} has the revisions {revisions}"
