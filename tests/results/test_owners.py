"""What a worker ended over is taken up at once by the next run on its machine."""

import fcntl
import multiprocessing
import os
import signal
from datetime import timedelta
from uuid import UUID

import pytest
from django.db import OperationalError

from results import recompute
from results.models import Answer, PendingRecompute
from results.recompute import owners, pending, work
from tests.factories import NOW, make_bench, make_group, submit

SOON = NOW + timedelta(seconds=1)


@pytest.fixture(autouse=True)
def folder(settings, tmp_path):
    settings.CLAIMS_FOLDER = tmp_path / "claims"
    return settings.CLAIMS_FOLDER


@pytest.fixture
def waiting(db):
    bench = make_bench()
    for group in (bench.group, make_group(bench.section, "2")):
        submit(group)


@pytest.fixture
def database_ends(monkeypatch):
    """Let the database end while a batch is stored, once."""

    def end(*_):
        monkeypatch.undo()
        raise OperationalError

    monkeypatch.setattr(work, "_store", end)


def runs_till_killed(begun):
    with owners.at_work() as owner:
        begun.send(str(owner))
        signal.pause()


@pytest.fixture
def killed():
    """The owner that a process had which was killed at work."""
    here, there = multiprocessing.Pipe()
    process = multiprocessing.get_context("fork").Process(
        target=runs_till_killed, args=(there,)
    )
    process.start()
    owner = UUID(here.recv())
    with owners.left_behind() as ended:
        assert ended == []
    os.kill(process.pid, signal.SIGKILL)
    process.join()
    return owner


def test_what_a_killed_worker_held_is_computed_by_the_next_run(killed, waiting, folder):
    pending.claim(now=NOW, owner=killed)

    recompute.work_off(clock=lambda: SOON)

    assert Answer.objects.count() == 2
    assert not PendingRecompute.objects.exists()
    assert list(folder.iterdir()) == []


def test_what_a_living_worker_holds_stays_its_own(waiting):
    with owners.at_work() as owner:
        pending.claim(now=NOW, owner=owner)

        recompute.work_off(clock=lambda: SOON)

    assert Answer.objects.count() == 0


def test_what_the_database_ended_over_is_computed_by_the_next_run(
    waiting, database_ends
):
    with pytest.raises(OperationalError):
        recompute.work_off(clock=lambda: NOW)

    recompute.work_off(clock=lambda: SOON)

    assert Answer.objects.count() == 2


def test_while_the_database_is_away_nothing_is_forgotten(killed, waiting, monkeypatch):
    pending.claim(now=NOW, owner=killed)

    def away(*_, **__):
        raise OperationalError

    with monkeypatch.context() as without:
        without.setattr(pending, "free", away)
        with pytest.raises(OperationalError):
            recompute.work_off(clock=lambda: SOON)
    recompute.work_off(clock=lambda: SOON)

    assert Answer.objects.count() == 2


def test_what_workers_end_over_again_and_again_waits_for_its_lease(waiting):
    for _ in range(pending.MOST_ATTEMPTS):
        with owners.at_work() as owner:
            pending.claim(now=NOW, owner=owner)
        assert pending.claim(now=NOW).requests == {}
        freed = pending.free([owner], now=NOW)

    assert freed == 0
    assert not pending.claim(now=SOON).requests
    assert pending.claim(now=NOW + timedelta(hours=1)).requests


def test_a_machine_without_room_for_a_file_computes(waiting, folder):
    folder.parent.mkdir(parents=True, exist_ok=True)
    folder.write_text("no folder")

    recompute.work_off(clock=lambda: NOW)

    assert Answer.objects.count() == 2


def test_other_files_are_nobody_at_work(waiting, folder):
    folder.mkdir(parents=True)
    for name in ("notes.at-work", "notes.txt"):
        (folder / name).write_text("")

    with owners.left_behind() as ended:
        assert ended == []
    assert len(list(folder.iterdir())) == 2


def test_an_owner_is_locked_while_it_is_at_work(folder):
    with owners.at_work() as owner:
        (noted,) = folder.iterdir()
        assert str(owner) in noted.name
        with noted.open() as file, pytest.raises(BlockingIOError):
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)

    assert list(folder.iterdir()) == []
