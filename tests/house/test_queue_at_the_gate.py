"""First come, first served at the writer gate, and a killed process holds nobody up."""

import os
import random
import signal
import subprocess
import sys
import threading
import time

import pytest

from config.sqlite import gate as queue
from config.sqlite.gate import GateClosedError, WriterGate
from tests.house.running import ROOT

KILLS = int(os.environ.get("KILLS", "20"))
LONGEST = 30
"""Seconds after which somebody was forgotten; a turn takes some milliseconds."""

TAKE_TURNS = """
import fcntl, sys, time
from pathlib import Path
# Opened first, so that a killed process lets go of it before the gate.
desk = open(sys.argv[2], "a")
from config.sqlite.gate import WriterGate
gate = WriterGate(Path(sys.argv[1]), timeout=30)
while True:
    gate.acquire()
    fcntl.flock(desk, fcntl.LOCK_EX | fcntl.LOCK_NB)  # fails where two are inside
    time.sleep(0.002)
    fcntl.flock(desk, fcntl.LOCK_UN)
    gate.release()
    print("turn", flush=True)
"""


@pytest.fixture
def gate(tmp_path):
    """Return a function that makes one more gate at the same file."""
    return lambda timeout=LONGEST: WriterGate(tmp_path / "gate", timeout=timeout)


@pytest.fixture(autouse=True)
def places(monkeypatch):
    """Count the places taken in the queue."""
    taken, take = threading.Semaphore(0), queue._take_ticket

    def take_one(descriptor):
        ticket = take(descriptor)
        taken.release()
        return ticket

    monkeypatch.setattr(queue, "_take_ticket", take_one)
    return taken


def come(gate, name, served, places):
    """Queue in a thread of its own; return it once its place is taken."""

    def wait():
        gate.acquire()
        served.append(name)
        gate.release()

    thread = threading.Thread(target=wait)
    thread.start()
    assert places.acquire(timeout=LONGEST)
    return thread


def test_who_came_first_is_served_first(gate, places):
    holder, served = gate(), []
    holder.acquire()
    assert places.acquire(timeout=LONGEST)
    waiting = [come(gate(), name, served, places) for name in range(8)]

    holder.release()
    for thread in waiting:
        thread.join(LONGEST)

    assert served == list(range(8))


def test_a_newcomer_does_not_push_in(gate, places):
    holder, served = gate(), []
    holder.acquire()
    assert places.acquire(timeout=LONGEST)
    waiting = come(gate(), "waiting", served, places)

    holder.release()
    holder.acquire()  # the very next moment, before the sleeper can wake
    served.append("newcomer")
    holder.release()
    waiting.join(LONGEST)

    assert served == ["waiting", "newcomer"]


def test_who_gives_up_leaves_the_queue(gate, places):
    holder, served = gate(), []
    holder.acquire()
    assert places.acquire(timeout=LONGEST)
    impatient = gate(0.2)
    refused = []

    def wait():
        try:
            impatient.acquire()
        except GateClosedError as error:
            refused.append(error)

    thread = threading.Thread(target=wait)
    thread.start()
    assert places.acquire(timeout=LONGEST)
    patient = come(gate(), "patient", served, places)
    thread.join(LONGEST)
    assert [str(error) for error in refused] == ["another writer held gate for 0.2 s"]
    assert served == []

    holder.release()
    patient.join(LONGEST)
    assert served == ["patient"]
    assert not impatient.is_held


def test_a_child_forked_while_waiting_keeps_no_place(gate, places):
    holder, served = gate(), []
    holder.acquire()
    assert places.acquire(timeout=LONGEST)
    waiting = come(gate(), "waiting", served, places)
    child = os.fork()
    if child == 0:
        time.sleep(LONGEST)
        os._exit(0)
    try:
        holder.release()
        waiting.join(LONGEST / 3)
        assert served == ["waiting"]
        after = gate(LONGEST / 3)
        after.acquire()
        after.release()
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)


@pytest.mark.slow
def test_a_killed_holder_or_waiter_holds_nobody_up(gate, tmp_path):
    """Kill writers at random moments: the others and each newcomer go on."""
    draw = random.Random(KILLS)

    def start():
        return subprocess.Popen(
            [sys.executable, "-c", TAKE_TURNS, tmp_path / "gate", tmp_path / "desk"],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    writers = [start() for _ in range(4)]
    inside = gate()
    try:
        for _ in range(KILLS):
            victim = draw.randrange(len(writers))
            assert writers[victim].stdout.readline() == "turn\n"
            time.sleep(draw.random() * 0.02)
            writers[victim].kill()
            writers[victim].communicate()
            begun = time.monotonic()
            inside.acquire()
            assert time.monotonic() - begun < LONGEST
            inside.release()
            writers[victim] = start()
        assert [one.poll() for one in writers] == [None] * len(writers)
    finally:
        said = []
        for one in writers:
            one.kill()
            said.append(one.communicate()[1])
    assert said == [""] * len(writers)
