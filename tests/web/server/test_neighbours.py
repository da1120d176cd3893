"""Bad neighbours of the listener: silent, idle, slow and greedy connections, on loopback and bounded.

Figures with hundreds of connections: `python -m pytest -m bench -s tests/bench/bench_neighbours.py`.
"""

import re
import socket
import ssl
import sys
import threading
import time
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime
from types import SimpleNamespace

import pytest

from fieldapp.web.server import listener
from fieldapp.web.server.https import open_secure, site_certificate
from fieldapp.web.server.listener import PhoneConnection, SitePort, listen, most_connections, quietest_of_greediest

LOOPBACK = "127.0.0.1"
WHOLE = re.compile(rb"\r\n\r\n.+", re.DOTALL)
GET = b"GET / HTTP/1.1\r\nHost: x\r\n\r\n"


def answered(environ, start):
    body = str(len(environ["wsgi.input"].read())).encode()
    start("200 OK", [("Content-Length", str(len(body)))])
    return [body]


@contextmanager
def serving(server):
    running = threading.Thread(target=server.run, daemon=True)
    running.start()
    try:
        yield int(server.effective_port)
    finally:
        server.stop()
        running.join(10)


@pytest.fixture(scope="module")
def port():
    """A listener with room for twelve."""
    with serving(listen(answered, LOOPBACK, 0, most=12)) as found:
        yield found


def connected(port, source=LOOPBACK):
    return socket.create_connection((LOOPBACK, port), timeout=5, source_address=(source, 0))


def says(line, sent):
    line.sendall(sent)
    said = line.recv(4000)
    while not said.startswith(b"HTTP/1.1 100") and not WHOLE.search(said) and (more := line.recv(4000)):
        said += more
    return said


def test_a_crowd_of_idle_connections_stops_nobody(port):
    with ExitStack() as crowd:
        idle = [crowd.enter_context(connected(port)) for _ in range(30)]
        with connected(port) as line:
            assert b" 200 OK" in says(line, GET)
        assert b" 200 OK" in says(idle[-1], GET)        # the newest still have their place
        assert idle[0].recv(10) == b""                  # the oldest gave up theirs


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="one loopback address only")
def test_who_has_most_makes_room_and_others_keep_their_place(port):
    with ExitStack() as crowd:
        quiet = crowd.enter_context(connected(port, "127.0.0.2"))
        assert b" 200 OK" in says(quiet, GET)
        for _ in range(40):
            crowd.enter_context(connected(port))
        assert b" 200 OK" in says(quiet, GET)


def test_what_is_just_being_answered_is_not_cut_off():
    def line(address, last, at_work):
        return SimpleNamespace(addr=(address, 1), last_activity=last, requests=[1] * at_work)

    lines = [line("10.0.0.1", 5, 1), line("10.0.0.1", 6, 0), line("10.0.0.1", 7, 0), line("10.0.0.2", 1, 0)]
    assert quietest_of_greediest(lines) is lines[1]
    assert quietest_of_greediest(lines[:1]) is None


@pytest.mark.parametrize(("idle_s", "began_s", "body", "spent"), [
    (1, None, 0, False), (16, None, 0, True),               # kept open, quiet
    (1, 14, 0, False), (1, 16, 0, True),                    # a head drop by drop
    (1, 60, 300_000, False), (1, 60, 100_000, True)])       # a body over bad Wi-Fi, and one drop by drop
def test_idle_and_dawdling_connections_are_let_go(idle_s, began_s, body, spent):
    now = time.time()
    request = None if began_s is None else SimpleNamespace(body_bytes_received=body)
    line = SimpleNamespace(requests=[], request=request, last_activity=now - idle_s, began_at=now - (began_s or 0),
                           body_bytes=body)
    assert PhoneConnection.is_spent(line, now) is spent
    line.requests = [1]
    assert not PhoneConnection.is_spent(line, now)


def test_a_quiet_connection_is_closed_by_itself(monkeypatch):
    monkeypatch.setattr(listener, "IDLE_S", 0.2)
    monkeypatch.setattr(listener, "LOOK_EVERY_S", 0.1)
    with serving(listen(answered, LOOPBACK, 0)) as port, connected(port) as quiet:
        quiet.settimeout(30)
        assert quiet.recv(10) == b""
        with connected(port) as other:
            assert b" 200 OK" in says(other, GET)


def test_uploads_that_would_fill_the_disk_together_are_cut_at_the_largest(monkeypatch):
    monkeypatch.setattr(listener, "MOST_BODIES_BYTES", 100)
    lines = [SimpleNamespace(body_bytes=size, will_close=False, is_spent=lambda now: False) for size in (60, 10, 70)]
    SitePort.maintenance(SimpleNamespace(active_channels=dict(enumerate(lines))), 0.0)
    assert [line.will_close for line in lines] == [False, False, True]


@pytest.mark.parametrize(("sent", "said"), [
    (b"GET / HTTP/1.1\r\nHost: x\r\nExpect: 100-continue\r\n\r\n", b"HTTP/1.1 200 OK"),
    (b"GET / HTTP/1.1\r\nHost: x\r\nContent-Length: 0\r\nExpect: 100-continue\r\n\r\n", b"HTTP/1.1 200 OK"),
    (b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 2\r\nExpect: 100-continue\r\n\r\nab", b"HTTP/1.1 100 Continue"),
    (b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 99999999\r\nExpect: 100-continue\r\n\r\n", b"HTTP/1.1 413")])
def test_a_client_that_asks_before_it_sends_is_answered(port, sent, said):
    with connected(port) as line:
        assert says(line, sent).startswith(said)


def test_silent_clients_keep_nobody_from_https(tmp_path):
    certificate = site_certificate(tmp_path, (LOOPBACK,), datetime.now(UTC))
    trust = ssl.create_default_context(cafile=str(certificate.path))
    server = open_secure(answered, LOOPBACK, 0, certificate)
    with serving(server) as port, ExitStack() as crowd:
        silent = [crowd.enter_context(connected(port)) for _ in range(20)]
        for line in silent[:5]:
            line.sendall(b"\x16\x03\x01\x02")       # the beginning of a hello, then nothing
        with trust.wrap_socket(connected(port), server_hostname=LOOPBACK) as line:
            assert b" 200 OK" in says(line, GET)
            long = b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 3000000\r\n\r\n" + bytes(3_000_000)
            assert says(line, long).endswith(b"3000000")


def test_a_handshake_that_does_not_end_makes_room_for_others(tmp_path, monkeypatch):
    monkeypatch.setattr("fieldapp.web.server.tls.MOST_HANDSHAKES", 3)
    certificate = site_certificate(tmp_path, (LOOPBACK,), datetime.now(UTC))
    server = open_secure(answered, LOOPBACK, 0, certificate)
    with serving(server) as port, ExitStack() as crowd:
        silent = [crowd.enter_context(connected(port)) for _ in range(6)]
        assert silent[0].recv(1) == b""


@pytest.mark.parametrize(("has_poll", "files", "most"), [
    (True, (1024, 4096), 1000), (True, (256, 300), 200), (True, (64, 64), 100), (False, (1024, 4096), 400)])
def test_as_many_connections_as_the_system_can_watch(monkeypatch, has_poll, files, most):
    """Open files as a system allows them: what is soft is raised up to what is hard."""
    limits = SimpleNamespace(RLIMIT_NOFILE=7, RLIM_INFINITY=-1, set=[])
    limits.getrlimit = lambda what: files
    limits.setrlimit = lambda what, wanted: limits.set.append(wanted)
    monkeypatch.setitem(sys.modules, "resource", limits)
    monkeypatch.setattr(listener, "select", SimpleNamespace(**({"poll": None} if has_poll else {})))
    assert most_connections() == most
    assert all(soft <= hard == files[1] for soft, hard in limits.set)
    monkeypatch.setitem(sys.modules, "resource", None)          # as on Windows
    assert most_connections() == (1000 if has_poll else 400)
