"""Sending one message to an address that somebody else chose, within bounds of time and size.

The standard library's client is used, because it does nothing unasked: it follows no redirects,
asks no proxy, keeps no cookies, and lets us connect to the very address that was checked.
"""

import contextlib
import http.client
import socket
import ssl
import threading
import time
from collections.abc import Iterator, Mapping
from datetime import timedelta
from functools import cache

import msgspec

from service.reach import OutOfReach, Reach, Target, addresses, target

TIMEOUT = timedelta(seconds=20)
MOST_READ = 16_384
"""How many bytes of an answer are read, in which nothing is looked for."""


class NotSent(Exception):
    """No answer came, and why."""


class Answer(msgspec.Struct, frozen=True, kw_only=True):
    """What came back."""

    status: int
    retry_after: str | None


def post(
    url: str,
    body: bytes,
    headers: Mapping[str, str],
    reach: Reach,
    *,
    timeout: timedelta = TIMEOUT,
) -> Answer:
    """Send ``body`` and wait for the answer's status; raises ``NotSent``."""
    try:
        where = target(url, reach)
        found = addresses(where, reach)
    except OutOfReach as error:
        raise NotSent(error.message) from error
    seconds = timeout.total_seconds()
    connection = _Checked(where, found, seconds)
    with contextlib.closing(connection), _deadline(connection, seconds) as passed:
        try:
            connection.request("POST", where.path, body, dict(headers))
            with connection.getresponse() as response:
                response.read(MOST_READ)
        except (OSError, http.client.HTTPException) as error:
            if passed.is_set() or isinstance(error, TimeoutError):
                raise NotSent(f"no answer within {seconds:g} seconds") from error
            raise NotSent(f"{type(error).__name__}: {error}") from error
    if passed.is_set():  # what was cut off reads like an answer that ended early
        raise NotSent(f"no answer within {seconds:g} seconds")
    return Answer(status=response.status, retry_after=response.getheader("Retry-After"))


class _Checked(http.client.HTTPConnection):
    """A connection to one of the addresses that were checked, whatever the name stands for now."""

    def __init__(self, to: Target, found: tuple[str, ...], seconds: float) -> None:
        super().__init__(to.host, to.port, timeout=seconds)
        self.default_port = 443 if to.tls else 80  # else the Host header would name the port
        self._to = to
        self._found = found
        self._until = time.monotonic() + seconds
        self._live: socket.socket | None = None

    def connect(self) -> None:
        """Connect to the first of the addresses that answers."""
        self.sock = self._live = _connected(self._found, self._to.port, self._until)
        if self._to.tls:
            # The handshake waits until the deadline can reach the socket.
            secured = _trusted().wrap_socket(
                self.sock, server_hostname=self._to.host, do_handshake_on_connect=False
            )
            self.sock = self._live = secured
            secured.do_handshake()

    def cut(self) -> None:
        """End whatever is still being sent or read, also what ``sock`` has let go of by then."""
        if self._live is not None:
            with contextlib.suppress(OSError):  # it has ended by itself
                socket.socket.shutdown(self._live, socket.SHUT_RDWR)


def _connected(found: tuple[str, ...], port: int, until: float) -> socket.socket:
    error = OSError("no address answers")
    for address in found:
        left = until - time.monotonic()
        if left <= 0:
            raise TimeoutError
        try:
            return socket.create_connection((address, port), left)
        except OSError as refused:
            error = refused
    raise error


@cache
def _trusted() -> ssl.SSLContext:
    return ssl.create_default_context()


@contextlib.contextmanager
def _deadline(connection: _Checked, seconds: float) -> Iterator[threading.Event]:
    """Cut the connection off when the time is over, however slowly bytes still come in."""
    passed = threading.Event()

    def cut() -> None:
        passed.set()
        connection.cut()

    timer = threading.Timer(seconds, cut)
    timer.daemon = True
    timer.start()
    try:
        yield passed
    finally:
        timer.cancel()
