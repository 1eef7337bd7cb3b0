"""The address under which the shop is found from outside, as it was typed."""

from ipaddress import ip_address
from urllib.parse import urlsplit

from inventory.base.refusals import Refusal

EXAMPLE = "such as https://quotes.example"
INNER_NAMES = (".local", ".localhost", ".internal", ".lan", ".home.arpa")
"""Endings that no name server outside knows: RFC 6762, RFC 6761, RFC 8375; two by ICANN and use."""


def read_public_address(typed: str) -> str:
    """Return scheme, host and port of a typed address, https if it says none; empty for nothing.

    Raises Refusal on what is no address, on one with a path, and on one that opens only nearby.
    """
    typed = typed.strip()
    if not typed:
        return ""
    address = (typed if "://" in typed else f"https://{typed}").removesuffix("/")
    try:
        parts = urlsplit(address)
        host, port = parts.hostname or "", parts.port
    except ValueError:
        host, port = "", None
    if not host or parts.scheme not in {"http", "https"} or parts.username or " " in address:
        raise Refusal(f"“{typed}” is not a web address. Enter one {EXAMPLE}.")
    if parts.path or parts.query or parts.fragment:
        raise Refusal(f"Enter the address without what follows the name, {EXAMPLE}.")
    if is_local_host(host):
        raise Refusal(f"{host} opens in your own network only. Enter a public address, {EXAMPLE}.")
    name = f"[{host}]" if ":" in host else host
    return f"{parts.scheme}://{name}{f':{port}' if port else ''}"


def host_of(address: str) -> str:
    """Return the host of an address, in small letters and without brackets."""
    return urlsplit(address).hostname or ""


def is_local_host(host: str) -> bool:
    """Say whether a host is known on one machine or in one network only."""
    try:
        return not ip_address(host).is_global
    except ValueError:
        return "." not in host or host.endswith(INNER_NAMES)
