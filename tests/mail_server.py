"""A mail server on loopback that behaves as it is told, mail by mail.

It speaks as much of SMTP as smtplib asks for. ``manners`` gives what it does with the
next mail: "take", "drop" (closes before a word), "stall" (never answers), "busy" (451),
"refuse" (550), "late" (takes the mail and closes before it says so), "hang" (takes it
and says nothing).
"""

import socketserver
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from email import message_from_bytes


class MailServer(socketserver.ThreadingTCPServer):
    """``taken`` holds the Message-ID of every mail that the server took, in order."""

    allow_reuse_address = True
    daemon_threads = True

    def __init__(self, manners, stall_seconds=1.0):
        super().__init__(("127.0.0.1", 0), _Talk)
        self.manners = iter(manners)
        self.stall_seconds = stall_seconds
        self.taken = []
        self.crashes = 0
        self.lock = threading.Lock()

    @property
    def port(self):
        return self.server_address[1]

    def next_manner(self):
        with self.lock:
            return next(self.manners, "take")

    def take(self, data):
        with self.lock:
            self.taken.append(message_from_bytes(data)["Message-ID"])


class _Talk(socketserver.StreamRequestHandler):
    def handle(self):
        try:
            self._talk(self.server.next_manner())
        except OSError:
            return

    def _talk(self, manner):
        if manner == "drop":
            return
        if manner == "stall":
            time.sleep(self.server.stall_seconds)
            return
        self._say("220 mail.example ready")
        while line := self.rfile.readline():
            word = line.split(b" ")[0].strip().upper()
            if word == b"DATA":
                self._say("354 go on")
                data = self._data()
                if manner == "busy":
                    self._say("451 4.3.0 try again later")
                    continue
                self.server.take(data)
                if manner == "late":
                    with self.server.lock:
                        self.server.crashes += 1
                    return
                if manner == "hang":
                    time.sleep(self.server.stall_seconds)
                    return
                self._say("250 2.0.0 taken")
            elif word == b"RCPT" and manner == "refuse":
                self._say("550 5.1.1 no such mailbox")
            elif word == b"QUIT":
                self._say("221 bye")
                return
            else:
                self._say("250 ok")

    def _data(self):
        lines = []
        while (line := self.rfile.readline()) not in {b".\r\n", b""}:
            lines.append(line.removeprefix(b".") if line.startswith(b"..") else line)
        return b"".join(lines)

    def _say(self, words):
        self.wfile.write(f"{words}\r\n".encode())


@contextmanager
def mail_server(manners=(), **options) -> Iterator[MailServer]:
    """Serve on a free port until the block ends."""
    with MailServer(manners, **options) as server:
        thread = threading.Thread(target=server.serve_forever, args=(0.01,))
        thread.start()
        try:
            yield server
        finally:
            server.shutdown()
            thread.join()
