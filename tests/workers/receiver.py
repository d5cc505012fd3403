"""A receiver of messages on the loopback address, which can be down, slow or contrary."""

import ssl
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import NamedTuple

LOOPBACK = "127.0.0.1"


class Received(NamedTuple):
    """One request as it came."""

    path: str
    headers: dict[str, str]
    body: bytes

    @property
    def id(self) -> str:
        return self.headers["webhook-id"]


class Receiver:
    """Keeps what it is sent; answers with ``status`` and ``answer_headers``, then ``answer``."""

    def __init__(self, port: int = 0, tls: ssl.SSLContext | None = None) -> None:
        self.got: list[Received] = []
        self.status = 204
        self.answer_headers: dict[str, str] = {}
        self.answer = b""
        self.let_go = threading.Event()
        self.let_go.set()
        self.reached = threading.Event()
        receiver = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                body = self.rfile.read(int(self.headers["Content-Length"]))
                headers = {key.lower(): value for key, value in self.headers.items()}
                receiver.got.append(Received(self.path, headers, body))
                receiver.reached.set()
                receiver.let_go.wait()
                self.send_response(receiver.status)
                for key, value in receiver.answer_headers.items():
                    self.send_header(key, value)
                if receiver.status not in {204, 304}:
                    self.send_header("Content-Length", str(len(receiver.answer)))
                self.end_headers()
                with suppress(ConnectionError):  # whoever asked has not waited
                    self.wfile.write(receiver.answer)

            def log_message(self, *_: object) -> None:
                pass

        self._server = ThreadingHTTPServer((LOOPBACK, port), Handler)
        self._server.daemon_threads = True
        if tls is not None:
            self._server.socket = tls.wrap_socket(self._server.socket, server_side=True)
        self.port: int = self._server.server_address[1]
        self._thread = threading.Thread(target=self._server.serve_forever, args=(0.02,))
        self._thread.start()

    @property
    def url(self) -> str:
        return f"http://{LOOPBACK}:{self.port}/ringfold?for=us"

    def ids(self) -> list[str]:
        """The ids of what came, in the order of coming."""
        return [each.id for each in self.got]

    def close(self) -> None:
        self.let_go.set()
        self._server.shutdown()
        self._server.server_close()
        self._thread.join()


@contextmanager
def receiving(port: int = 0) -> Iterator[Receiver]:
    """A receiver that is up for a while."""
    receiver = Receiver(port)
    try:
        yield receiver
    finally:
        receiver.close()
