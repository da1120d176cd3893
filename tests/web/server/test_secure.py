"""HTTPS beside HTTP: the site's own certificate, checked by the TLS of the standard library, and its renewal."""

import socket
import ssl
import urllib.request
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from flask import Flask
from owner_alone import owner_alone

from fieldapp.base.errors import ServeError
from fieldapp.web.common.addresses import HTTPS_OPEN
from fieldapp.web.server.https import Certificate, also_https, answering, open_secure, secure_words, site_certificate

HOSTS = ("127.0.0.1", "orchard.lan")


def _served(app: Flask, certificate: Certificate, name: str) -> int:
    """Status of the start page, asked by a client that trusts this certificate alone."""
    server = open_secure(app, "127.0.0.1", 0, certificate)
    trust = ssl.create_default_context(cafile=str(certificate.path))
    with answering(server), socket.create_connection(("127.0.0.1", int(server.effective_port)), timeout=10) as raw, \
            trust.wrap_socket(raw, server_hostname=name) as line:
        line.sendall(b"GET /find HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n")
        return int(line.recv(200).split()[1])


def test_a_client_that_trusts_the_certificate_finds_its_addresses_in_it(app: Flask, tmp_path: Path) -> None:
    certificate = site_certificate(tmp_path, HOSTS, datetime.now(UTC))
    assert [_served(app, certificate, name) for name in HOSTS] == [200, 200]
    with pytest.raises(ssl.SSLCertVerificationError):
        _served(app, certificate, "10.9.8.7")
    assert owner_alone(certificate.key_path)
    assert len(certificate.fingerprint.split(":")) == 32


def test_it_stays_until_it_no_longer_fits(tmp_path: Path) -> None:
    now = datetime(2026, 9, 12, tzinfo=UTC)
    first = site_certificate(tmp_path, HOSTS, now).fingerprint
    assert site_certificate(tmp_path, HOSTS[:1], now + timedelta(days=300)).fingerprint == first
    moved = site_certificate(tmp_path, (*HOSTS, "192.168.4.2"), now).fingerprint
    assert moved != first
    assert site_certificate(tmp_path, HOSTS, now + timedelta(days=380)).fingerprint not in (first, moved)


def test_a_broken_certificate_is_said_with_what_to_do(tmp_path: Path) -> None:
    certificate = site_certificate(tmp_path, HOSTS, datetime.now(UTC))
    certificate.path.write_text("no certificate")
    with pytest.raises(ServeError, match="is not a certificate"):
        site_certificate(tmp_path, HOSTS, datetime.now(UTC))


def test_plain_http_goes_on_and_phones_are_told_what_they_will_be_asked(app: Flask, tmp_path: Path) -> None:
    with also_https(app, tmp_path, ("http://10.0.0.1:8000", "127.0.0.1", 0)) as said:
        address = app.config[HTTPS_OPEN]
        assert address in said
        assert "not private" in said
        assert address in app.test_client().get("/live").text
        port = int(address.rpartition(":")[2])
        unchecked = ssl._create_unverified_context()
        with urllib.request.urlopen(f"https://127.0.0.1:{port}/ping", timeout=5, context=unchecked) as answer:
            assert answer.headers["Server"] == "raisebook"      # phones send what waits in them to no other
        with pytest.raises(ServeError, match=f"Start with --https-port {port + 1}"):
            open_secure(app, "127.0.0.1", port, site_certificate(tmp_path, HOSTS, datetime.now(UTC)))
        with pytest.raises(OSError):        # nobody speaks plain HTTP there, and nothing is redirected
            urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=5)


def test_the_fingerprint_is_said_in_full() -> None:
    certificate = Certificate(Path("c"), Path("k"), ":".join(["AB"] * 32))
    assert secure_words("https://10.0.0.1:8443", certificate).count("AB") == 32
