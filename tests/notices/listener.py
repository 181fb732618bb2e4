"""A workshop's own system, in this process: it keeps what it is told, and answers as it is told."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any


class Listener:
    """Keeps body and headers of each message; `answers` holds the next statuses, else 204."""

    def __init__(self) -> None:
        self.told: list[tuple[bytes, dict[str, str]]] = []
        self.paths: list[str] = []
        self.answers: list[int] = []
        self.url = ""

    @property
    def ids(self) -> list[str]:
        """The ids of the messages, in the order in which they came."""
        return [headers["webhook-id"] for _body, headers in self.told]


@contextmanager
def listening() -> Iterator[Listener]:
    """Run a listener on a free port."""
    listener = Listener()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            listener.told.append((body, {k.lower(): v for k, v in self.headers.items()}))
            listener.paths.append(self.path)
            status = listener.answers.pop(0) if listener.answers else 204
            self.send_response(status)
            if 300 <= status < 400:
                self.send_header("Location", listener.url + "elsewhere")
            self.end_headers()

        def log_message(self, *args: Any) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    listener.url = f"http://127.0.0.1:{server.server_address[1]}/hook"
    thread = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        yield listener
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
