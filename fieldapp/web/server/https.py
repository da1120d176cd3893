"""The second listener, HTTPS, for the few phones that scan live; plain HTTP stays the way in for all others."""

import ipaddress
import ssl
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID
from flask import Flask

from fieldapp.base.errors import ServeError
from fieldapp.kit.atomic import write_atomic
from fieldapp.web.common.addresses import HTTPS_OPEN, own_addresses, site_address
from fieldapp.web.common.context import laptop_now
from fieldapp.web.server.listener import listen
from fieldapp.web.server.tls import SecurePort

CERTIFICATE_FILE = "site-certificate.pem"
KEY_FILE = "site-certificate-key.pem"
LIFE = timedelta(days=397)
"""Some phones refuse server certificates that are valid for longer [days].
Source: common practice, no source. Test: tests/web/server/test_secure.py"""
RENEW_BEFORE = timedelta(days=30)
BACKDATED = timedelta(days=2)
"""Phones without internet may be a day wrong."""

MOST_SECURE = 300
"""Connections: only few phones scan live, and each takes three open files; our choice."""
STOP_WITHIN_S = 2


@dataclass(frozen=True, slots=True)
class Certificate:
    """Where it is kept, and how people tell it from another."""

    path: Path
    key_path: Path
    fingerprint: str
    """SHA-256, in pairs, as phones show it."""


def site_certificate(folder: Path, hosts: Sequence[str], now: datetime) -> Certificate:
    """The certificate of a kit folder for these addresses and names; a new one if the old does not fit.

    Raises
    ------
    ServeError
        If the files are there but cannot be read.
    KitError
        If they cannot be written.
    """
    path, key_path = folder / CERTIFICATE_FILE, folder / KEY_FILE
    if not (path.exists() and key_path.exists() and _fits(_read(path), hosts, now)):
        _write(path, key_path, hosts, now)
    digest = _read(path).fingerprint(hashes.SHA256()).hex().upper()
    return Certificate(path, key_path, ":".join(digest[i:i + 2] for i in range(0, len(digest), 2)))


def _read(path: Path) -> x509.Certificate:
    try:
        return x509.load_pem_x509_certificate(path.read_bytes())
    except (OSError, ValueError) as error:
        raise ServeError(f"{path} is not a certificate. Delete it, and {KEY_FILE}, to have new ones made.") from error


def _fits(found: x509.Certificate, hosts: Sequence[str], now: datetime) -> bool:
    names = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    held = {str(name.value) for name in names}
    return set(hosts) <= held and found.not_valid_before_utc <= now < found.not_valid_after_utc - RENEW_BEFORE


def _write(path: Path, key_path: Path, hosts: Sequence[str], now: datetime) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "raisebook site laptop")])
    made = (x509.CertificateBuilder().subject_name(name).issuer_name(name).public_key(key.public_key())
            .serial_number(x509.random_serial_number())
            .not_valid_before(now - BACKDATED).not_valid_after(now + LIFE)
            .add_extension(x509.SubjectAlternativeName([_general_name(host) for host in hosts]), critical=False)
            .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
            .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
            .sign(key, hashes.SHA256()))
    write_atomic(key_path, key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8,
                                             serialization.NoEncryption()), secret=True)
    write_atomic(path, made.public_bytes(serialization.Encoding.PEM))


def _general_name(host: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(host))
    except ValueError:
        return x509.DNSName(host)


def tls_context(certificate: Certificate) -> ssl.SSLContext:
    """What the listener speaks with."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.load_cert_chain(certificate.path, certificate.key_path)
    return context


def open_secure(app: Flask, host: str, port: int, certificate: Certificate) -> Any:
    """Take the port; requests are answered once `run` of the result is called.

    Raises
    ------
    ServeError
        If the port cannot be opened.
    """
    try:
        server = listen(app, host, port, kind=SecurePort, scheme="https", most=MOST_SECURE)
    except (OSError, ValueError) as error:
        raise ServeError(f"port {port} cannot be opened for HTTPS: {error}. "
                         f"Start with --https-port {port + 1}.") from error
    server.begin(tls_context(certificate))
    return server


@contextmanager
def answering(server: Any) -> Iterator[None]:
    """While inside, a listener of `open_secure` answers; it is stopped in the end."""
    running = threading.Thread(target=server.run, name="HTTPS", daemon=True)
    running.start()
    try:
        yield
    finally:
        server.stop()
        running.join(STOP_WITHIN_S)


def secure_hosts(printed_address: str, host: str, own: tuple[str, ...]) -> tuple[str, ...]:
    """Addresses and names that the certificate is made for."""
    given = own if host == "0.0.0.0" else (host,)
    return tuple(dict.fromkeys((*given, site_address(printed_address).host, "localhost", "127.0.0.1")))


def secure_words(address: str, certificate: Certificate) -> str:
    """What the terminal says: the address, and what phones will ask."""
    return (f"Phones that scan live open {address}\n"
            f"   They will warn that the connection is not private, since this certificate is the laptop's own.\n"
            f"   Open the details there and go on all the same; then allow the camera.\n"
            f"   To be sure that it is this laptop, compare the certificate's SHA-256 fingerprint:\n"
            f"   {certificate.fingerprint[:47]}\n   {certificate.fingerprint[48:]}")


@contextmanager
def also_https(app: Flask, folder: Path, where: tuple[str, str, int]) -> Iterator[str]:
    """While inside, the same pages are served by HTTPS as well; gives the words for the terminal.

    Parameters
    ----------
    app : Flask
    folder : Path
        Of the kit, where the certificate is kept.
    where : (str, str, int)
        The address printed on the labels, the address to answer on, the port.

    Raises
    ------
    ServeError
        If the port cannot be opened or the certificate cannot be read.
    """
    printed_address, host, port = where
    own = own_addresses() if host == "0.0.0.0" else (host,)
    certificate = site_certificate(folder, secure_hosts(printed_address, host, own), laptop_now())
    server = open_secure(app, host, port, certificate)
    address = f"https://{own[0] if own else '127.0.0.1'}:{server.effective_port}"
    app.config[HTTPS_OPEN] = address
    with answering(server):
        yield secure_words(address, certificate)
