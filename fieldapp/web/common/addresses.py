"""The addresses this machine answers on, against the one that is printed on the labels."""

import ipaddress
import re
import socket
from dataclasses import dataclass
from urllib.parse import urlsplit

import ifaddr

PHONES_OPEN = "PHONES_OPEN"
"""Configuration of the application: the address that phones are told; the server sets it when it knows."""
HTTPS_OPEN = "HTTPS_OPEN"
"""Configuration: the HTTPS address of this laptop, if it has one."""

LOOPBACK_NAMES = ("localhost", "127.0.0.1", "::1")
"""Browsers give a page from here the camera without HTTPS."""
LONGEST_NAME = 253
"""Of a host. Source: RFC 1035, 2.3.4, less the length bytes at both ends. Test: tests/web/server/test_security.py"""
_LABEL = r"[A-Za-z0-9_](?:[A-Za-z0-9_-]{0,61}[A-Za-z0-9_])?"
_HOST = re.compile(rf"(\[[0-9a-fA-F:.]+\]|{_LABEL}(?:\.{_LABEL})*\.?)(:\d{{1,5}})?", re.ASCII)
_PORT_OF_SCHEME = {"http": 80, "https": 443}


def own_addresses() -> tuple[str, ...]:
    """IPv4 addresses of this machine that phones can reach, private ones first; loopback is left out."""
    found = {str(ip.ip) for adapter in ifaddr.get_adapters() for ip in adapter.ips if ip.is_IPv4}
    addresses = [ipaddress.IPv4Address(text) for text in found]
    usable = [a for a in addresses if not (a.is_loopback or a.is_link_local)]
    return tuple(str(a) for a in sorted(usable, key=lambda a: (not a.is_private, a)))


def neighbour(address: str) -> str:
    """Whose address it is: of IPv6, where one device has as many as it likes, the network.

    Examples
    --------
    >>> neighbour("10.0.0.7"), neighbour("::ffff:10.0.0.7"), neighbour("2001:db8::1:2"), neighbour("?")
    ('10.0.0.7', '10.0.0.7', '2001:db8::/64', '?')
    """
    try:
        found = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return address
    if found.version == 4:
        return str(found)
    return str(found.ipv4_mapped) if found.ipv4_mapped else str(ipaddress.ip_network((found, 64), strict=False))


def host_name(authority: str) -> str | None:
    """The name in `name:port`, in small letters, or None if it is not of that form.

    Examples
    --------
    >>> host_name("10.0.0.1:8000"), host_name("[fe80::1]:80"), host_name("a b")
    ('10.0.0.1', 'fe80::1', None)
    """
    match = _HOST.fullmatch(authority) if len(authority) <= LONGEST_NAME + 6 else None
    return match[1].strip("[]").lower().rstrip(".") if match else None


@dataclass(frozen=True, slots=True)
class SiteAddress:
    """The printed site address, taken apart."""

    text: str
    host: str
    port: int


def site_address(text: str) -> SiteAddress:
    """Take apart the address that the design prints on the labels.

    Examples
    --------
    >>> site_address("http://10.0.0.1")
    SiteAddress(text='http://10.0.0.1', host='10.0.0.1', port=80)
    """
    parts = urlsplit(text if "//" in text else f"http://{text}")
    port = parts.port or _PORT_OF_SCHEME.get(parts.scheme, 80)
    return SiteAddress(text.rstrip("/"), (parts.hostname or "").lower(), port)


def resolved(host: str) -> tuple[str, ...]:
    """IPv4 addresses that `host` stands for, as this machine sees it; empty if it is not known."""
    try:
        return tuple(sorted({str(info[4][0]) for info in socket.getaddrinfo(host, None, socket.AF_INET)}))
    except OSError:
        return ()


def address_advice(printed: SiteAddress, own: tuple[str, ...], port: int, *, seen: tuple[str, ...]) -> tuple[str, ...]:
    """What to do so that the printed labels lead here; empty if they do.

    Parameters
    ----------
    printed : SiteAddress
        What the labels say.
    own : tuple of str
        Addresses of this machine.
    port : int
        The port that is served.
    seen : tuple of str
        What the printed host resolves to.

    Examples
    --------
    >>> address_advice(site_address("http://10.0.0.1:8000"), ("10.0.0.1",), 8000, seen=("10.0.0.1",))
    ()
    """
    wrong_host = not set(seen) & set(own)
    wrong_port = printed.port != port
    if not (wrong_host or wrong_port):
        return ()
    lines = [f"The labels say {printed.text}, but this laptop is at {_at(own, port)}."]
    if wrong_host:
        lines.append(f"Give this laptop the address {printed.host} in the router (or in its own network settings), "
                     "then start again.")
    if wrong_port:
        lines.append(f"Start again with --port {printed.port}.")
    lines.append("Until then the camera app finds nothing, but the photo button on the page reads every label, "
                 "and typing an ID works.")
    return tuple(lines)


def _at(own: tuple[str, ...], port: int) -> str:
    return " or ".join(f"http://{address}:{port}" for address in own) or "no network address at all"
