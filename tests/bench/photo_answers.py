"""How soon photos are answered and read: ``python -m tests.bench.photo_answers``.

A look, not a test. A site of its own is served with the working program beside it;
one phone sends photos of twelve megapixels one after the other, then forty at once.
Then the same bodies go to the floor: a bare WSGI application that receives, hashes,
syncs and commits one row. Processor time is that of all processes of each side.
"""

import hashlib
import io
import json
import os
import random
import re
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
import uuid
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from http.cookiejar import CookieJar
from pathlib import Path

import django
from PIL import Image

PHOTOS, AT_ONCE = 20, 40
TICKS = os.sysconf("SC_CLK_TCK")
SEEDING = "from tests.crash.prepare import main; main()"
READ = "SELECT count(DISTINCT evidence_id) FROM inventory_reading"


def photo(seed):
    """Return a photo of twelve megapixels and about three megabytes."""
    dice = random.Random(seed)
    small = Image.frombytes("L", (504, 378), dice.randbytes(504 * 378))
    grain = Image.effect_noise((4032, 3024), 22)
    shape = small.resize((4032, 3024), Image.Resampling.BICUBIC)
    image = Image.merge(
        "RGB", (Image.blend(shape, grain, 0.45), shape, Image.blend(shape, grain, 0.3))
    )
    out = io.BytesIO()
    image.save(out, "JPEG", quality=80)
    return out.getvalue()


def processor(session):
    """Return the seconds that all processes of a session computed so far."""
    total = 0
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            parts = stat.read_text().rpartition(")")[2].split()
            if int(parts[3]) == session:
                total += sum(map(int, parts[11:15]))
    return total / TICKS


def memory(session):
    """Return the proportional memory of all processes of a session, in megabytes."""
    total = 0
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            if int(stat.read_text().rpartition(")")[2].split()[3]) == session:
                found = re.search(
                    r"Pss:\s+(\d+)", (stat.parent / "smaps_rollup").read_text()
                )
                total += int(found[1]) if found else 0
    return total / 1024


@contextmanager
def running(words, env, port):
    """Run a command in a session of its own; yield its id once its port answers."""
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    process = subprocess.Popen(words, env=env, start_new_session=True, **quiet)
    try:
        for _ in range(300):
            if port is None:
                break
            with suppress(OSError), socket.create_connection(("127.0.0.1", port), 1):
                break
            time.sleep(0.1)
        yield process.pid
    finally:
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGTERM)
        process.wait(40)


def free_port():
    """Return a port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Phone:
    """A signed-in browser that sends photos."""

    def __init__(self, address, truck, name="rosa"):
        self.url = f"{address}/photos/capture/?delivery={truck}"
        self.jar = CookieJar()
        self.opener = urllib.request.build_opener(
            urllib.request.HTTPCookieProcessor(self.jar)
        )
        page = self.opener.open(f"{address}/accounts/login/").read().decode()
        token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)[1]
        form = (
            f"csrfmiddlewaretoken={token}&username={name}"
            "&password=kraft-paper-stencil-9"
        )
        asked = urllib.request.Request(f"{address}/accounts/login/", form.encode())
        asked.add_header("Referer", f"{address}/accounts/login/")
        self.opener.open(asked).read()
        me = self.opener.open(f"{address}/phone/me/").read()
        self.token = json.loads(me)["csrf"]

    def body(self, data):
        """Return one photo as a form, and the form's boundary."""
        border = uuid.uuid4().hex
        fields = {
            "csrfmiddlewaretoken": self.token,
            "client_id": str(uuid.uuid4()),
            "kind": "damage",
            "sha256": hashlib.sha256(data).hexdigest(),
        }
        parts = [
            f'--{border}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n'
            f"{value}\r\n".encode()
            for name, value in fields.items()
        ]
        parts.append(
            f'--{border}\r\nContent-Disposition: form-data; name="photo"; '
            'filename="p.jpg"\r\nContent-Type: image/jpeg\r\n\r\n'.encode()
        )
        return b"".join([*parts, data, f"\r\n--{border}--\r\n".encode()]), border

    def send(self, body, border, url=None):
        """Send one form; return the seconds to its answer."""
        asked = urllib.request.Request(url or self.url, body)
        asked.add_header("Content-Type", f"multipart/form-data; boundary={border}")
        asked.add_header("Dock-Phone", "1")
        asked.add_header("Referer", self.url)
        began = time.perf_counter()
        with self.opener.open(asked) as answer:
            answer.read()
        return time.perf_counter() - began


def seeded_site(prefix, seed):
    """Make a site with what this program seeds; return its folder and environment."""
    top = Path(tempfile.mkdtemp(prefix=prefix))
    os.environ |= {
        "DJANGO_SETTINGS_MODULE": "config.settings",
        "DOCK_DATA_DIR": str(top),
    }
    django.setup()

    from tests.prepared import environment, sqlite_file  # it needs the models

    env = environment(top)
    (top / "db.sqlite3").write_bytes(Path(sqlite_file()).read_bytes())
    setup = f"import django; django.setup()\n{seed}"
    subprocess.run([sys.executable, "-c", setup], env=env, check=True)
    return top, env


def main():
    """Measure both sides in one run, and print the table."""
    photos = [photo(n) for n in range(8)]
    top, env = seeded_site("photo-answers-", SEEDING)
    port, bare = free_port(), free_port()
    (top / "floor").mkdir()
    gunicorn = [sys.executable, "-m", "gunicorn", "--config"]
    config = "config/deploy/gunicorn.conf.py"
    site = [*gunicorn, config, "--bind", f"127.0.0.1:{port}", "config.wsgi"]
    floor = [*gunicorn, "/dev/null", "--bind", f"127.0.0.1:{bare}", "--workers", "2"]
    floor += ["--threads", "4", "tests.bench.photo_floor:application"]
    with (
        running(site, env, port) as web,
        running([sys.executable, "manage.py", "work"], env, None) as work,
        running(floor, {**env, "FLOOR_FOLDER": str(top / "floor")}, bare) as ground,
    ):
        time.sleep(6)
        phone = Phone(f"http://127.0.0.1:{port}", 1)
        for place in range(3):
            phone.send(*phone.body(varied(photos, 1000 + place)))
        floors = one_by_one(phone, photos, ((web, work, ground), bare), top)
        at_once(phone, photos, (web, work), top, floors=floors)


def varied(photos, number):
    """Return another photo of the same weight: a few bytes behind its end."""
    return photos[number % len(photos)] + f"{number:08d}".encode()


def least_work(photos):
    """Return the processor time of half-scale decoding and two renditions of one photo."""
    begun = time.process_time()
    for data in photos:
        image = Image.open(io.BytesIO(data))
        image.draft("RGB", (image.width // 2, image.height // 2))
        image.load()
        image.save(io.BytesIO(), "JPEG", quality=80)
        image.thumbnail((320, 320), Image.Resampling.BICUBIC)
        image.save(io.BytesIO(), "JPEG", quality=80)
    return (time.process_time() - begun) / len(photos)


def one_by_one(phone, photos, sides, top):
    """Send photos in turn to the site and to the floor; return both floors a photo."""
    (web, work, ground), bare = sides
    ours, least, read = [], [], []
    wait_for_readings(top, 3)
    worked = processor(work)
    spent = processor(web) + worked
    floor_spent = processor(ground)
    for number in range(PHOTOS):
        body = phone.body(varied(photos, number))
        ours.append(phone.send(*body))
        began = time.perf_counter()
        wait_for_readings(top, number + 4)
        read.append(time.perf_counter() - began)
        least.append(phone.send(*body, url=f"http://127.0.0.1:{bare}/"))
    spent = processor(web) + processor(work) - spent
    worked = processor(work) - worked
    decoded = least_work(photos)
    floor_spent = processor(ground) - floor_spent
    middle = statistics.median
    sys.stdout.write(
        f"answer: median {middle(ours) * 1000:.0f} ms, slowest {max(ours) * 1000:.0f}; "
        f"floor {middle(least) * 1000:.0f} ms; ratio {middle(ours) / middle(least):.1f}\n"
        f"reading after the answer: median {middle(read) * 1000:.0f} ms, slowest "
        f"{max(read) * 1000:.0f}\n"
        f"processor time a photo: {spent / PHOTOS * 1000:.0f} ms; floor "
        f"{floor_spent / PHOTOS * 1000:.0f} ms\n"
        f"of it working: {worked / PHOTOS * 1000:.0f} ms; half-scale decoding with two "
        f"renditions {decoded * 1000:.0f} ms; rate "
        f"{(decoded + floor_spent / PHOTOS) / (spent / PHOTOS):.2f} of both floors\n"
    )
    return decoded, floor_spent / PHOTOS


def at_once(phone, photos, sessions, top, *, floors):
    """Send forty photos together, and watch the memory meanwhile."""
    idle = sum(map(memory, sessions))
    begun = [processor(one) for one in sessions]
    bodies = [phone.body(varied(photos, 100 + n)) for n in range(AT_ONCE)]
    began = time.perf_counter()
    most = idle
    with ThreadPoolExecutor(AT_ONCE) as pool:
        sent = [pool.submit(phone.send, *body) for body in bodies]
        while not all(one.done() for one in sent):
            most = max(most, sum(map(memory, sessions)))
            time.sleep(0.2)
    failed = sum(one.exception() is not None for one in sent)
    slowest = max(one.result() for one in sent if not one.exception())
    answered = time.perf_counter() - began
    while (
        readings(top) < PHOTOS + 3 + AT_ONCE - failed
        and time.perf_counter() < began + 120
    ):
        most = max(most, sum(map(memory, sessions)))
        time.sleep(0.2)
    sys.stdout.write(
        f"{AT_ONCE} at once: {failed} errors, slowest {slowest:.1f} s, all answered in "
        f"{answered:.1f} s, all read in {time.perf_counter() - began:.1f} s; memory "
        f"{idle:.0f} MB idle, {most:.0f} MB at most\n"
    )
    web, work = (
        (processor(one) - before) / AT_ONCE
        for one, before in zip(sessions, begun, strict=True)
    )
    sys.stdout.write(
        f"processor time a photo of these: {web * 1000:.0f} ms serving, "
        f"{work * 1000:.0f} ms working; rate {sum(floors) / (web + work):.2f} of both "
        f"floors, {floors[0] / work:.2f} of decoding alone\n"
    )


def readings(top):
    """Return how many photos of the site are read."""
    import sqlite3

    rows = sqlite3.connect(top / "db.sqlite3", timeout=20)
    try:
        return rows.execute(READ).fetchone()[0]
    finally:
        rows.close()


def wait_for_readings(top, count):
    """Wait until so many photos are read, at most half a minute."""
    until = time.perf_counter() + 30
    while readings(top) < count and time.perf_counter() < until:
        time.sleep(0.01)


if __name__ == "__main__":
    main()
