"""Outcomes of rushes as lines to read, and as the table that README.md holds."""

from tests.rush.timed import busiest, percentiles, rate

_KINDS = {
    "sign-in": "slip code or token",
    "page": "pages",
    "file": "styles and scripts",
    "draft": "boxes typed",
    "poll": "polls of the sheet",
    "submit": "sheets sent",
    "result": "polls of the result",
}

_BUSY = ("web", "worker", "PostgreSQL", "phones")


def details(outcome):
    """Yield what each kind of request took, and what went wrong."""
    crowd = outcome.crowd
    yield f"\n{outcome.rush.title}"
    yield f"  {'ms':20s} {'n':>7s} {'a second':>9s} {'p50':>6s} {'p95':>6s} {'p99':>6s}"
    for kind, words in _KINDS.items():
        if samples := crowd.timed.of(kind):
            head = f"  {words:20s} {len(samples):7,d} {rate(samples):9.1f}"
            ms = [f"{1e3 * one:6.0f}" for one in _cuts(samples, 50, 95, 99)]
            yield " ".join([head, *ms])
    for what, count in crowd.timed.errors().most_common():
        yield f"  {count} times {what}, tried again"
    for failure in crowd.failures:
        yield f"  GAVE UP: {failure}"
    for fault in outcome.compared.faults:
        yield f"  FAULT: {fault}"
    again = outcome.compared.computations - outcome.compared.computed
    yield f"  processors busy: web, workers, PostgreSQL, phones: {_processors(outcome)}"
    yield f"  answers computed once more because their class had grown: {again:,}"


def table(outcomes):
    """Yield the lines of README's table."""
    heads = [outcome.rush.title for outcome in outcomes]
    yield f"| | {' | '.join(heads)} |"
    yield f"|---|{'---|' * len(heads)}"
    for name, figure in _ROWS:
        yield f"| {name} | {' | '.join(figure(one) for one in outcomes)} |"


def _cuts(samples, *which):
    return percentiles([one.seconds for one in samples], *which)


def _ms(*kinds):
    def figure(outcome):
        cuts = _cuts(outcome.crowd.timed.of(*kinds), 50, 95, 99)
        return " / ".join(f"{1e3 * one:.0f}" for one in cuts)

    return figure


def _arrived(outcome):
    cuts = _cuts(outcome.crowd.timed.of("arrived"), 50, 95)
    return " / ".join(f"{one:.1f}" for one in cuts)


def _seen(outcome):
    seen = list(outcome.crowd.ledger.seen_after_s.values())
    return " / ".join(f"{one:.1f}" for one in percentiles(seen, 50, 95))


def _memory(outcome):
    roles = ("web", "worker", "scheduler")
    return ", ".join(f"{outcome.watched.most_mb[one]:.0f}" for one in roles)


def _processors(outcome):
    watched = outcome.watched
    shares = [watched.busy.get(one, 0.0) / watched.seconds for one in _BUSY]
    return ", ".join(f"{one:.2f}" for one in shares)


def _seconds_a_group(outcome):
    groups = outcome.rush.groups
    spent = [outcome.watched.busy.get(one, 0.0) / groups for one in _BUSY[:3]]
    return ", ".join(f"{one:.2f}" for one in spent)


def _kept(outcome):
    compared = outcome.compared
    counts = (compared.acknowledged, compared.stored, compared.computed)
    return ", ".join(f"{one:,}" for one in counts)


_ROWS = (
    ("a sheet is received, ms: p50 / p95 / p99", _ms("submit")),
    ("a box or a poll is answered, ms", _ms("draft", "poll", "result")),
    ("from the address to the sheet with its files, s: p50 / p95", _arrived),
    ("from the receipt to the answer on the phone, s: p50 / p95", _seen),
    (
        "from the last sheet until all have answers, s",
        lambda one: f"{one.crowd.ledger.rest_s:.1f}",
    ),
    (
        "requests a second: throughout; busiest 10 s",
        lambda one: (
            f"{rate(one.crowd.timed.requests):.0f}; "
            f"{busiest(one.crowd.timed.requests):.0f}"
        ),
    ),
    (
        "requests without an answer",
        lambda one: f"{one.crowd.timed.errors().total()}",
    ),
    ("sheets acknowledged, stored once, computed", _kept),
    ("processor seconds a group: web, workers, PostgreSQL", _seconds_a_group),
    ("most connections to PostgreSQL", lambda one: f"{one.watched.connections}"),
    ("MB: one web process, worker, scheduler", _memory),
)
