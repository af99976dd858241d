"""Processes of the house, forked from one that has imported the libraries already.

The starter knows no settings and opens no database: whatever it forks reads its own
environment and sets Django up by itself. So each is as much a process of its own as
one started from a command line, less the second in which it would import libraries.
"""

import atexit
import importlib
import json
import os
import pkgutil
import runpy
import select
import signal
import socket
import subprocess
import sys
import tempfile
import threading
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
LIBRARIES = (
    "crispy_forms.helper",
    "django.contrib.admin",
    "django.core.management.commands.migrate",
    "django.db.backends.sqlite3.base",
    "django.forms",
    "holidays",
    "openpyxl",
    "PIL.Image",
    "pypdf",
    "reportlab.platypus",
    "segno",
    "xlsxwriter",
)
LARGEST = 150_000  # bytes of one request: a program, its words and its environment


# -- in the process of the tests --------------------------------------------------


class Child:
    """A running process, with as much of ``subprocess.Popen`` as the tests need."""

    def __init__(self, pid, ended, stdout, stderr):
        self.pid, self._ended = pid, ended
        self.stdout, self.stderr = stdout, stderr
        self.returncode = None

    def poll(self, seconds=0):
        """Return the exit code, or None if it has not ended within these seconds."""
        if self.returncode is None and select.select([self._ended], [], [], seconds)[0]:
            self.returncode = int(self._ended.read())
            self._ended.close()
        return self.returncode

    def kill(self):
        """Kill it, whatever it is doing."""
        if self.poll() is None:
            os.kill(self.pid, signal.SIGKILL)

    def communicate(self, timeout=None):
        """Wait for its end; return all that it wrote and has not been read yet."""
        told = {}

        def drain(name, file):
            told[name] = file.read()
            file.close()

        streams = {"out": self.stdout, "err": self.stderr}
        readers = [threading.Thread(target=drain, args=one) for one in streams.items()]
        for reader in readers:
            reader.start()
        if self.poll(timeout) is None:
            self.kill()
            raise subprocess.TimeoutExpired(f"process {self.pid}", timeout)
        for reader in readers:
            reader.join()
        return told["out"], told["err"]


class Starter:
    """The one process from which those of this run are forked."""

    def __init__(self):
        mine, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        with theirs:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "tests.starter", str(theirs.fileno())],
                cwd=ROOT,
                pass_fds=[theirs.fileno()],
            )
        self._line = mine

    def start(self, words, env, text=None):
        """Start ``python`` with these words (``-c ...`` or a script's path)."""
        out, err, ended = os.pipe(), os.pipe(), os.pipe()
        with tempfile.TemporaryFile() as given:
            given.write((text or "").encode())
            given.seek(0)
            theirs = [given.fileno(), out[1], err[1], ended[1]]
            asked = json.dumps({"words": words, "env": env}).encode()
            assert len(asked) < LARGEST
            socket.send_fds(self._line, [asked], theirs)
        for _, end in (out, err, ended):
            os.close(end)
        pid = int(self._line.recv(64))
        return Child(pid, *(os.fdopen(end[0]) for end in (ended, out, err)))

    def stop(self):
        """Hang up: the starter ends by itself."""
        self._line.close()
        self._process.wait()


_kept = []


def start(words, env, text=None):
    """Start a Python process with these words in this environment; return it."""
    if not _kept:
        _kept.append(Starter())
        atexit.register(_kept[0].stop)
    return _kept[0].start(words, env, text)


def run(words, env, text=None, timeout=None):
    """Run a Python process to its end; return it finished, as ``subprocess`` does."""
    child = start(words, env, text)
    out, err = child.communicate(timeout)
    return subprocess.CompletedProcess(words, child.returncode, out, err)


# -- in the starter ---------------------------------------------------------------


def _serve(line):
    """Fork what is asked for, and tell how each ended; in a child return its words."""
    ring, bell = os.pipe()
    os.set_blocking(bell, False)
    signal.set_wakeup_fd(bell)
    signal.signal(signal.SIGCHLD, lambda *_: None)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the tests end it by hanging up
    running = {}
    while True:
        ready, _, _ = select.select([line, ring], [], [])
        if ring in ready:
            os.read(ring, 4096)
            _tell_the_ended(running)
            continue
        asked, fds, _, _ = socket.recv_fds(line, LARGEST, 4)
        if not asked:
            os._exit(0)
        *streams, ended = fds
        pid = os.fork()
        if not pid:
            line.close()
            for fd in (ring, bell, ended, *running.values()):
                os.close(fd)
            return _become(json.loads(asked), streams)
        for fd in streams:
            os.close(fd)
        running[pid] = ended
        line.send(str(pid).encode())


def _tell_the_ended(running):
    while running:
        pid, status = os.waitpid(-1, os.WNOHANG)
        if not pid:
            return
        with os.fdopen(running.pop(pid), "w") as ended:
            ended.write(str(os.waitstatus_to_exitcode(status)))


def _become(asked, streams):
    """Be a process of one's own from here on."""
    signal.set_wakeup_fd(-1)
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    signal.signal(signal.SIGINT, signal.default_int_handler)
    for number, fd in enumerate(streams):
        os.dup2(fd, number)
        os.close(fd)
    os.environ.clear()
    os.environ.update(asked["env"])
    return asked["words"]


def _learn():
    """Import what needs no settings: the libraries, and the rules of both floors."""
    for name in LIBRARIES:
        importlib.import_module(name)
    for floor in ("inventory", "claims"):
        rules = importlib.import_module(f"{floor}.rules")
        for module in pkgutil.walk_packages(rules.__path__, f"{rules.__name__}."):
            importlib.import_module(module.name)


def main():
    """Serve; and what comes back from it, in a child, is what to run."""
    _learn()
    with socket.socket(fileno=int(sys.argv[1])) as line:
        first, *words = _serve(line)
    if first == "-c":
        source, *words = words
        sys.argv = [first, *words]
        exec(compile(source, "<string>", "exec"), {"__name__": "__main__"})
    else:
        sys.argv = [first, *words]
        runpy.run_path(first, run_name="__main__")


if __name__ == "__main__":
    main()
