"""Kill, or refuse, at each system call of one real upload, by strace.

A program run in a site's environment. strace counts ``when=`` for each call's name
apart, so every (name, n) is walked; a name ends at the first n that is not met.
Each upload goes into an empty store, so that it makes its folders too. After it the
phone sends again, and must be acknowledged.
"""

import contextlib
import itertools
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

from tests.crash.writers import STEADY, Tally, client_id_of, count, keep, preload

MAY_REFUSE = (
    "fsync",
    "fdatasync",
    "write",
    "pwrite64",
    "link",
    "linkat",
    "mkdir",
    "mkdirat",
)
TOLD = ("BadUploadError", "OperationalError")
"""How a refusal may be told to the view, which answers 507 or 503."""


class Walk:
    """Uploads one after the other, each under another fault."""

    def __init__(self, folder, scratch):
        self.folder, self.log = folder, scratch / "trace"
        self.numbers = itertools.count()
        self.tally, self.ends = Tally(), Counter()

    def names(self):
        """Return the names of all system calls that one upload makes."""
        self._upload(next(self.numbers))
        text = self.log.read_text()
        return sorted(set(re.findall(r"^(?:\d+ +)?(\w+)\(", text, re.MULTILINE)))

    def go(self, names, fault):
        """Meet a fault at each n-th call of each name. ``fault`` has ``{n}`` in it."""
        for name in names:
            for n in itertools.count(1):
                if not self._meet(name, fault.format(n=n)):
                    break

    def _meet(self, name, fault):
        """Upload once under a fault; return whether it was met."""
        shutil.rmtree(self.folder / "originals", ignore_errors=True)
        number = next(self.numbers)
        inject = ["-e", f"trace={name}", "-e", f"inject={name}:{fault}"]
        was_killed, answer = self._upload(number, inject)
        if not was_killed and "(INJECTED)" not in self.log.read_text():
            return False
        self.tally.stops += 1
        what = f"{name}:{fault}"
        self._judge(number, was_killed, answer, what)
        self._again(number, what)
        return True

    def _judge(self, number, was_killed, answer, what):
        pairs = [(STEADY, number)] if answer == "kept" else []
        found, one = self._look(number, pairs)
        self.tally.acknowledged += len(pairs)
        self.tally.lost += found.lost
        self.tally.torn += found.torn
        self.tally.notes += [f"{what}: {note}" for note in found.notes]
        if not was_killed and answer not in {"kept", *TOLD}:
            self.tally.notes.append(f"{what}: told as {answer}")
        self.ends[_word(answer, one, found)] += 1

    def _again(self, number, what):
        """Send the same photo again without a fault."""
        _, answer = self._upload(number, None)
        found, one = self._look(number, [(STEADY, number)])
        if answer != "kept" or found.lost or found.torn or not one:
            self.tally.notes.append(f"{what}: sent again: {answer} {found.notes}")
            self.tally.lost += 1

    def _look(self, number, pairs):
        client_id = client_id_of(STEADY, number).hex
        found, rows = count(self.folder, pairs, only=client_id)
        return found, client_id in rows

    def _upload(self, number, inject=()):
        """Upload in a process of its own, traced unless ``inject`` is None."""
        reading, writing = os.pipe()
        pid = os.fork()
        if pid == 0:
            _keep_and_tell(number, writing)
        os.close(writing)
        os.waitpid(pid, os.WUNTRACED)
        tracer = None if inject is None else self._attach(pid, inject)
        os.kill(pid, signal.SIGCONT)
        _, status = os.waitpid(pid, 0)
        if tracer:
            tracer.communicate()
        with os.fdopen(reading, "rb") as pipe:
            return os.WIFSIGNALED(status), pipe.read().decode()

    def _attach(self, pid, inject):
        tracer = subprocess.Popen(
            ["strace", "-f", "-o", self.log, *inject, "-p", str(pid)],
            stderr=subprocess.PIPE,
            text=True,
        )
        told = tracer.stderr.readline()
        if "attached" not in told:
            os.kill(pid, signal.SIGKILL)
            raise RuntimeError(told)
        return tracer


def _keep_and_tell(number, writing):
    """Wait to be traced, keep the photo, tell how it ended. Does not return."""
    os.kill(os.getpid(), signal.SIGSTOP)
    try:
        keep(STEADY, number)
        os.writev(writing, [b"kept"])  # a call that is not refused in the walk
    except Exception as error:  # noqa: BLE001 - whatever it is must be told
        with contextlib.suppress(OSError):
            os.writev(writing, [type(error).__name__.encode()])
    os._exit(0)


def _word(answer, has_row, found):
    if answer == "kept":
        return "acknowledged"
    if has_row:
        return "row not yet acknowledged"
    if found.orphans:
        return "orphan"
    return "temporary only" if found.temporary else "nothing"


def main(what):
    """Walk and print tally and end states as JSON. ``what``: kill, EIO or ENOSPC."""
    from django.conf import settings
    from django.db import connections

    preload()
    with tempfile.TemporaryDirectory() as scratch:
        walk = Walk(Path(settings.DATA_DIR), Path(scratch))
        keep(STEADY, next(walk.numbers))  # whatever is done only once is done now
        connections.close_all()
        names = walk.names()
        if what == "kill":
            walk.go(names, "signal=KILL:when={n}")
        else:
            names = [name for name in MAY_REFUSE if name in names]
            walk.go(names, f"error={what}:when={{n}}")
            walk.go(names, f"error={what}:when={{n}}+")
    result = {"tally": vars(walk.tally), "ends": walk.ends, "names": names}
    sys.stdout.write(json.dumps(result) + "\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
