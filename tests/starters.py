"""Processes of the house, forked from one that has imported what they need already.

The first starter knows no settings: whatever it forks reads its own environment and
sets Django up by itself. A site that starts many processes gets a starter of its own,
forked from the first, in which Django is set up for it. None opens a database. So each
process is as much one of its own as if it were started from a command line, less the
second in which it would import libraries.
"""

import atexit
import gc
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
import traceback
from functools import cache
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
    """A process from which others are forked, at the other end of a line."""

    def __init__(self, begin):
        self._line, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        with theirs:
            self._process = begin(theirs.fileno())

    def start(self, words, env, text=None, line=()):
        """Start ``python`` with these words (``-c ...`` or a script's path)."""
        out, err, ended = os.pipe(), os.pipe(), os.pipe()
        with tempfile.TemporaryFile() as given:
            given.write((text or "").encode())
            given.seek(0)
            theirs = [given.fileno(), out[1], err[1], ended[1], *line]
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
        self._process.communicate()


def _begin_first(line):
    words = [sys.executable, "-m", "tests.starters", str(line)]
    return subprocess.Popen(words, cwd=ROOT, pass_fds=[line])


@cache
def first():
    """Return the starter that knows no settings."""
    starter = Starter(_begin_first)
    atexit.register(starter.stop)
    return starter


def for_site(env):
    """Return a starter in which Django is set up in this environment."""
    return Starter(lambda line: first().start([], env, line=[line]))


def start(words, env, text=None):
    """Start a Python process with these words in this environment; return it."""
    return first().start(words, env, text)


def run(words, env, text=None, timeout=None):
    """Run a Python process to its end; return it finished, as ``subprocess`` does."""
    return finished(words, start(words, env, text), timeout)


def finished(words, child, timeout=None):
    """Wait for the process's end; return it as ``subprocess`` does."""
    out, err = child.communicate(timeout)
    return subprocess.CompletedProcess(words, child.returncode, out, err)


# -- in the starter ---------------------------------------------------------------


def _serve(line):
    """Fork what is asked for, and tell how each ended; in a child return its words."""
    gc.collect()
    gc.freeze()  # else a child's first collection would copy all it shares with us
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
        asked, fds, _, _ = socket.recv_fds(line, LARGEST, 5)
        if not asked:
            os._exit(0)
        streams, ended, lines = fds[:3], fds[3], fds[4:]
        pid = os.fork()
        if not pid:
            line.close()
            for fd in (ring, bell, ended, *running.values()):
                os.close(fd)
            words = _become(json.loads(asked), streams)
            return _serve_site(*lines) if lines else words
        for fd in (*streams, *lines):
            os.close(fd)
        running[pid] = ended
        line.send(str(pid).encode())


def _serve_site(line):
    """Set Django up for one site, and go on as its starter."""
    import django

    django.setup()
    for floor in ("inventory", "claims"):
        _import_all(f"{floor}.actions")
    with socket.socket(fileno=line) as other:
        return _serve(other)


def _import_all(name):
    room = importlib.import_module(name)
    for module in pkgutil.walk_packages(room.__path__, f"{name}."):
        importlib.import_module(module.name)


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
        _import_all(f"{floor}.rules")


def main():
    """Serve; and what comes back from it, in a child, is what to run."""
    _learn()
    with socket.socket(fileno=int(sys.argv[1])) as line:
        words = _serve(line)
    acts = (lambda: _run(*words), threading._shutdown, _say_goodbye)
    # As at any exit, but without taking each module apart at last.
    codes = [_exit_code_of(act) for act in acts]
    os._exit(next(filter(None, codes), 0))


def _run(kind, *words):
    if kind == "-c":
        source, *words = words
        sys.argv = [kind, *words]
        exec(compile(source, "<string>", "exec"), {"__name__": "__main__"})
    else:
        sys.argv = [kind, *words]
        runpy.run_path(kind, run_name="__main__")


def _say_goodbye():
    atexit._run_exitfuncs()
    sys.stdout.flush()
    sys.stderr.flush()


def _exit_code_of(act):
    """Do it; return the code that Python would exit with."""
    try:
        act()
    except SystemExit as asked:
        if asked.code is None or isinstance(asked.code, int):
            return asked.code or 0
        sys.stderr.write(f"{asked.code}\n")
        return 1
    except BaseException:  # noqa: BLE001 - told as Python itself would
        traceback.print_exc()
        return 1
    return 0


if __name__ == "__main__":
    main()
