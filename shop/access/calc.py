"""Whose address a request comes from when proxies stand between; codes of a second factor."""

from collections.abc import Sequence
from ipaddress import IPv4Network, IPv6Network, ip_address

from pyotp import TOTP
from pyotp.exceptions import OTPVerificationError

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


def step_of_code(secret: str, typed: str, at: float) -> int | None:
    """Return the half minute, counted since 1970, whose code was typed; None if there is none.

    `at` is in seconds since 1970. The half minute before and the one after count too, for a person
    who types slowly and a phone whose clock is off (RFC 6238, section 5.2).
    """
    try:
        return TOTP(secret).verify_and_get_timecode(typed, for_time=at, valid_window=1)
    except OTPVerificationError:
        return None
