"""The production server's listener: connections that idle, dawdle or crowd out others give way, nobody waits for them.

One thread reads and writes all connections without ever waiting for one; a few others make the answers. What is added
here to the library's server: it never stops accepting, it lets go of idle and slow connections, and where it is full,
whoever has most of it gives up the connection that has been quiet longest.
"""

import errno
import select
import socket
import time
from collections import Counter
from collections.abc import Iterable
from contextlib import suppress
from typing import Any

from waitress import wasyncore
from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.server import TcpWSGIServer
from waitress.task import ThreadedTaskDispatcher

from fieldapp.photos.limits import MAX_PHOTO_BYTES
from fieldapp.web.common.addresses import neighbour

THREADS = 8
MOST_WITH_POLL, MOST_WITH_SELECT = 1000, 400
"""Connections; without `poll` the system takes 512 at a time, listeners and wake-up included. A phone opens up to six.
Source: measured and common practice, no source. Test: tests/web/server/test_neighbours.py"""
OTHER_FILES = 100
"""Open files that the program needs besides connections."""
IDLE_S = 15.0
"""After which a connection that says nothing is closed [s]; phones poll every 2.5 s."""
SLOWEST_BYTES_S = 4096
"""A request whose body arrives slower than this, after its first 15 s, is given up; our choice."""
MOST_BODIES_BYTES = 256 * 1024 * 1024
"""Of all bodies that are just arriving: more would fill the disk's folder for temporary files; our choice."""
MOST_HEADER_BYTES = 32 * 1024
MAX_BODY_BYTES = MAX_PHOTO_BYTES + 1024 * 1024
LOOK_EVERY_S = 2
ACCEPTS_AT_ONCE = 64


class Parser(HTTPRequestParser):  # type: ignore[misc]
    """Asks a client to go on only where there is something to go on with: else both would wait for ever."""

    def received(self, data: bytes) -> int:
        """Take in some bytes; gives how many belonged to this request."""
        taken: int = super().received(data)
        if self.completed:
            self.expect_continue = False
        return taken


class PhoneConnection(HTTPChannel):  # type: ignore[misc]
    """One connection."""

    parser_class = Parser
    began_at = 0.0
    """When the request that is not there as a whole yet began to arrive."""

    def received(self, data: bytes) -> bool:
        """Take in some bytes."""
        if self.request is None:
            self.began_at = time.time()
        going_on: bool = super().received(data)
        return going_on

    @property
    def body_bytes(self) -> int:
        """Of the request that is just arriving."""
        return self.request.body_bytes_received if self.request is not None else 0

    def is_spent(self, now: float) -> bool:
        """True if it idles, or dawdles over one request."""
        if self.requests:
            return False
        late_s = now - self.began_at - IDLE_S if self.request is not None else 0.0
        return now - self.last_activity > IDLE_S or late_s > self.body_bytes / SLOWEST_BYTES_S


class SitePort(TcpWSGIServer):  # type: ignore[misc]
    """The port and all connections to it."""

    channel_class = PhoneConnection
    next_channel_cleanup = 0.0
    _stopping = False

    def run(self) -> None:
        """Answer until `stop` is called, or the main thread is told to end."""
        super().run()
        wasyncore.close_all(self._map)

    def stop(self) -> None:
        """From another thread: finish what is being answered, and end `run`."""
        self._stopping = True
        with suppress(OSError, ValueError):     # it has ended before
            self.pull_trigger()

    def readable(self) -> bool:
        """Always: nobody is kept waiting before the door."""
        if self._stopping:
            raise SystemExit
        now = time.time()
        if now >= self.next_channel_cleanup:
            self.next_channel_cleanup = now + LOOK_EVERY_S
            self.maintenance(now)
        return bool(self.accepting)

    def handle_accept(self) -> None:
        """Take in whoever waits, and make room where there is none."""
        for _ in range(ACCEPTS_AT_ONCE):
            try:
                taken = self.accept()
            except OSError as error:
                if error.errno not in (errno.EMFILE, errno.ENFILE) or not self.make_room():
                    return
                continue
            if taken is None:
                return
            with suppress(OSError):     # it may be gone again
                self.set_socket_options(taken[0])
                self.take_in(*taken)

    def take_in(self, connection: socket.socket, address: tuple[Any, ...]) -> None:
        """A connection whose sender is known."""
        if len(self.active_channels) >= self.adj.connection_limit and not self.make_room():
            connection.close()
            return
        self.channel_class(self, connection, address, self.adj, map=self._map)

    def make_room(self) -> bool:
        """Close the quietest connection of whoever has most; False if all are just being answered."""
        victim = quietest_of_greediest(self.active_channels.values())
        if victim is not None:
            victim.handle_close()
        return victim is not None

    def maintenance(self, now: float) -> None:
        """Let go of idle and slow connections, and of the largest uploads where all together are too large."""
        for line in list(self.active_channels.values()):
            if line.is_spent(now):
                line.will_close = True
        arriving = sorted(self.active_channels.values(), key=lambda line: line.body_bytes)
        while sum(line.body_bytes for line in arriving) > MOST_BODIES_BYTES:
            arriving.pop().will_close = True


def quietest_of_greediest(lines: Iterable[PhoneConnection]) -> PhoneConnection | None:
    """Of those who have most connections, the one that has been quiet longest; none that is just being answered."""
    free = [line for line in lines if not line.requests]
    having = Counter(neighbour(line.addr[0]) for line in free)
    return max(free, key=lambda line: (having[neighbour(line.addr[0])], -line.last_activity), default=None)


def most_connections() -> int:
    """As many as this system can watch, and may open."""
    most = MOST_WITH_POLL if hasattr(select, "poll") else MOST_WITH_SELECT
    try:
        import resource  # not on Windows
    except ImportError:
        return most
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = most + OTHER_FILES
    with suppress(ValueError, OSError):     # macOS refuses numbers that it names as its limit
        if soft != resource.RLIM_INFINITY and soft < wanted:
            allowed = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
            resource.setrlimit(resource.RLIMIT_NOFILE, (allowed, hard))
            soft = allowed
    return most if soft == resource.RLIM_INFINITY else max(OTHER_FILES, min(most, soft - OTHER_FILES))


def listen(app: Any, host: str, port: int, *, kind: type[SitePort] = SitePort, scheme: str = "http",
           most: int = MOST_WITH_POLL) -> Any:
    """Take the port; requests are answered once `run` of the result is called.

    Parameters
    ----------
    app : WSGI application
    host, port
        Where to answer.
    kind : type, optional
        Of listener.
    scheme : str, optional
        What its clients speak.
    most : int, optional
        Connections at once, if this system can open as many.

    Raises
    ------
    OSError
        If the port cannot be opened.
    ValueError
        If the host is no address of this machine.
    """
    asked = Adjustments(host=host, port=port, threads=THREADS, ident="raisebook", channel_timeout=IDLE_S,
                        connection_limit=min(most, most_connections()), max_request_body_size=MAX_BODY_BYTES,
                        url_scheme=scheme, max_request_header_size=MOST_HEADER_BYTES,
                        clear_untrusted_proxy_headers=True,
                        asyncore_use_poll=hasattr(select, "poll"), log_socket_errors=False)
    workers = ThreadedTaskDispatcher()
    workers.set_thread_count(asked.threads)
    try:
        return kind(app, {}, dispatcher=workers, adj=asked, sockinfo=asked.listen[0])
    except BaseException:
        workers.shutdown()
        raise
