"""A certificate authority of the shop's own, for an address that no public one can vouch for.

It is made once and kept in the data folder; a phone that trusts it trusts the certificate it
gives this server. It can vouch for this machine and for private addresses and names only (name
constraints, RFC 5280, section 4.2.1.10): whoever copies its key gets no further than the shop's own
network.
"""

import ipaddress
import os
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from config.lan import PRIVATE_ENDINGS

AUTHORITY_DAYS = 3650
# Browsers refuse certificates that are valid longer; half of it left is time to renew.
CERTIFICATE_DAYS = 397
RENEW_DAYS = CERTIFICATE_DAYS // 2
_SLOW_CLOCKS = timedelta(days=1)
_PRIVATE = [
    *("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8"),
    "100.64.0.0/10",
    *("fc00::/7", "fe80::/10", "::1/128"),
]
_NO_USE = dict.fromkeys(
    (
        *("digital_signature", "content_commitment", "key_encipherment", "data_encipherment"),
        *("key_agreement", "key_cert_sign", "crl_sign", "encipher_only", "decipher_only"),
    ),
    False,
)


class NotOurs(ValueError):
    """A name that the shop's authority cannot vouch for; the message is a sentence to show."""


@dataclass(frozen=True)
class Served:
    """What a server needs for TLS."""

    certificate: Path
    key: Path
    names: tuple[str, ...]
    ends_at: datetime


def authority_path(folder: Path) -> Path:
    return folder / "authority.crt"


def authority_of(folder: Path) -> x509.Certificate | None:
    return _read(authority_path(folder))


def fingerprint(certificate: x509.Certificate) -> str:
    """SHA-256 of the certificate, as phones show it."""
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def ensure_authority(
    folder: Path, *, machine: str, address: str, now: datetime
) -> x509.Certificate:
    """The authority that is kept here, or a new one when there is none.

    It may vouch for this machine's own name and address too, whatever they are; of what is public
    for nothing else.
    """
    found = authority_of(folder) if (folder / "authority.key").exists() else None
    if found and found.not_valid_after_utc - now > timedelta(days=RENEW_DAYS):
        return found
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Rackbound on {machine}"[:64])])
    allowed = [x509.DNSName(name) for name in (*PRIVATE_ENDINGS, machine)]
    allowed += [x509.IPAddress(ipaddress.ip_network(net)) for net in _PRIVATE]
    own = _general(address)
    if isinstance(own, x509.IPAddress):
        allowed.append(x509.IPAddress(ipaddress.ip_network(own.value)))
    made = (
        _builder(name, name, key, now - _SLOW_CLOCKS, now + timedelta(days=AUTHORITY_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(key_cert_sign=True, crl_sign=True), critical=True)
        .add_extension(x509.NameConstraints(allowed, excluded_subtrees=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    _write_key(folder / "authority.key", key)
    _write(authority_path(folder), made.public_bytes(serialization.Encoding.PEM), mode=0o644)
    return made


def ensure_certificate(folder: Path, *, names: list[str], now: datetime) -> Served:
    """This server's certificate for `names`, the first of them its own: kept while it is good.

    A name that the authority may not vouch for is left out; for the first that is an error.
    """
    authority = authority_of(folder)
    able = [name for name in dict.fromkeys(names) if _may_vouch(authority, name)]
    if names[0] not in able:
        raise NotOurs(
            f"The shop's own authority vouches for this machine and its private network, and "
            f"{names[0]} is neither. For a public name use --certificate and --key; for a machine "
            "that has moved make another authority with 'manage.py local_authority --new'."
        )
    served = folder / "server.crt", folder / "server.key"
    found = _read(served[0])
    if not found or not _still_good(found, served[1], authority, able, now):
        found = _issue(folder, authority, able, now)
        _write(served[0], found.public_bytes(serialization.Encoding.PEM), mode=0o644)
    return Served(*served, tuple(able), found.not_valid_after_utc)


def _issue(folder, authority, names, now) -> x509.Certificate:
    signer = serialization.load_pem_private_key((folder / "authority.key").read_bytes(), None)
    key = ec.generate_private_key(ec.SECP256R1())
    starts = now - _SLOW_CLOCKS
    ends = min(starts + timedelta(days=CERTIFICATE_DAYS), authority.not_valid_after_utc)
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Rackbound")])
    made = (
        _builder(subject, authority.subject, key, starts, ends)
        .add_extension(x509.SubjectAlternativeName([_general(name) for name in names]), False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(digital_signature=True), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.public_key()), False
        )
        .sign(signer, hashes.SHA256())
    )
    _write_key(folder / "server.key", key)
    return made


def _builder(subject, issuer, key, starts, ends) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(starts)
        .not_valid_after(ends)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), False)
    )


def _usage(**given) -> x509.KeyUsage:
    return x509.KeyUsage(**{**_NO_USE, **given})


def _general(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        return x509.DNSName(name)


def _may_vouch(authority: x509.Certificate, name: str) -> bool:
    allowed = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    wanted = _general(name)
    for one in allowed.permitted_subtrees:
        if isinstance(one, x509.IPAddress) and isinstance(wanted, x509.IPAddress):
            if wanted.value.version == one.value.version and wanted.value in one.value:
                return True
        elif (
            isinstance(one, x509.DNSName)
            and isinstance(wanted, x509.DNSName)
            and f".{name.lower()}".endswith(f".{one.value.lower()}")
        ):
            return True
    return False


def _still_good(found, key_path, authority, names, now) -> bool:
    try:
        found.verify_directly_issued_by(authority)
        key = serialization.load_pem_private_key(key_path.read_bytes(), None)
    except (OSError, ValueError, TypeError, InvalidSignature):
        return False
    held = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    ends = min(now + timedelta(days=RENEW_DAYS), authority.not_valid_after_utc)
    return (
        key.public_key() == found.public_key()
        and set(held) >= {_general(name) for name in names}
        and found.not_valid_before_utc <= now
        and found.not_valid_after_utc >= ends
    )


def _read(path: Path) -> x509.Certificate | None:
    try:
        return x509.load_pem_x509_certificate(path.read_bytes())
    except (OSError, ValueError):
        return None


def _write_key(path: Path, key) -> None:
    text = key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    _write(path, text, mode=0o600)


def _write(path: Path, content: bytes, *, mode: int) -> None:
    """Whole or not at all, and never readable by others for a moment."""
    new = path.with_suffix(f"{path.suffix}.new")
    new.unlink(missing_ok=True)
    with os.fdopen(os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    os.replace(new, path)
