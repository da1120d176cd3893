"""Runs the pages on the production server: opens the port, says where, stops cleanly."""

import errno
import gc
import io
import logging
import signal
import socket
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from types import FrameType
from typing import Any, NoReturn

import qrcode
from flask import Flask

from fieldapp.base.errors import ServeError
from fieldapp.web.cards.foreseen import FORESEEN, FORESEES
from fieldapp.web.common.addresses import PHONES_OPEN, address_advice, own_addresses, resolved, site_address
from fieldapp.web.common.beside import EXTENSION as BESIDE
from fieldapp.web.common.beside import Beside
from fieldapp.web.common.context import PATIENCE
from fieldapp.web.common.practice import CONFIG as PRACTICE
from fieldapp.web.common.rights import EXTENSION as RIGHTS
from fieldapp.web.common.rights import Rights
from fieldapp.web.server.listener import listen

PATIENCE_S = 0.03
"""Eight phones that wait for one long answer would keep all others waiting."""
ALL_INTERFACES, LOOPBACK = "0.0.0.0", "127.0.0.1"

MOUNTED = "raisebook mounted"
"""Extension: applications that answer below the one that is served."""

TellTerminal = Callable[[str], None]

SERVICE = "_http._tcp.local."
TELLING_S = 3.0


def open_server(app: Flask, port: int, *, host: str = ALL_INTERFACES) -> Any:
    """Take the port; requests are answered once `run` of the result is called.

    Raises
    ------
    ServeError
        If the port is in use, may not be used, or the address is not this machine's.
    """
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)     # a short queue is no news to people on site
    if not 0 <= port <= 65535:
        raise ServeError(f"port must be 0 to 65535, got {port}")
    try:
        return listen(app, host, port)
    except (OSError, ValueError) as error:
        raise ServeError(_why_not(error, host, port)) from error


def _why_not(error: Exception, host: str, port: int) -> str:
    code = getattr(error, "errno", None)
    if code == errno.EADDRINUSE:
        return (f"port {port} is in use by another program, perhaps by a raisebook that still runs. "
                f"Stop that one, or start with --port {port + 1}.")
    if code == errno.EACCES:
        return f"port {port} may not be opened by this user; ports from 1024 up may. Start with --port 8000."
    if code == errno.EADDRNOTAVAIL or isinstance(error, ValueError):
        return f"{host} is not an address of this machine; it has {', '.join(own_addresses()) or 'none'}."
    return f"port {port} cannot be opened: {error}"


def terminal_symbol(text: str) -> str:
    """A QR symbol drawn with half blocks, for a dark or light terminal; words where it has no such letters.

    Examples
    --------
    >>> len(terminal_symbol("http://10.0.0.1:8000").splitlines()) > 10
    True
    """
    code = qrcode.QRCode(border=4, error_correction=qrcode.ERROR_CORRECT_L)
    code.add_data(text)
    code.make(fit=True)
    out = io.StringIO()
    code.print_ascii(out=out, invert=True)
    try:
        out.getvalue().encode(sys.stdout.encoding or "utf-8")
    except (UnicodeEncodeError, LookupError):
        return "(This terminal cannot draw the symbol: print paper/join.pdf, or type the address.)\n"
    return out.getvalue()


def phones_open(printed_address: str, own: tuple[str, ...], port: int) -> str:
    """The address that phones are told: the printed one if it leads here."""
    printed = site_address(printed_address)
    if not address_advice(printed, own, port, seen=resolved(printed.host)):
        return printed.text
    return f"http://{own[0]}:{port}" if own else f"http://127.0.0.1:{port}"


def opening_words(printed_address: str, own: tuple[str, ...], port: int, *, name: str, join_code: str = "") -> str:
    """What the terminal says at the start: the address, its symbol, and what does not fit the labels."""
    printed = site_address(printed_address)
    advice = address_advice(printed, own, port, seen=resolved(printed.host))
    address = phones_open(printed_address, own, port)
    others = [f"   also http://{other}:{port}" for other in own if f"http://{other}:{port}" != address]
    join: tuple[str, ...] = ()
    scanned = address
    if join_code:
        join = (f"Phones that scan this may write, and so may those that type {join_code} at {address}/join",)
        scanned = f"{address}/JOIN/{join_code}"
    return "\n".join([f"{name}: phones open {address}", *others, "", terminal_symbol(scanned), *join, *advice,
                      "Stop with Ctrl-C."])


def serve(app: Flask, *, port: int, printed_address: str, name: str, report: TellTerminal = print,
          host: str = ALL_INTERFACES, join_code: str = "", show: TellTerminal | None = None) -> None:
    """Serve until told to stop (Ctrl-C or SIGTERM); running requests finish first.

    `show` opens the laptop's own page in a browser.

    Raises
    ------
    ServeError
        If the port cannot be opened.
    """
    server = open_server(app, port, host=host)
    port = server.effective_port
    own = own_addresses() if host == ALL_INTERFACES else (host,)
    announce_at = own if host == ALL_INTERFACES else ()
    whole = (app, *app.extensions.get(MOUNTED, ()))
    for each in whole:
        each.config.update({PATIENCE: PATIENCE_S, FORESEES: True,
                            PHONES_OPEN: phones_open(printed_address, own, port)})
    try:
        with stopping_on_signals(), _announced(port, announce_at, report):
            report(opening_words(printed_address, own, port, name=name, join_code=join_code))
            _open_here(app, f"http://{LOOPBACK if host == ALL_INTERFACES else host}:{port}", report, show=show)
            at_work: Beside | None = app.extensions.get(BESIDE)
            if at_work is not None:
                at_work.begun("first page", "", lambda: _warm_up(app))
            server.run()
    except (SystemExit, KeyboardInterrupt):     # came before or after the server's own loop, which takes them itself
        pass
    finally:
        server.close()
        for each in whole:
            for worker in (BESIDE, FORESEEN):
                if worker in each.extensions:
                    each.extensions[worker].stop()
    report("Stopped." if app.config.get(PRACTICE) else "Stopped. Everything that was answered is in the log.")


def _open_here(app: Flask, address: str, report: TellTerminal, *, show: TellTerminal | None) -> None:
    """Tell the laptop's own address, and the next one as soon as it was used."""
    held: Rights | None = app.extensions.get(RIGHTS)
    if held is None:
        return

    def tell(path: str, words: str) -> None:
        report(f"{words} {address}{path}")

    held.laptop.told = lambda path: tell(path, "A browser has this laptop's rights now. If that was not you, stop and "
                                               "start again. For another browser, once:")
    tell(held.laptop.path, "On this laptop itself open, once:")
    if show is not None:
        show(address + held.laptop.path)


def _warm_up(app: Flask) -> None:
    """Read all templates and compute a first page before the first phone asks; what is here by then stays."""
    for name in app.jinja_env.list_templates():
        app.jinja_env.get_template(name)
    app.test_client().get("/")
    gc.collect()
    gc.freeze()     # kit, frame and plan are not gone through again with every large collection


def _announced(port: int, addresses: tuple[str, ...], report: TellTerminal) -> AbstractContextManager[None]:
    return announced("raisebook", port, addresses, told=lambda address: report(f"Also known as {address}"))


@contextmanager
def stopping_on_signals() -> Iterator[None]:
    """While inside, SIGTERM ends the server's loop like Ctrl-C does; outside the main thread nothing changes."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGTERM, _stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


def _stop(number: int, frame: FrameType | None) -> NoReturn:
    raise SystemExit(0)


class Announcement:
    """One name told to the network, in the background: it takes a second, and the start does not wait for it."""

    def __init__(self, name: str, port: int, addresses: tuple[str, ...]) -> None:
        self.address = f"http://{name}.local:{port}"
        self._name, self._port, self._addresses = name, port, addresses
        self._close: Callable[[], None] | None = None

    def tell(self, told: Callable[[str], None]) -> None:
        """Announce, then call `told` with the address; whatever fails, the site goes on without."""
        from zeroconf import ServiceInfo, Zeroconf  # costs a quarter of a second, and only `serve` needs it

        try:
            packed = [socket.inet_aton(address) for address in self._addresses]
            info = ServiceInfo(SERVICE, f"{self._name}.{SERVICE}", port=self._port, server=f"{self._name}.local.",
                               addresses=packed, properties={"path": "/"})
            service = Zeroconf(interfaces=list(self._addresses))
            self._close = service.close
            service.register_service(info, allow_name_change=True)
        except Exception:  # zeroconf raises many kinds, and none of them may stop the site
            return
        told(self.address)

    def close(self) -> None:
        """Take the name back."""
        if self._close:
            self._close()


@contextmanager
def announced(name: str, port: int, addresses: tuple[str, ...], *, told: Callable[[str], None]) -> Iterator[None]:
    """While inside, `http://<name>.local:<port>` leads here, if the network lets it; `told` hears when it does."""
    announcement = Announcement(name, port, addresses)
    teller = threading.Thread(target=announcement.tell, args=(told,), daemon=True)
    if addresses:
        teller.start()
    try:
        yield
    finally:
        if addresses:
            teller.join(TELLING_S)
            announcement.close()
