"""Whose address a request comes from when proxies stand between."""

from collections.abc import Sequence
from ipaddress import IPv4Network, IPv6Network, ip_address

Network = IPv4Network | IPv6Network


def client_address(peer: str, forwarded: str, proxies: Sequence[Network]) -> str:
    """Return the address of the client, given its `peer` and the X-Forwarded-For it sent.

    The list is read from its end, where each named proxy wrote down whom it had before it; what a
    stranger wrote further to the front counts for nothing. Without a named proxy: the peer.
    """
    address = peer
    for hop in reversed([hop.strip() for hop in forwarded.split(",") if hop.strip()]):
        if not _is_in(address, proxies) or not _is_address(hop):
            break
        address = hop
    return address


def is_named(peer: str, proxies: Sequence[Network]) -> bool:
    """Return whether `peer` is one of the proxies that the owner named."""
    return _is_in(peer, proxies)


def _is_address(text: str) -> bool:
    try:
        ip_address(text)
    except ValueError:
        return False
    return True


def _is_in(text: str, networks: Sequence[Network]) -> bool:
    return _is_address(text) and any(ip_address(text) in network for network in networks)
