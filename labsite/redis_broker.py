"""Redis as the broker: a worker that outlives it.

The library's own channel, closing, gives back messages that were fetched and not yet
begun. Without a server to give them to, it fails in a way that ends the worker. Here a
message only wakes: the sweep that comes next does as well.
"""

from kombu.transport import redis


class Channel(redis.Channel):
    """A channel that gives nothing back."""

    do_restore = False


class Transport(redis.Transport):
    """The library's transport with these channels."""

    Channel = Channel
