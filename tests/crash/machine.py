"""What this machine allows: tracing, mounting, loop devices. And how to use it.

Programs that mount run in a mount namespace of their own, so that whatever happens
to them, their mounts and loop devices end with them.
"""

import json
import os
import shutil
import subprocess
import sys

import pytest

from tests.sites import ROOT

ALONE = ("unshare", "--mount", "--propagation", "private")


def needs_strace():
    """Skip the test in plain words where no process can be traced."""
    if shutil.which("strace") is None:
        pytest.skip("strace is not installed")
    if not _works(
        "strace", "-o", os.devnull, "-e", "inject=getppid:error=EIO:when=1", "true"
    ):
        pytest.skip("this machine does not let strace inject faults")
    if not _may_attach():
        pytest.skip("this machine does not let strace attach to a running process")


def needs_mounts():
    """Skip the test in plain words where nothing can be mounted."""
    if os.geteuid() != 0:
        pytest.skip("mounting a disk of one's own needs root")
    if not _works(*ALONE, "mount", "-t", "tmpfs", "none", "/mnt"):
        pytest.skip("this machine does not allow mounts")


def needs_loop():
    """Skip the test in plain words where a file cannot be mounted as ext4."""
    needs_mounts()
    if shutil.which("mkfs.ext4") is None:
        pytest.skip("mkfs.ext4 is not installed")
    if not _works("losetup", "--find"):
        pytest.skip("this machine has no loop devices")


def _may_attach():
    sleeper = subprocess.Popen(["sleep", "30"])
    tracer = subprocess.Popen(
        ["strace", "-o", os.devnull, "-p", str(sleeper.pid)],
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        return "attached" in tracer.stderr.readline()
    finally:
        for process in (tracer, sleeper):
            process.kill()
            process.communicate()


def _works(*words):
    try:
        done = subprocess.run(words, capture_output=True, timeout=30, check=False)
    except OSError:
        return False
    return done.returncode == 0


def run_program(site, module, *words, alone=False, seconds=600):
    """Run one of these programs in a site's environment; return what it printed.

    It prints one JSON value. It and all it started are killed when time is up.
    """
    process = subprocess.Popen(
        [*(ALONE if alone else ()), sys.executable, "-m", module, *map(str, words)],
        cwd=ROOT,
        env=site.env,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        out, err = process.communicate(timeout=seconds)
    finally:
        _end_session(process)
    assert process.returncode == 0, err
    return json.loads(out)


def _end_session(process):
    try:
        os.killpg(process.pid, 9)
    except ProcessLookupError:
        return
    process.wait()
