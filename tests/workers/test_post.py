"""Sending to an address that somebody else chose: to what was checked, and not for ever."""

import socket
import ssl
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from cryptography.x509.oid import NameOID

from service.reach import Reach, read_networks
from service.workers import post as posting
from service.workers.post import NotSent, post
from tests.workers.receiver import LOOPBACK, Receiver

NEARBY = Reach(networks=read_networks("127.0.0.0/8"), without_tls=True)
SHORT = timedelta(seconds=0.5)
HOST = "hooks.example"


def _name(monkeypatch: pytest.MonkeyPatch, *addresses: str) -> list[str]:
    """Let the host's name stand for these addresses; every name that is looked up."""
    real = socket.getaddrinfo
    asked: list[str] = []

    def looked_up(host: str, port: int, *rest: Any, **more: Any) -> Any:  # noqa: ANN401
        asked.append(host)
        if host != HOST:
            return real(host, port, *rest, **more)
        return [each for address in addresses for each in real(address, port, *rest, **more)]

    monkeypatch.setattr(socket, "getaddrinfo", looked_up)
    return asked


def test_a_name_is_looked_up_once_and_the_address_that_was_checked_is_connected_to(
    monkeypatch: pytest.MonkeyPatch, receiver: Receiver
) -> None:
    asked = _name(monkeypatch, LOOPBACK)
    answer = post(f"http://{HOST}:{receiver.port}/x", b"{}", {}, NEARBY)
    assert answer.status == 204
    assert asked.count(HOST) == 1
    assert receiver.got[0].headers["host"] == f"{HOST}:{receiver.port}"


@pytest.mark.parametrize("addresses", [("127.0.0.1",), ("8.8.8.8", "10.0.0.1"), ("::1",)])
def test_a_name_that_stands_for_an_address_out_of_reach_is_not_sent_to(
    monkeypatch: pytest.MonkeyPatch, receiver: Receiver, addresses: tuple[str, ...]
) -> None:
    _name(monkeypatch, *addresses)
    with pytest.raises(NotSent, match="not a public address"):
        post(f"http://{HOST}:{receiver.port}/", b"{}", {}, Reach(without_tls=True))
    assert receiver.got == []


@pytest.mark.parametrize("host", ["2130706433", "0x7f.1", "127.1", "localhost"])
def test_another_way_to_write_the_loopback_address_is_seen_through(
    receiver: Receiver, host: str
) -> None:
    with pytest.raises(NotSent, match="not a public address"):
        post(f"http://{host}:{receiver.port}/", b"{}", {}, Reach(without_tls=True))
    assert receiver.got == []


def test_a_name_that_nobody_knows_is_not_sent_to(monkeypatch: pytest.MonkeyPatch) -> None:
    def unknown(*_: object, **__: object) -> None:
        raise socket.gaierror(socket.EAI_NONAME, "Name or service not known")

    monkeypatch.setattr(socket, "getaddrinfo", unknown)
    with pytest.raises(NotSent, match=f"The host {HOST} is not known"):
        post(f"https://{HOST}/", b"{}", {}, NEARBY)


def test_no_proxy_of_the_environment_is_asked(
    monkeypatch: pytest.MonkeyPatch, receiver: Receiver
) -> None:
    for name in ("http_proxy", "HTTP_PROXY", "all_proxy", "https_proxy"):
        monkeypatch.setenv(name, "http://127.0.0.1:9")
    assert post(receiver.url, b"{}", {}, NEARBY).status == 204


def test_a_receiver_that_does_not_answer_is_given_up(receiver: Receiver) -> None:
    receiver.let_go.clear()
    with pytest.raises(NotSent, match=r"no answer within 0\.5 seconds"):
        post(receiver.url, b"{}", {}, NEARBY, timeout=SHORT)
    receiver.let_go.set()


@pytest.mark.parametrize("first", [b"HTTP/1.1 200 OK\r\n", b"HTTP/1.1 200 OK\r\n\r\n"])
def test_a_receiver_that_trickles_for_ever_is_given_up(first: bytes) -> None:
    """Each byte comes in time, but the answer does not."""
    over = threading.Event()
    with socket.create_server((LOOPBACK, 0)) as server:

        def trickle() -> None:
            with server.accept()[0] as taken:
                taken.recv(65_536)
                taken.sendall(first)
                while not over.wait(0.05):
                    try:
                        taken.sendall(b"X-Slow: yes\r\n")
                    except OSError:
                        return

        thread = threading.Thread(target=trickle)
        thread.start()
        with pytest.raises(NotSent, match=r"no answer within 0\.5 seconds"):
            post(f"http://{LOOPBACK}:{server.getsockname()[1]}/", b"{}", {}, NEARBY, timeout=SHORT)
        over.set()
        thread.join()


@pytest.mark.parametrize("answer", [b"", b"SSH-2.0-OpenSSH_9.2\r\n", b"HTTP/1.1 2000 OK\r\n\r\n"])
def test_what_does_not_speak_http_is_told_from_a_delivery(answer: bytes) -> None:
    with socket.create_server((LOOPBACK, 0)) as server:

        def say() -> None:
            with server.accept()[0] as taken:
                taken.recv(65_536)
                taken.sendall(answer)

        thread = threading.Thread(target=say)
        thread.start()
        with pytest.raises(NotSent):
            post(f"http://{LOOPBACK}:{server.getsockname()[1]}/", b"{}", {}, NEARBY)
        thread.join()


@pytest.fixture
def certificate(tmp_path: Path) -> Path:
    """A certificate for the host, signed by itself, with its key."""
    key = Ed25519PrivateKey.generate()
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, HOST)])
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(now - timedelta(hours=1))
        .not_valid_after(now + timedelta(hours=1))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName(HOST)]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(key, None)
    )
    path = tmp_path / "host.pem"
    path.write_bytes(
        made.public_bytes(Encoding.PEM)
        + key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    )
    return path


@pytest.fixture
def secured(certificate: Path) -> Iterator[Receiver]:
    """A receiver behind TLS."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate)
    receiver = Receiver(tls=context)
    yield receiver
    receiver.close()


def _trust(monkeypatch: pytest.MonkeyPatch, certificate: Path) -> None:
    """Let only this certificate be trusted, as OpenSSL's environment can say."""
    monkeypatch.setenv("SSL_CERT_FILE", str(certificate))
    posting._trusted.cache_clear()  # noqa: SLF001 - what is trusted is read once a process


@pytest.fixture(autouse=True)
def _trust_as_before() -> Iterator[None]:
    yield
    posting._trusted.cache_clear()  # noqa: SLF001 - as above


def test_over_tls_the_certificate_must_be_for_the_name_and_trusted(
    monkeypatch: pytest.MonkeyPatch, secured: Receiver, certificate: Path
) -> None:
    _name(monkeypatch, LOOPBACK)
    _trust(monkeypatch, certificate)
    assert post(f"https://{HOST}:{secured.port}/", b"{}", {}, NEARBY).status == 204
    with pytest.raises(NotSent, match=r"certificate is not valid for '127\.0\.0\.1'"):
        post(f"https://{LOOPBACK}:{secured.port}/", b"{}", {}, NEARBY)
    assert len(secured.got) == 1


def test_a_certificate_that_nobody_trusts_is_not_sent_to(
    monkeypatch: pytest.MonkeyPatch, secured: Receiver
) -> None:
    _name(monkeypatch, LOOPBACK)
    with pytest.raises(NotSent, match="CERTIFICATE_VERIFY_FAILED"):
        post(f"https://{HOST}:{secured.port}/", b"{}", {}, NEARBY)
    assert secured.got == []


def test_a_handshake_that_never_ends_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    _name(monkeypatch, LOOPBACK)
    with socket.create_server((LOOPBACK, 0)) as server:
        url = f"https://{HOST}:{server.getsockname()[1]}/"
        with pytest.raises(NotSent, match=r"no answer within 0\.5 seconds"):
            post(url, b"{}", {}, NEARBY, timeout=SHORT)
