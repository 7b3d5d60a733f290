"""Messages as files: who looks all the time never finds half of one."""

import json
import threading

import pytest
from kombu import Connection

from labsite.broker import use_own_transports

MESSAGES = 200


@pytest.fixture
def folder(tmp_path):
    use_own_transports()
    for name in ("messages", "control"):
        (tmp_path / name).mkdir()
    return tmp_path


def connect(folder):
    options = {
        "data_folder_in": str(folder / "messages"),
        "data_folder_out": str(folder / "messages"),
        "control_folder": str(folder / "control"),
    }
    return Connection("filesystem://localhost/", transport_options=options)


def test_a_message_is_whole_as_soon_as_it_is_seen(folder):
    def write():
        with connect(folder) as connection:
            for number in range(MESSAGES):
                message = {"number": number, "filling": "x" * 2000}
                connection.default_channel._put("work", message)

    writer = threading.Thread(target=write, daemon=True)
    writer.start()
    while writer.is_alive():
        for path in (folder / "messages").glob("*.msg"):
            assert json.loads(path.read_text())
    writer.join()

    assert len(list((folder / "messages").glob("*.work.msg"))) == MESSAGES


def test_what_was_put_is_taken(folder):
    with connect(folder) as connection, connection.SimpleQueue("work") as queue:
        queue.put({"number": 7})

        message = queue.get(timeout=5)

    assert message.payload == {"number": 7}
