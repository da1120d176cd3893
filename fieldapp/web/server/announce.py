"""Announces the site by multicast DNS, as a courtesy: many phones do not look, and nothing depends on it."""

import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

SERVICE = "_http._tcp.local."
PATIENCE_S = 3.0


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
            teller.join(PATIENCE_S)
            announcement.close()
