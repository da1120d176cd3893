"""A certificate of the site's own, for phones that scan live: made once, made anew when it no longer fits."""

import ipaddress
import ssl
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from fieldapp.base.errors import ServeError
from fieldapp.kit.atomic import write_atomic

CERTIFICATE_FILE = "site-certificate.pem"
KEY_FILE = "site-certificate-key.pem"
LIFE = timedelta(days=397)
"""Some phones refuse server certificates that are valid for longer [days].
Source: common practice, no source. Test: tests/web/server/test_secure.py"""
RENEW_BEFORE = timedelta(days=30)
BACKDATED = timedelta(days=2)
"""Phones without internet may be a day wrong."""


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
                                             serialization.NoEncryption()))
    key_path.chmod(0o600)
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
