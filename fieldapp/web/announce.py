"""Announces the site by multicast DNS, as a courtesy: many phones do not look, and nothing depends on it."""

import socket
from collections.abc import Iterator
from contextlib import contextmanager

SERVICE = "_http._tcp.local."


@contextmanager
def announced(name: str, port: int, addresses: tuple[str, ...]) -> Iterator[str | None]:
    """While inside, `http://<name>.local:<port>` leads here; yields that address, or None if it could not be told.

    Whatever fails (no network, port taken, a firewall), the server goes on without.
    """
    from zeroconf import ServiceInfo, Zeroconf  # costs a quarter of a second, and only `serve` needs it

    host = f"{name}.local"
    service = None
    try:
        info = ServiceInfo(SERVICE, f"{name}.{SERVICE}", port=port, server=f"{host}.",
                           addresses=[socket.inet_aton(address) for address in addresses], properties={"path": "/"})
        service = Zeroconf(interfaces=list(addresses)) if addresses else None
        if service:
            service.register_service(info, allow_name_change=True)
    except Exception:  # zeroconf raises many kinds, and none of them may stop the site
        _close(service)
        service = None
    try:
        yield f"http://{host}:{port}" if service else None
    finally:
        _close(service)


def _close(service: object) -> None:
    close = getattr(service, "close", None)
    if close:
        close()
