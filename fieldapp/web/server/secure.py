"""The second listener, HTTPS, for the few phones that scan live; plain HTTP stays the way in for all others."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from cheroot.ssl.builtin import BuiltinSSLAdapter
from cheroot.wsgi import Server
from flask import Flask

from fieldapp.base.errors import ServeError
from fieldapp.web.common.addresses import own_addresses, site_address
from fieldapp.web.common.context import laptop_now
from fieldapp.web.parts.live import HTTPS_OPEN
from fieldapp.web.photos.photo import MAX_PHOTO_BYTES
from fieldapp.web.server.certificate import Certificate, site_certificate, tls_context

HTTPS_PORT = 8443
THREADS = 6
STOP_WITHIN_S = 2


def open_secure(app: Flask, host: str, port: int, certificate: Certificate) -> Any:
    """Take the port; requests are answered once `serve` of the result is called.

    Raises
    ------
    ServeError
        If the port cannot be opened.
    """
    server = Server((host, port), app, numthreads=THREADS, server_name="raisebook", shutdown_timeout=STOP_WITHIN_S)
    server.max_request_body_size = MAX_PHOTO_BYTES + 1024 * 1024
    server.ssl_adapter = BuiltinSSLAdapter(str(certificate.path), str(certificate.key_path))
    server.ssl_adapter.context = tls_context(certificate)
    try:
        server.prepare()
    except OSError as error:
        raise ServeError(f"port {port} cannot be opened for HTTPS: {error}. "
                         f"Start with --https-port {port + 1}.") from error
    return server


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
    address = f"https://{own[0] if own else '127.0.0.1'}:{server.bind_addr[1]}"
    app.config[HTTPS_OPEN] = address
    running = threading.Thread(target=server.serve, daemon=True)
    running.start()
    try:
        yield secure_words(address, certificate)
    finally:
        server.stop()
        running.join(STOP_WITHIN_S)
