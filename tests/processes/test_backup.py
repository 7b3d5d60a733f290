"""A backup brings back what was there, on either database."""

import json
import zipfile

import pytest

from tests.processes.site import Site

ENGINES = ["sqlite", "postgresql"]
# A dozen commands one after the other, each a process of its own.
pytestmark = pytest.mark.timeout(600)


@pytest.fixture
def stored(make_site, table, tmp_path):
    """A site with four computed groups, its backup and its answers as CSV."""

    def build(engine):
        site = make_site(engine)
        site.manage("import_readings", "iron", table("1234"), "--create")
        site.manage("recompute", "iron", "--wait")
        answers = site.manage("export_answers", "iron")
        file = tmp_path / "before.zip"
        said = site.manage("back_up", file)
        assert "Keep SECRET_KEY as well" in said
        return site, file, answers

    return build


@pytest.mark.parametrize("engine", ENGINES)
def test_what_was_lost_comes_back(stored, table, engine):
    site, file, answers = stored(engine)
    site.manage("import_readings", "iron", table("56"), "--create")
    site.manage("recompute", "iron", "--wait")
    assert site.manage("export_answers", "iron") != answers

    site.manage("restore", file, "--replace")

    assert site.manage("export_answers", "iron") == answers
    site.manage("migrate", "--check")
    # New rows get numbers of their own: sequences came back too.
    site.manage("import_readings", "iron", table("78"), "--create")


def test_what_cannot_be_restored_is_refused_and_changes_nothing(stored, tmp_path):
    site, file, answers = stored("sqlite")
    bad = {name: tmp_path / f"{name}.zip" for name in ("cut", "other", "lies", "newer")}
    bad["cut"].write_bytes(file.read_bytes()[:-500])
    bad["other"].write_text("no archive at all")
    rewritten(file, bad["lies"], copy=b"SQLite format 3 and lies")
    rewritten(file, bad["newer"], migration="results.9999_from_the_future")

    said = {
        name: site.refused("restore", one, "--replace") for name, one in bad.items()
    }
    unasked = site.refused("restore", file)

    assert all("damaged" in said[name] for name in ("cut", "other", "lies"))
    assert "results.9999_from_the_future. Upgrade." in said["newer"]
    assert "Add --replace" in unasked
    assert site.manage("export_answers", "iron") == answers


def test_a_backup_is_its_owners_and_is_never_overwritten(make_site, tmp_path):
    site, file = make_site(), tmp_path / "before.zip"
    site.manage("back_up", file)
    before = file.read_bytes()

    assert "never overwritten" in site.refused("back_up", file)
    assert file.read_bytes() == before
    assert file.stat().st_mode & 0o077 == 0


def test_another_secret_key_is_pointed_out(stored, tmp_path):
    _, file, answers = stored("sqlite")
    folder = tmp_path / "other"
    folder.mkdir()
    broker = f"filesystem://{folder / 'broker'}"
    other = Site(folder, f"sqlite:///{folder / 'site.sqlite3'}", broker)
    other.environment["SECRET_KEY"] = "another key, and as long as the first one was"

    complained = other.complained("restore", file)

    assert "slips have to be made anew" in complained
    assert other.manage("export_answers", "iron") == answers


def rewritten(file, new, *, copy=None, migration=None):
    """Write a backup again with another copy, or of one migration more."""
    with zipfile.ZipFile(file) as old, zipfile.ZipFile(new, "w") as archive:
        manifest = json.loads(old.read("manifest.json"))
        manifest["migrations"] += [migration] if migration else []
        archive.writestr("manifest.json", json.dumps(manifest))
        archive.writestr("database", copy or old.read("database"))
