"""Under which names this server may be asked, and at which addresses others, such as phones, reach it."""

import re
import socket
from collections.abc import Collection, Iterable
from ipaddress import ip_address

import ifaddr

__all__ = ["EVERYWHERE", "HERE", "addresses_for_others", "host_names", "is_known", "is_loopback", "url_of"]

HERE = "remnants.here"
"""Where the environment of a request tells the address of this machine that it came to."""

EVERYWHERE = ("0.0.0.0", "::", "")
"""What one listens on to be reached at every address of the machine."""

MOST_TOLD = 3
"""Addresses told at most: a machine with more has them for other things."""

WITHIN = ("docker", "br-", "veth", "virbr", "cni", "flannel", "podman", "vmnet", "tun", "tap", "wg")
"""How interfaces begin that lead to machines within this one or through a tunnel, where no phone is."""

FAR = {socket.AF_INET: "192.0.2.1", socket.AF_INET6: "2001:db8::1"}
"""Addresses that nobody has (RFC 5737, RFC 3849): the way to them is the way to everybody."""

_HOST = re.compile(r"(?P<name>\[[0-9a-f:.]+\]|[0-9a-z._-]+)(?::\d{1,5})?", re.ASCII | re.IGNORECASE)


def host_names(listen: str, more: Iterable[str]) -> tuple[str, ...]:
    """The names that the server answers to: those given, this machine's own, and the address that it listens on."""
    own = ("localhost", "127.0.0.1", "[::1]")
    every = (socket.gethostname(),) if listen in EVERYWHERE else (listen,)
    return tuple(dict.fromkeys((*more, *own, *every)))


def is_known(asked: str, names: Collection[str], here: str = "") -> bool:
    """Whether a request's Host header names this server: by one of its names, in large letters or small (RFC 9110, 4.2.3).

    Also by the address of this machine that it came to: no other site's name leads a browser to ask under a bare address.
    """
    found = _HOST.fullmatch(asked)
    if found is None:
        return False
    name = _plain(found["name"])
    return name in {_plain(each) for each in names} or (bool(here) and _is_address(name) and name == _plain(here))


def is_loopback(name: str) -> bool:
    """Whether a name or address, without its port, leads to the very machine that asks it."""
    plain = _plain(name)
    if _is_address(plain):
        address = ip_address(plain)
        return address.is_loopback or address.is_unspecified
    return plain == "localhost" or plain.endswith(".localhost")


def url_of(name: str, port: int, *, https: bool) -> str:
    """The address of the pages under a name. Over https they stand behind something that listens at the usual port."""
    bracketed = f"[{name}]" if ":" in name and not name.startswith("[") else name
    return f"https://{bracketed}" if https else f"http://{bracketed}:{port}"


def addresses_for_others(listen: str, port: int, given: Iterable[str], *, https: bool) -> tuple[str, ...]:
    """Where others than this machine reach the pages: by the names that were `given`, or else by its addresses.

    None where it listens to itself alone, and none of a loopback.
    """
    names = [name for name in given if not is_loopback(name)]
    if not names and not https:
        names = _own_addresses(v6=":" in listen) if listen in EVERYWHERE else [listen]
    if not https and is_loopback(listen) and listen not in EVERYWHERE:
        names = []
    return tuple(url_of(name, port, https=https) for name in names if not is_loopback(name))


def _own_addresses(*, v6: bool) -> list[str]:
    """Addresses of this machine by which others reach it, the one on the way to everybody first."""
    found = []
    for adapter in ifaddr.get_adapters():
        if adapter.nice_name.startswith(WITHIN):
            continue
        addresses = [each.ip if isinstance(each.ip, str) else each.ip[0] for each in adapter.ips]
        found += [each for each in addresses if _leads_here(each)]
    first = {_way_out(family) for family in FAR}
    found.sort(key=lambda each: (":" in each, each not in first))
    return [each for each in found if v6 or ":" not in each][:MOST_TOLD]


def _leads_here(address: str) -> bool:
    """Whether others who ask under an address of this machine come to it."""
    told = ip_address(address)
    return not (told.is_loopback or told.is_link_local or told.is_unspecified or told.is_multicast)


def _way_out(family: socket.AddressFamily) -> str:
    """The address under which this machine would ask others; empty where there is no way. Nothing is sent."""
    with socket.socket(family, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect((FAR[family], 9))
        except OSError:
            return ""
        return str(asking.getsockname()[0])


def _plain(name: str) -> str:
    """A name or address as it is compared: small letters, no brackets, an address of the old kind within a new one as itself."""
    bare = name.strip().removeprefix("[").removesuffix("]").lower()
    try:
        address = ip_address(bare.partition("%")[0])
    except ValueError:
        return _as_asked(bare)
    return str(getattr(address, "ipv4_mapped", None) or address)


def _as_asked(name: str) -> str:
    """A name with letters of other scripts as browsers ask under it (RFC 5891)."""
    try:
        return name.encode("idna").decode("ascii")
    except UnicodeError:
        return name


def _is_address(plain: str) -> bool:
    try:
        ip_address(plain)
    except ValueError:
        return False
    return True
