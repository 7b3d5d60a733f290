"""A Redis that ends while a worker has messages of it in hand."""

import socket
import subprocess

import pytest
from kombu import Connection
from kombu.simple import SimpleQueue

from labsite.broker import use_own_transports
from results.management import processes
from tests.processes.site import own_redis, wait_for


@pytest.fixture
def redis(tmp_path):
    """A server of one's own, and its address."""
    port, command = own_redis(tmp_path)
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    try:
        wait_for(
            lambda: processes.answers("127.0.0.1", port), within_s=10, what="Redis"
        )
        yield server, f"redis://127.0.0.1:{port}/0"
    finally:
        server.kill()
        server.wait()


@pytest.fixture
def lost(redis):
    """A connection that lost its server, and a message that it had in hand."""
    server, url = redis
    use_own_transports()
    connection = Connection(url)
    waking = connection.SimpleQueue("waking")
    waking.put("wake up")
    in_hand = waking.get(timeout=10)
    SimpleQueue(connection.channel(), "words to workers").consumer.consume()
    with pytest.raises(socket.timeout):
        connection.drain_events(timeout=0.1)
    server.kill()
    server.wait()
    return connection, in_hand


def close(connection):
    """Close as a worker does that is about to make another connection."""
    connection.collect()
    connection.close()


def test_a_connection_with_messages_in_hand_can_be_closed_after_its_server_ended(lost):
    connection, _ = lost

    close(connection)

    assert not connection.connected


def test_a_message_of_a_closed_connection_is_told_of_with_an_error_that_is_expected(
    lost,
):
    connection, in_hand = lost
    expected = connection.connection_errors
    close(connection)

    with pytest.raises(expected):
        in_hand.ack()
