"""The shop's own small authority, and the certificate by which phones know its computer."""

import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

AUTHORITY_DAYS = 3650
CERTIFICATE_DAYS = 390
"""Short of the 398 days beyond which some phones refuse a certificate (a value from memory)."""
RENEW_DAYS = 60
OWN_NETWORKS = tuple(
    map(
        ip_network,
        ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "127.0.0.0/8", "fc00::/7", "fe80::/10"),
    )
)
"""Private addresses (RFC 1918, 4193, 4291): the authority may vouch for nothing beyond."""


@dataclass(frozen=True, slots=True)
class Pair:
    """A certificate and its key, as files; the key is readable by its owner only."""

    certificate: Path
    key: Path

    def load(self) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
        key = load_pem_private_key(self.key.read_bytes(), None)
        if not isinstance(key, ec.EllipticCurvePrivateKey):
            raise TypeError(f"{self.key} holds another kind of key than this program makes.")
        return x509.load_pem_x509_certificate(self.certificate.read_bytes()), key


def ensure_authority(folder: Path, *, host: str, now: datetime) -> Pair:
    """Return the authority kept in `folder`, made on first need.

    It may vouch only for this machine's name, `.local` names and private addresses, so that a
    phone which trusts it takes no stranger for anybody else.
    """
    pair = Pair(folder / "authority.pem", folder / "authority.key")
    if not (pair.certificate.exists() and pair.key.exists()):
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        key = ec.generate_private_key(ec.SECP256R1())
        _write(pair, _authority(key, host, now), key)
    return pair


def ensure_certificate(
    folder: Path, authority: Pair, *, names: Sequence[str], now: datetime
) -> Pair:
    """Return a certificate for `names`, made anew when they changed or it ends within 60 days."""
    pair = Pair(folder / "server.pem", folder / "server.key")
    wanted = permitted(authority, names)
    if not _still_good(pair, authority, wanted, now):
        key = ec.generate_private_key(ec.SECP256R1())
        _write(pair, _certificate(key, authority, wanted, now), key)
    return pair


def permitted(authority: Pair, names: Sequence[str]) -> list[str]:
    """Return those of `names` that `authority` may vouch for."""
    certificate, _ = authority.load()
    limits = certificate.extensions.get_extension_for_class(x509.NameConstraints).value
    domains = [
        one.value for one in limits.permitted_subtrees or [] if isinstance(one, x509.DNSName)
    ]
    return [name for name in dict.fromkeys(names) if _is_permitted(name, domains)]


def names_in(certificate: x509.Certificate) -> list[str]:
    """Return the names and addresses that `certificate` stands for."""
    own = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return [str(one.value) for one in own]


def _is_permitted(name: str, domains: Sequence[str]) -> bool:
    address = _address(name)
    if address is not None:
        return any(address in network for network in OWN_NETWORKS)
    return any(name == domain or name.endswith(f".{domain}") for domain in domains)


def _address(name: str) -> IPv4Address | IPv6Address | None:
    try:
        return ip_address(name)
    except ValueError:
        return None


def _general(name: str) -> x509.GeneralName:
    address = _address(name)
    return x509.IPAddress(address) if address else x509.DNSName(name)


def _still_good(pair: Pair, authority: Pair, names: Sequence[str], now: datetime) -> bool:
    if not (pair.certificate.exists() and pair.key.exists()):
        return False
    certificate, _ = pair.load()
    issuer, _ = authority.load()
    is_ours = certificate.issuer == issuer.subject
    left = certificate.not_valid_after_utc - now
    return is_ours and names_in(certificate) == list(names) and left > timedelta(days=RENEW_DAYS)


def _authority(key: ec.EllipticCurvePrivateKey, host: str, now: datetime) -> x509.Certificate:
    serial = x509.random_serial_number()
    name = _name(f"Gramil on {host} {serial:x}"[:60])
    own = [x509.DNSName(each) for each in dict.fromkeys((host, "local", "localhost"))]
    limits = [*own, *(x509.IPAddress(network) for network in OWN_NETWORKS)]
    return (
        _builder(name, name, key, serial, now, AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(x509.NameConstraints(limits, None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )


def _certificate(
    key: ec.EllipticCurvePrivateKey, authority: Pair, names: Sequence[str], now: datetime
) -> x509.Certificate:
    issuer, issuer_key = authority.load()
    builder = _builder(
        _name("Gramil"), issuer.subject, key, x509.random_serial_number(), now, CERTIFICATE_DAYS
    )
    return (
        builder.add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(map(_general, names)), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(issuer_key.public_key()),
            critical=False,
        )
        .sign(issuer_key, hashes.SHA256())
    )


def _builder(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePrivateKey,
    serial: int,
    now: datetime,
    days: int,
) -> x509.CertificateBuilder:
    """Begin a certificate; it starts a day early for phones whose clock is slow."""
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(serial)
        .not_valid_before(now.astimezone(UTC) - timedelta(days=1))
        .not_valid_after(now.astimezone(UTC) + timedelta(days=days))
    )


def _usage(*, signs: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=True,
        key_cert_sign=signs,
        crl_sign=signs,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _name(words: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, words)])


def _write(pair: Pair, certificate: x509.Certificate, key: ec.EllipticCurvePrivateKey) -> None:
    plain = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    opened = os.open(pair.key, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(opened, "wb") as file:
        file.write(plain)
    pair.certificate.write_bytes(certificate.public_bytes(Encoding.PEM))
