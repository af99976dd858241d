"""The decoder of the machine: asked by all, kept alive by one, replaced when it fails."""

import json
import os
import signal
import socket
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from inventory.evidence.pictures import decode, decoder, renditions
from inventory.evidence.store import originals as store
from tests.inventory.evidence.pictures.test_decode import SCRIPT, TRY_ALL
from tests.pictures import jpeg

pytestmark = [pytest.mark.decoder, pytest.mark.processes]


@pytest.fixture
def keeper(settings, tmp_path):
    """A decoder that is kept alive, in a folder whose name is long."""
    settings.DATA_DIR = tmp_path / ("long" * 25)
    settings.DATA_DIR.mkdir()
    one = decoder.Keeper()
    yield one
    one.close()


def kept(data):
    return store.store_original([data], limit=10**8).sha256


def asked(data=b""):
    """Return what the decoder tells, without the renditions; None for no answer."""
    path = Path(decoder.settings.DATA_DIR) / "asked"
    path.write_bytes(data)
    with path.open("rb") as source:
        told = decoder.ask(source)
    return json.loads(told.partition(b"\n")[0]) if told else None


def written(tmp_path, body):
    """Write a decoder that does this instead of reading the picture."""
    lines = "".join(f"        {line}\n" for line in body.splitlines())
    source = SCRIPT.read_text()
    real = "        facts, pictures = _read(data, version)\n"
    assert real in source
    script = tmp_path / "decode.py"
    script.write_text(source.replace(real, f"{lines}        pictures = []\n"))
    return script


def test_it_answers_as_a_child_of_ones_own_does(keeper):
    sha256 = kept(jpeg())
    own = renditions.read_picture(sha256)
    assert not decoder.is_kept()
    assert asked() is None

    assert keeper.take()
    assert decoder.is_kept()
    assert asked(jpeg())["width"] == 640
    assert renditions.read_picture(sha256) == own


def test_one_process_of_the_machine_keeps_it_and_the_next_takes_over(keeper):
    assert keeper.take()
    other = decoder.Keeper()
    assert not other.take()
    keeper.close()
    assert other.take()
    assert asked()["error"] == "UnidentifiedImageError"
    other.close()
    assert not decoder.is_kept()


@pytest.mark.parametrize(
    "fate", [signal.SIGKILL, signal.SIGSTOP], ids=["dead", "hangs"]
)
def test_one_that_ended_or_hangs_is_replaced(keeper, monkeypatch, fate):
    keeper.take()
    assert asked()
    os.kill(keeper._process.pid, fate)
    if fate == signal.SIGKILL:
        keeper._process.wait()
    monkeypatch.setattr(decoder, "PATIENCE", 0.5)
    monkeypatch.setattr(decoder, "LOOK_EVERY", 0.0)
    keeper.look_after()
    monkeypatch.setattr(decoder, "PATIENCE", 60.0)
    assert asked()["error"] == "UnidentifiedImageError"


def test_a_picture_that_kills_its_reader_harms_no_other(keeper, tmp_path, monkeypatch):
    body = "if len(data) == 3: os.abort()\nfacts = {'width': len(data)}"
    monkeypatch.setattr(decoder, "_SCRIPT", written(tmp_path, body))
    keeper.take()
    assert asked(b"two") is None
    assert asked(b"four")["width"] == 4

    monkeypatch.setattr(renditions, "_SCRIPT", decoder._SCRIPT)
    assert renditions.read_picture(kept(b"abc")).trouble == "CalledProcessError"


def test_each_picture_is_read_with_limits(keeper, tmp_path, monkeypatch):
    body = f"import errno, subprocess\n{TRY_ALL}".replace('"a program"', '"prog"')
    monkeypatch.setattr(decoder, "_SCRIPT", written(tmp_path, body))
    script = decoder._SCRIPT
    script.write_text(
        "import errno, subprocess\n"
        + script.read_text().replace("import errno, subprocess\n", "", 1)
    )
    keeper.take()
    assert asked(b"x")["refused"] == [
        "a file",
        "a new file",
        "a socket",
        "a unix socket",
        "a pipe",
        "prog",
    ]


def test_a_picture_is_handed_over_open_from_its_start_and_its_bytes_are_not_sent(
    keeper, tmp_path
):
    path = tmp_path / "photo"
    path.write_bytes(b"begin" + bytes(300_000))
    arrived = []
    with socket.socket(socket.AF_UNIX) as listening:
        with decoder._at_hand() as place:
            listening.bind(place)
        listening.listen()

        def answer():
            line, _ = listening.accept()
            with line:
                message, (source,), _, _ = socket.recv_fds(line, 1 << 20, 9)
                arrived.extend([len(message), decode._bytes_of(source)])
                line.sendall(b"read")

        with ThreadPoolExecutor() as pool, path.open("rb") as source:
            told = pool.submit(answer)
            source.read(1000)  # who asks has looked into it
            assert decoder.ask(source) == b"read"
            told.result()
    assert arrived == [1, path.read_bytes()]


def test_while_a_picture_is_decoded_no_file_is_open(keeper, tmp_path, monkeypatch):
    body = """
import stat
facts = {"files": [], "lines": []}
for number in [0, *range(3, 100)]:
    with suppress(OSError):
        kind = stat.S_IFMT(os.fstat(number).st_mode)
        facts["lines" if kind == stat.S_IFSOCK else "files"].append(number)
facts["read"] = len(data)
"""
    monkeypatch.setattr(decoder, "_SCRIPT", written(tmp_path, body))
    keeper.take()
    told = asked(b"four")
    assert (told["read"], told["files"], len(told["lines"])) == (4, [], 1)


def test_one_that_hangs_over_a_picture_is_killed_and_others_are_read(
    keeper, tmp_path, monkeypatch
):
    body = "time.sleep(60 if data == b'slow' else 0)\nfacts = {'width': len(data)}"
    script = written(tmp_path, body)
    script.write_text(script.read_text().replace("HANGS_AFTER = 25", "HANGS_AFTER = 1"))
    monkeypatch.setattr(decoder, "_SCRIPT", script)
    keeper.take()
    began = time.monotonic()
    assert asked(b"slow") is None
    assert time.monotonic() - began < 20
    assert asked(b"four")["width"] == 4


@pytest.mark.parametrize("sent", [20, -1], ids=["amid the facts", "amid a copy"])
def test_an_answer_that_was_cut_is_not_taken_for_the_picture(
    keeper, tmp_path, monkeypatch, sent
):
    sha256 = kept(jpeg())
    own = renditions.read_picture(sha256)
    real = "connection.sendall(answer(_bytes_of(source), decoder))"
    cut = f"connection.sendall(answer(_bytes_of(source), decoder)[:{sent}])"
    script = tmp_path / "decode.py"
    assert real in SCRIPT.read_text()
    script.write_text(SCRIPT.read_text().replace(real, cut))
    monkeypatch.setattr(decoder, "_SCRIPT", script)
    keeper.take()
    assert renditions.read_picture(sha256) == own


def test_it_ends_with_the_process_that_started_it():
    with socket.socket(socket.AF_UNIX) as listening:
        done = subprocess.run(
            [sys.executable, "-I", str(SCRIPT), "serve", str(os.getpid() + 1)],
            stdin=listening.fileno(),
            timeout=30,
            check=False,
        )
    assert done.returncode == 0


def test_a_child_that_was_stopped_says_nothing_of_the_picture(tmp_path, monkeypatch):
    script = tmp_path / "decode.py"
    script.write_text("import os\nos.kill(os.getpid(), 15)\n")
    monkeypatch.setattr(renditions, "_SCRIPT", script)
    sha256 = kept(jpeg())

    with pytest.raises(renditions.DecoderStoppedError):
        renditions.read_picture(sha256)
    missing = renditions.rendition_path(sha256, 320)
    missing.unlink(missing_ok=True)
    assert renditions.ensure_rendition(sha256, 320) is None
