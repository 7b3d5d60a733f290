"""The background work of a course, laid out: a sentence, a bar, the last batches."""

from dataclasses import dataclass
from datetime import timedelta

from django.utils import timezone

from frontend.axes import Column
from frontend.numerals import counted
from results.summaries.work import Batch, CourseWork

WIDTH, HEIGHT = 360, 60
_MOST = 60
_MINUTE_S = 60
# A worker looks every five seconds by itself.
_OVERDUE_S = 30
_SILENT = timedelta(minutes=2)


@dataclass(frozen=True, slots=True)
class WorkPage:
    """Everything on the page.

    Attributes
    ----------
    done_percent : float
        Share of the current submissions that nothing is to be done for.
    columns : tuple of Column
        The last batches, oldest on the left; the height is the size.
    """

    headline: str
    advice: str
    done_percent: float
    time_left: str
    columns: tuple[Column, ...]
    largest: int
    is_waiting: bool


def work_page(work: CourseWork) -> WorkPage:
    """Lay the work out."""
    batches = list(reversed(work.batches[:_MOST]))
    largest = max((one.size for one in batches), default=0)
    return WorkPage(
        headline=_headline(work),
        advice=_advice(work),
        done_percent=_done(work),
        time_left=_time(work.left_s),
        columns=_columns(batches, largest),
        largest=largest,
        is_waiting=work.n_due > 0,
    )


def _headline(work: CourseWork) -> str:
    parked = work.queue.n_parked
    aside = f"; {counted(parked)} set aside" if parked else ""
    if work.n_due:
        noun = "submission is" if work.n_due == 1 else "submissions are"
        return f"{counted(work.n_due).capitalize()} {noun} being computed{aside}"
    if parked:
        noun = "submission is" if parked == 1 else "submissions are"
        return f"Nothing waits, but {counted(parked)} {noun} set aside"
    return "Nothing waits: every submission is computed"


def _advice(work: CourseWork) -> str:
    if work.queue.oldest_s < _OVERDUE_S:
        return ""
    last = work.lately.last_at
    if last is None or timezone.now() - last > _SILENT:
        return (
            f"The longest has waited {_time(work.queue.oldest_s)} and no worker was "
            "seen. Start one; nothing is lost meanwhile."
        )
    return (
        f"The longest has waited {_time(work.queue.oldest_s)}. Workers are busy; "
        "a further one would help."
    )


def _done(work: CourseWork) -> float:
    if not work.n_current:
        return 100.0
    return round(100 * max(0, work.n_current - work.n_due) / work.n_current, 1)


def _time(seconds: float | None) -> str:
    if seconds is None:
        return ""
    if seconds < _MINUTE_S:
        return f"{max(1, round(seconds))} s"
    return f"{round(seconds / _MINUTE_S)} min"


def _columns(batches: list[Batch], largest: int) -> tuple[Column, ...]:
    wide = WIDTH / _MOST
    return tuple(
        Column(
            round(index * wide, 2),
            round(HEIGHT * (1 - one.size / largest), 2),
            round(wide - 1, 2),
            round(HEIGHT * one.size / largest, 2),
        )
        for index, one in enumerate(batches)
    )
