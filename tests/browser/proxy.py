"""A loopback proxy between browser and server that can fail in every way a range's network fails."""

import http.client
import threading
import time
from collections import Counter
from collections.abc import Callable
from contextlib import closing, contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import urlsplit

HOP_BY_HOP = {"connection", "keep-alive", "transfer-encoding", "upgrade"}
LATE_S = 0.15

Choose = Callable[[str, str], str]
"""Given the method and path of a request, what happens to it: one of FAULTS, or "pass"."""

FAULTS = ("drop_before", "drop_after", "half", "late", "error")
"""Closed before the server heard of it; closed after the server answered; half of the reply; a late reply; a 503."""


class Proxy(ThreadingHTTPServer):
    """Passes requests on to the server, or lets them fail. `choose` may be set anew at any time.

    `alter(path, content)`, where it is set, returns what the browser gets instead of an answer's content.
    """

    daemon_threads = True
    request_queue_size = 64

    def __init__(self, upstream: str):
        super().__init__(("127.0.0.1", 0), Passing)
        self.upstream = urlsplit(upstream).netloc
        self.url = f"http://localhost:{self.server_address[1]}"
        self.choose: Choose = lambda method, path: "pass"
        self.alter: Callable[[str, bytes], bytes] | None = None
        self.done: Counter[str] = Counter()

    def handle_error(self, request, client_address):
        """A browser that was killed leaves its connections as they are: nothing to report."""


class Passing(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"

    def _pass_on(self) -> None:
        body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        what = self.server.choose(self.command, self.path)
        self.server.done[what] += 1
        if what == "drop_before":
            self._hang_up()
        elif what == "error":
            self._answer(503, [("Content-Type", "text/plain")], b"The server is resting.")
        else:
            self._after(what, *self._ask_server(body))

    do_GET = do_HEAD = do_POST = _pass_on

    def _ask_server(self, body: bytes) -> tuple[int, list, bytes]:
        headers = {name: value for name, value in self.headers.items() if name.lower() not in HOP_BY_HOP}
        if self.server.alter:
            headers.pop("Accept-Encoding", None)
        # A browser that was killed may leave half a body, and then a server no answer.
        with closing(http.client.HTTPConnection(self.server.upstream, timeout=60)) as upstream:
            upstream.request(self.command, self.path, body or None, headers)
            answer = upstream.getresponse()
            content = answer.read()
        if self.server.alter:
            content = self.server.alter(self.path, content)
        kept = [(n, v) for n, v in answer.getheaders() if n.lower() not in {*HOP_BY_HOP, "content-length"}]
        return answer.status, kept, content

    def _after(self, what: str, status: int, headers: list, content: bytes) -> None:
        """Give the server's answer to the browser, or spoil it."""
        if what == "drop_after":
            return self._hang_up()
        if what == "late":
            time.sleep(LATE_S)
        self._answer(status, headers, content, whole=what != "half")

    def _answer(self, status: int, headers: list, content: bytes, *, whole: bool = True) -> None:
        self.send_response_only(status)
        for name, value in headers:
            self.send_header(name, value)
        if status not in (204, 304):
            self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(content if whole else content[: len(content) // 2])
        if not whole:
            self._hang_up()

    def _hang_up(self) -> None:
        self.close_connection = True

    def log_message(self, format, *args):
        """Say nothing: what matters is counted in `done`."""


@contextmanager
def proxied(upstream: str):
    """Run a proxy in front of a server; gives it."""
    proxy = Proxy(upstream)
    thread = threading.Thread(target=proxy.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True)
    thread.start()
    try:
        yield proxy
    finally:
        proxy.shutdown()
        proxy.server_close()
        thread.join()
