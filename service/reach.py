"""Which addresses outside Ringfold sends to, when somebody else chose where.

A subscriber names any address it likes, and a name may stand for any machine, also one that only
Ringfold can reach. So only public addresses are sent to, and others where the operator said so; a
name is looked up once, every answer is checked, and the connection goes to an address that was.
"""

import ipaddress
import socket
from collections.abc import Iterable
from ipaddress import IPv4Address, IPv4Network, IPv6Address, IPv6Network
from urllib.parse import SplitResult, urlsplit

import msgspec

Address = IPv4Address | IPv6Address
Network = IPv4Network | IPv6Network

LONGEST_URL = 2000
_PORTS = {"https": 443, "http": 80}
_UNICAST_V6 = ipaddress.ip_network("2000::/3")  # all that IANA has opened for global unicast
# Each stands for other addresses, for none, or for a protocol's own ends (RFC 6890, 3068, 3056,
# 4380, 9637), and not every release of the standard library knows it.
_NOT_THEMSELVES = tuple(
    ipaddress.ip_network(each)
    for each in ("192.0.0.0/24", "192.88.99.0/24", "2002::/16", "2001::/32", "3fff::/20")
)


class OutOfReach(Exception):
    """Nothing is sent there, and why: a stable code and a sentence."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.message = message


class Reach(msgspec.Struct, frozen=True, kw_only=True):
    """What is sent to besides public addresses over TLS: these networks, and without TLS if so."""

    networks: tuple[Network, ...] = ()
    without_tls: bool = False

    def allows(self, address: Address) -> bool:
        """Whether that address is sent to."""
        if isinstance(address, IPv6Address):
            if address.scope_id is not None:
                return False
            if address.ipv4_mapped is not None:
                return self.allows(address.ipv4_mapped)
        if any(address in network for network in self.networks):
            return True
        if isinstance(address, IPv6Address) and address not in _UNICAST_V6:
            return False
        disguised = any(address in network for network in _NOT_THEMSELVES)
        return address.is_global and not address.is_multicast and not disguised


class Target(msgspec.Struct, frozen=True, kw_only=True):
    """Where a message goes: a URL that is well formed, in its parts."""

    url: str
    tls: bool
    host: str
    port: int
    path: str


def read_networks(text: str) -> tuple[Network, ...]:
    """The networks of a list such as ``10.1.0.0/16, ::1``; ``ValueError`` for anything else."""
    return tuple(ipaddress.ip_network(each.strip()) for each in text.split(",") if each.strip())


def target(url: str, reach: Reach) -> Target:
    """Where a URL leads, as far as its text tells; raises ``OutOfReach``."""
    parts = _split(url)
    if parts.scheme == "http" and not reach.without_tls:
        raise OutOfReach("url_without_tls", "Messages are sent over https only.")
    if parts.scheme not in _PORTS:
        raise OutOfReach("url_unusable", "Messages are sent to addresses that begin with https://.")
    if not parts.hostname or parts.username is not None or parts.password is not None:
        raise OutOfReach("url_unusable", "The address names a host, and no user or password.")
    if parts.fragment:
        raise OutOfReach("url_unusable", "The address has no part after #.")
    literal = _literal(parts.hostname)
    if literal is not None:
        require_reach([literal], reach)
    query = f"?{parts.query}" if parts.query else ""
    return Target(
        url=url,
        tls=parts.scheme == "https",
        host=parts.hostname,
        port=parts.port or _PORTS[parts.scheme],
        path=f"{parts.path or '/'}{query}",
    )


def addresses(of: Target, reach: Reach) -> tuple[str, ...]:
    """The addresses that the target's name stands for, every one of them in reach.

    Raises ``OutOfReach`` where one is not or the name stands for none.
    """
    try:
        found = socket.getaddrinfo(of.host, of.port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError) as error:
        raise OutOfReach("host_unknown", f"The host {of.host} is not known: {error}.") from error
    numbers = tuple(dict.fromkeys(str(each[4][0]) for each in found))
    require_reach(map(ipaddress.ip_address, numbers), reach)
    return numbers


def require_reach(found: Iterable[Address], reach: Reach) -> None:
    """Raise ``OutOfReach`` unless all of these addresses are sent to."""
    for address in found:
        if not reach.allows(address):
            sentence = f"{address} is not a public address, and nothing is sent there."
            raise OutOfReach("address_not_public", sentence)


def _split(url: str) -> SplitResult:
    if len(url) > LONGEST_URL or not url.isascii() or not url.isprintable() or " " in url:
        raise OutOfReach(
            "url_unusable", f"An address has at most {LONGEST_URL} plain characters, and no spaces."
        )
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError as error:
        raise OutOfReach("url_unusable", f"The address cannot be read: {error}.") from error
    if port == 0:
        raise OutOfReach("url_unusable", "Nothing listens at port 0.")
    return parts


def _literal(host: str) -> Address | None:
    try:
        return ipaddress.ip_address(host)
    except ValueError:
        return None
