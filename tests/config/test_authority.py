"""The shop's own authority: who trusts it gets in, and it vouches for nothing beyond the shop."""

import ssl
import stat
from datetime import UTC, datetime, timedelta

import pytest
from cryptography import x509

from config import authority
from config.authority import NotOurs, ensure_authority, ensure_certificate, fingerprint

NOW = datetime.now(UTC)
LAN = "192.168.7.20"
NAMES = [LAN, "localhost", "shop-pc"]


@pytest.fixture
def folder(tmp_path):
    made = tmp_path / "tls"
    ensure_authority(made, machine="shop-pc", address=LAN, now=NOW)
    return made


def shake_hands(folder, name, *, trusted=True):
    """A whole TLS handshake in memory, with the checks that a phone makes."""
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(folder / "server.crt", folder / "server.key")
    client = ssl.create_default_context()
    if trusted:
        client.load_verify_locations(folder / "authority.crt")
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    phone = client.wrap_bio(to_client, to_server, server_hostname=name)
    desk = server.wrap_bio(to_server, to_client, server_side=True)
    for _ in range(4):
        for side in (phone, desk):
            try:
                side.do_handshake()
            except ssl.SSLWantReadError:
                continue
    return phone.version()


@pytest.mark.parametrize("name", NAMES)
def test_a_phone_that_trusts_the_shop_gets_in_by_every_name(folder, name):
    ensure_certificate(folder, names=NAMES, now=NOW)
    assert shake_hands(folder, name).startswith("TLS")


def test_a_phone_that_does_not_trust_it_yet_is_stopped(folder):
    ensure_certificate(folder, names=NAMES, now=NOW)
    with pytest.raises(ssl.SSLCertVerificationError, match="unable to get local issuer"):
        shake_hands(folder, LAN, trusted=False)


def test_another_address_is_not_this_shop(folder):
    ensure_certificate(folder, names=NAMES, now=NOW)
    with pytest.raises(ssl.SSLCertVerificationError, match="IP address mismatch"):
        shake_hands(folder, "192.168.7.21")


def test_whoever_copies_its_key_cannot_pass_for_a_public_name(folder, monkeypatch):
    monkeypatch.setattr(authority, "_may_vouch", lambda *_: True)
    ensure_certificate(folder, names=["bank.example"], now=NOW)
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree violation"):
        shake_hands(folder, "bank.example")


def test_a_public_name_is_refused_with_what_to_do(folder):
    with pytest.raises(NotOurs, match="--certificate and --key"):
        ensure_certificate(folder, names=["boards.example", "localhost"], now=NOW)


def test_a_name_beside_its_own_that_it_may_not_vouch_for_is_left_out(folder):
    served = ensure_certificate(folder, names=[LAN, "boards.example"], now=NOW)
    assert served.names == (LAN,)


def test_a_machine_with_a_public_address_of_its_own_is_vouched_for(tmp_path):
    ensure_authority(tmp_path, machine="shop-pc", address="203.0.113.9", now=NOW)
    ensure_certificate(tmp_path, names=["203.0.113.9"], now=NOW)
    assert shake_hands(tmp_path, "203.0.113.9")
    with pytest.raises(NotOurs):
        ensure_certificate(tmp_path, names=["203.0.113.10"], now=NOW)


def test_private_keys_are_for_the_owner_of_the_folder_alone(folder):
    ensure_certificate(folder, names=NAMES, now=NOW)
    for name in ("authority.key", "server.key"):
        assert stat.S_IMODE((folder / name).stat().st_mode) == 0o600
    assert sorted(path.name for path in folder.iterdir()) == [
        "authority.crt", "authority.key", "server.crt", "server.key",
    ]  # fmt: skip


def serial(folder, *, names=NAMES, now=NOW):
    ensure_certificate(folder, names=names, now=now)
    return x509.load_pem_x509_certificate((folder / "server.crt").read_bytes()).serial_number


def test_a_certificate_is_kept_while_it_is_good_and_renewed_in_time(folder):
    first = serial(folder)
    assert serial(folder, now=NOW + timedelta(days=150)) == first
    assert serial(folder, names=NAMES[:2]) == first
    assert serial(folder, now=NOW + timedelta(days=250)) != first


@pytest.mark.parametrize("spoil", ["server.key", "server.crt"])
def test_a_certificate_that_lost_its_other_half_is_made_anew(folder, spoil):
    first = serial(folder)
    (folder / spoil).write_text("spoilt")
    assert serial(folder) != first
    assert shake_hands(folder, LAN)


def test_a_new_address_gets_a_new_certificate_of_the_same_authority(folder):
    before = fingerprint(authority.authority_of(folder))
    first = serial(folder)
    assert serial(folder, names=["10.0.0.7", "localhost"]) != first
    assert shake_hands(folder, "10.0.0.7")
    ensure_authority(folder, machine="shop-pc", address="10.0.0.7", now=NOW)
    assert fingerprint(authority.authority_of(folder)) == before


def test_no_certificate_is_valid_longer_than_browsers_take(folder):
    ensure_certificate(folder, names=NAMES, now=NOW)
    made = x509.load_pem_x509_certificate((folder / "server.crt").read_bytes())
    assert made.not_valid_after_utc - made.not_valid_before_utc <= timedelta(days=397)
