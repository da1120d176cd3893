"""TLS before the listener: handshakes run beside the accepting, so that a silent client keeps nobody waiting.

A connection is accepted, its handshake is made in a loop of its own with a time limit, and what it says goes on to the
listener through a pair of sockets, under the sender's own address.
"""

import asyncio
import queue
import socket
import ssl
import threading
from contextlib import suppress
from typing import Any

from fieldapp.web.server.listener import SitePort

HANDSHAKE_S = 10.0
MOST_HANDSHAKES = 200
"""At once; further ones push out the oldest; our choice."""


class Inner(asyncio.Protocol):
    """The end of the pair that this side holds: what the listener answers goes out by TLS."""

    def __init__(self, outer: "Outer") -> None:
        self.outer = outer
        self.transport: Any = None

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """The pair is joined: now the client may speak."""
        self.transport = transport
        self.outer.speak()

    def data_received(self, data: bytes) -> None:
        """From the listener."""
        self.outer.transport.write(data)

    def connection_lost(self, _error: Exception | None) -> None:
        """The listener closed; what was written is sent first."""
        self.outer.transport.close()

    def pause_writing(self) -> None:
        """The listener reads slower than the client sends."""
        self.outer.transport.pause_reading()

    def resume_writing(self) -> None:
        """It caught up."""
        self.outer.transport.resume_reading()


class Outer(asyncio.Protocol):
    """One client, once its handshake is made."""

    def __init__(self, front: "Front", address: tuple[Any, ...]) -> None:
        self.front, self.address = front, address
        self.transport: Any = None
        self.inner: Inner | None = None

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """The handshake is made: join it with the listener."""
        self.transport = transport
        self.transport.pause_reading()
        ours, theirs = socket.socketpair()
        self.inner = Inner(self)
        joining = asyncio.get_running_loop().create_connection(lambda: self.inner or Inner(self), sock=ours)
        self.front.keep(asyncio.ensure_future(joining))
        self.front.hand_over(theirs, self.address)

    def speak(self) -> None:
        """What the client says is read from now on."""
        self.transport.resume_reading()

    def data_received(self, data: bytes) -> None:
        """From the client."""
        if self.inner is not None and self.inner.transport is not None:
            self.inner.transport.write(data)

    def connection_lost(self, _error: Exception | None) -> None:
        """The client is gone."""
        if self.inner is not None and self.inner.transport is not None:
            self.inner.transport.close()

    def pause_writing(self) -> None:
        """The client reads slower than the listener answers."""
        if self.inner is not None and self.inner.transport is not None:
            self.inner.transport.pause_reading()

    def resume_writing(self) -> None:
        """It caught up."""
        if self.inner is not None and self.inner.transport is not None:
            self.inner.transport.resume_reading()


class Front:
    """The loop in which handshakes are made and what clients say is deciphered."""

    def __init__(self, context: ssl.SSLContext, hand_over: Any) -> None:
        self.hand_over = hand_over
        self._context = context
        self._tasks: dict[asyncio.Future[Any], None] = {}
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._run, name="TLS", daemon=True)
        self._thread.start()

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        self._loop.set_exception_handler(lambda _loop, _context: None)   # clients that leave in the middle are no news
        self._loop.run_forever()
        for task in asyncio.all_tasks(self._loop):
            task.cancel()
        self._loop.run_until_complete(self._all_done())
        self._loop.close()

    async def _all_done(self) -> None:
        others = asyncio.all_tasks() - {asyncio.current_task()}
        await asyncio.gather(*others, return_exceptions=True)

    def welcome(self, connection: socket.socket, address: tuple[Any, ...]) -> None:
        """Begin the handshake with somebody; called by the listener's thread."""
        with suppress(RuntimeError):        # the loop is closed: this is the end
            self._loop.call_soon_threadsafe(self._begin, connection, address)

    def keep(self, task: asyncio.Future[Any]) -> None:
        """Hold on to a task until it is done; whatever it fails with, the client is gone."""
        self._tasks[task] = None
        task.add_done_callback(self._done)

    def _begin(self, connection: socket.socket, address: tuple[Any, ...]) -> None:
        while len(self._tasks) >= MOST_HANDSHAKES:
            oldest = next(iter(self._tasks))
            del self._tasks[oldest]
            oldest.cancel()
        self.keep(asyncio.ensure_future(self._shake(connection, address)))

    async def _shake(self, connection: socket.socket, address: tuple[Any, ...]) -> None:
        connection.setblocking(False)
        try:
            await self._loop.connect_accepted_socket(lambda: Outer(self, address), connection, ssl=self._context,
                                                     ssl_handshake_timeout=HANDSHAKE_S,
                                                     ssl_shutdown_timeout=HANDSHAKE_S)
        except BaseException:
            connection.close()
            raise

    def _done(self, task: asyncio.Future[Any]) -> None:
        self._tasks.pop(task, None)
        if not task.cancelled():
            task.exception()        # looked at, so that nothing is said of it

    def end(self) -> None:
        """Stop; connections are let go."""
        with suppress(RuntimeError):
            self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join(2)


class SecurePort(SitePort):
    """A listener whose connections come through a `Front`."""

    front: Front

    def begin(self, context: ssl.SSLContext) -> None:
        """Welcome clients from now on."""
        self._ready: queue.SimpleQueue[tuple[socket.socket, tuple[Any, ...]]] = queue.SimpleQueue()
        self.front = Front(context, self._hand_over)

    def run(self) -> None:
        """Answer until `stop` is called."""
        try:
            super().run()
        finally:
            self.front.end()

    def _hand_over(self, connection: socket.socket, address: tuple[Any, ...]) -> None:
        """Called by the front's thread: connections are opened by the listener's own."""
        self._ready.put((connection, address))
        with suppress(OSError):
            self.pull_trigger()

    def readable(self) -> bool:
        """Asked in every round of the loop: whoever has made the handshake comes in."""
        while not self._ready.empty():
            super().take_in(*self._ready.get())
        return super().readable()

    def take_in(self, connection: socket.socket, address: tuple[Any, ...]) -> None:
        """A fresh connection goes to its handshake first."""
        self.front.welcome(connection, address)
