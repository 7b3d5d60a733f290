"""Any bytes given for a backup are one, or refused before anything is changed."""

import io
import json
import sqlite3
from contextlib import closing
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from results.management.backup import Manifest, read_backup
from results.management.engines import BackupRefused, SQLite
from tests.spoilt import examples, spoilt

COPY = b"a copy of the database, as long as it takes " * 40
SAID = {
    "format": 1,
    "made_at": "2025-03-04T14:00:00+00:00",
    "engine": "sqlite",
    "migrations": ["results.0001_first_records"],
    "rows": {"results_course": 1},
    "digest": sha256(COPY).hexdigest(),
    "key_mark": "0123456789abcdef",
}


def archive(said, copy=COPY):
    out = io.BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED) as packed:
        packed.writestr("manifest.json", said)
        packed.writestr("database", copy)
    return out.getvalue()


def read(content):
    with TemporaryDirectory() as folder:
        file = Path(folder) / "backup.zip"
        file.write_bytes(content)
        manifest, copy = read_backup(file, Path(folder))
        return manifest, copy.read_bytes()


def test_a_good_archive_is_read():
    assert read(archive(json.dumps(SAID))) == (Manifest(**SAID), COPY)


@examples(300)
@given(spoilt(archive(json.dumps(SAID))) | st.binary(max_size=60))
def test_any_bytes_are_a_backup_or_refused(content):
    try:
        manifest, copy = read(content)
    except BackupRefused:
        return
    assert sha256(copy).hexdigest() == manifest.digest


ODD = st.sampled_from(
    [None, -1, 1.5, "", "x", [], [1], [None], {}, {"a": "b"}, {"a": 1}]
)


@examples(200)
@given(name=st.sampled_from([*SAID, "more"]), odd=ODD)
def test_a_manifest_of_another_shape_is_refused(name, odd):
    try:
        manifest, _ = read(archive(json.dumps({**SAID, name: odd})))
    except BackupRefused:
        return
    assert isinstance(odd, type(SAID[name]))
    assert list(map(type, manifest.migrations)) in ([], [str])
    assert list(map(type, manifest.rows.values())) in ([], [int])


@pytest.mark.parametrize(
    "said",
    ["[" * 100_000, "[]", "null", "{}", '{"format": 1}', "\x00", '{"a": ' * 50_000],
)
def test_what_is_no_manifest_is_refused(said):
    with pytest.raises(BackupRefused, match="no backup"):
        read(archive(said))


def test_a_copy_that_is_no_sound_database_leaves_the_one_in_use(tmp_path):
    in_use, copy = tmp_path / "site.sqlite3", tmp_path / "database"
    for file, rows in ((in_use, 1), (copy, 5000)):
        with closing(sqlite3.connect(file)) as made, made:
            made.execute("CREATE TABLE kept (n INTEGER, words TEXT)")
            made.executemany(
                "INSERT INTO kept VALUES (?, ?)", [(n, "words") for n in range(rows)]
            )
    sound = copy.read_bytes()
    damaged = sound[:9000] + b"\xff" * 3000 + sound[12000:]
    for content in (damaged, sound[: len(sound) // 2], b"no database " * 99):
        copy.write_bytes(content)

        with pytest.raises(BackupRefused, match="nothing was changed"):
            SQLite(in_use).copy_in(copy)

    with closing(sqlite3.connect(in_use)) as site:
        assert site.execute("SELECT count(*) FROM kept").fetchone() == (1,)
