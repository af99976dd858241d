"""A document that is drawn to be looked at: once, by one, told by its files alone."""

import os
import signal
import subprocess
import sys
import threading
import time
from datetime import UTC, datetime, timedelta

import pytest

from inventory.evidence.store import drawn_files
from inventory.evidence.store.drawn_files import NotDrawnError, NotDrawnYetError
from inventory.evidence.store.sweep import sweep


@pytest.fixture(autouse=True)
def folder(tmp_path, settings):
    settings.FILE_UPLOAD_TEMP_DIR = tmp_path
    settings.DRAWN_WITHIN = 0.1
    return tmp_path


class Slow:
    """Draws at once what can be drawn, and ends when it may."""

    def __init__(self):
        self.times, self.may_end = 0, threading.Event()

    def __call__(self, out, say):
        self.times += 1
        out.write(b"first ")
        say("Laying out page 1 of 2")
        assert self.may_end.wait(30)
        out.write(b"last")


def whole(out, _say):
    out.write(b"whole")


def until(answer, seconds=20):
    end = time.monotonic() + seconds
    while not (found := answer()) and time.monotonic() < end:
        time.sleep(0.01)
    return found


def read(file):
    with file:
        return file.read()


def test_what_is_drawn_in_a_moment_is_returned_and_drawn_once(settings):
    settings.DRAWN_WITHIN = 60
    times = []

    def draw(out, say):
        times.append(out)
        whole(out, say)

    assert read(drawn_files.drawn("one", draw)) == b"whole"
    assert read(drawn_files.drawn("one", draw)) == b"whole"
    assert len(times) == 1
    assert not drawn_files.is_being_drawn("one")


def test_who_asks_while_it_is_drawn_waits_for_the_same_file(folder):
    slow = Slow()
    assert drawn_files.drawn("one", slow) is None
    assert drawn_files.drawn("one", slow) is None
    assert drawn_files.is_being_drawn("one")
    assert drawn_files.finished("one") is None
    assert drawn_files.how_far("one") == "Laying out page 1 of 2"

    slow.may_end.set()
    assert read(until(lambda: drawn_files.finished("one"))) == b"first last"
    assert until(lambda: [path.name for path in folder.iterdir()] == ["drawn-one.pdf"])
    assert slow.times == 1


def test_one_that_ends_between_two_looks_at_it_is_returned(settings, monkeypatch):
    slow = Slow()
    assert drawn_files.drawn("one", slow) is None

    def ends_now(_name):
        slow.may_end.set()
        with until(lambda: drawn_files.finished("one")):
            return False

    settings.DRAWN_WITHIN = 60
    monkeypatch.setattr(drawn_files, "is_being_drawn", ends_now)
    assert read(drawn_files.drawn("one", slow)) == b"first last"
    assert slow.times == 1


def test_twenty_at_once_draw_one_file():
    slow, found = Slow(), []
    threads = [
        threading.Thread(target=lambda: found.append(drawn_files.drawn("one", slow)))
        for _ in range(20)
    ]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert found == [None] * 20
    slow.may_end.set()
    assert read(until(lambda: drawn_files.finished("one"))) == b"first last"
    assert slow.times == 1


def test_what_fails_in_a_moment_is_raised_and_leaves_nothing(folder, settings, caplog):
    settings.DRAWN_WITHIN = 60

    def fails(out, _say):
        out.write(b"half")
        raise ValueError("A photo is missing.")

    with pytest.raises(ValueError, match="missing"):
        drawn_files.drawn("one", fails)
    assert until(lambda: not list(folder.iterdir()))
    assert "could not be drawn" in caplog.text


def test_facts_are_kept_beside_the_file(folder, settings):
    settings.DRAWN_WITHIN = 60

    def draw(out, say):
        whole(out, say)
        return "of 1000 pixels"

    read(drawn_files.drawn("one", draw))
    assert drawn_files.facts_of("one") == "of 1000 pixels"
    (folder / "drawn-one.facts").unlink()
    with pytest.raises(NotDrawnError, match="made too long ago"):
        drawn_files.facts_of("one")
    assert drawn_files.finished("one") is None  # else nobody would draw it again


def test_an_act_is_told_to_come_again_and_then_has_the_file():
    slow = Slow()
    with pytest.raises(NotDrawnYetError, match="Laying out page 1 of 2"):
        drawn_files.drawn_now("one", slow)
    assert drawn_files.far_or_none("one") == "Laying out page 1 of 2"
    slow.may_end.set()
    assert until(lambda: drawn_files.far_or_none("one") is None)
    assert read(drawn_files.drawn_now("one", slow)) == b"first last"
    assert slow.times == 1


@pytest.mark.parametrize(
    ("error", "told"),
    [
        (NotDrawnError("A photo is missing."), "A photo is missing."),
        (ZeroDivisionError("x"), "could not be made"),
    ],
)
def test_an_act_is_told_once_why_it_was_not_drawn_and_the_next_one_draws(
    error, told, settings
):
    may_end = threading.Event()

    def fails(_out, _say):
        assert may_end.wait(30)
        raise error

    with pytest.raises(NotDrawnYetError):
        drawn_files.drawn_now("one", fails)
    may_end.set()
    assert until(lambda: not drawn_files.is_being_drawn("one"))
    with pytest.raises(NotDrawnError, match=told):
        drawn_files.drawn_now("one", fails)
    settings.DRAWN_WITHIN = 60
    assert read(drawn_files.drawn_now("one", whole)) == b"whole"


def test_why_it_failed_is_told_for_a_minute_and_not_where_it_is_there(folder, settings):
    settings.DRAWN_WITHIN = 60
    why = folder / "drawn-one.why"
    why.write_text("A photo is missing.")
    then = time.time() - 61
    os.utime(why, (then, then))
    assert read(drawn_files.drawn_now("one", whole)) == b"whole"
    why.write_text("A photo is missing.")
    assert read(drawn_files.drawn_now("one", whole)) == b"whole"


KILLED = """
import sys, time
from django.conf import settings
settings.configure(FILE_UPLOAD_TEMP_DIR=sys.argv[1], DRAWN_WITHIN=0.1)
from inventory.evidence.store import drawn_files
def draw(out, say):
    out.write(b"half of it")
    out.flush()
    print("drawing", flush=True)
    time.sleep(60)
drawn_files.drawn("one", draw)
time.sleep(60)
"""


@pytest.mark.processes
def test_one_that_was_killed_is_told_from_one_that_draws_and_is_drawn_again(
    folder, settings
):
    child = subprocess.Popen(
        [sys.executable, "-c", KILLED, str(folder)], stdout=subprocess.PIPE
    )
    assert child.stdout.readline() == b"drawing\n"
    assert drawn_files.is_being_drawn("one")
    child.send_signal(signal.SIGKILL)
    child.wait()
    child.stdout.close()

    assert not drawn_files.is_being_drawn("one")
    assert drawn_files.finished("one") is None
    settings.DRAWN_WITHIN = 60
    assert read(drawn_files.drawn("one", whole)) == b"whole"


@pytest.mark.django_db
def test_the_sweep_takes_all_that_is_older_than_an_hour(folder, settings, tmp_path):
    settings.EVIDENCE_ROOT = tmp_path / "originals"
    settings.RENDITION_ROOT = tmp_path / "renditions"
    settings.PACKET_ROOT = tmp_path / "packets"
    at = datetime.now(tz=UTC)
    for name, minutes in (("one.pdf", 61), ("two.part", 61), ("new.pdf", 59)):
        path = folder / f"drawn-{name}"
        path.touch()
        then = (at - timedelta(minutes=minutes)).timestamp()
        os.utime(path, (then, then))

    sweep(at=at)

    assert [path.name for path in folder.glob("drawn-*")] == ["drawn-new.pdf"]
