"""What a running server bears: ``python -m tests.bench.served``. A look, not a test.

The default server without a proxy, and the working program beside it. Slow clients first:
200 connections that dribble a form, and 8 phones at 184 KB a second, while the health page
and the dock are asked for again and again. Then 40 photos at once, then a claim file of
200 photos. Memory is the proportional one of all processes of both programs.
"""

import os
import re
import socket
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from urllib.parse import urlsplit

from tests.bench.photo_answers import (
    Phone,
    free_port,
    memory,
    photo,
    running,
    seeded_site,
    varied,
)

DRIBBLING, PHONES, RATE = 200, 8, 184_000
AT_ONCE = 40
IN_FILE = int(os.environ.get("PHOTOS", "200"))
SEED = """
from tests.bench.claim_file import make
from inventory.models import User
make({photos}, 0)
for name in ("rosa", "mina"):
    person = User.objects.get(username=name)
    person.set_password("kraft-paper-stencil-9")
    person.save()
"""
HEAD = (
    b"POST /accounts/login/ HTTP/1.1\r\nHost: 127.0.0.1\r\n"
    b"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 400000\r\n\r\n"
)


def say(name, told):
    """Print one row of the table."""
    sys.stdout.write(f"{name:48}{told}\n")
    sys.stdout.flush()


@contextmanager
def meanwhile(work):
    """Do this again and again in a thread; yield the list of what it gave."""
    found, over = [], threading.Event()

    def again():
        while not over.is_set():
            found.append(work())
            over.wait(0.25)

    thread = threading.Thread(target=again)
    thread.start()
    try:
        yield found
    finally:
        over.set()
        thread.join()


def asked(phone, address):
    """Return the seconds to the health page and to the dock."""
    taken = []
    for page in ("/healthz", "/dock/"):
        begun = time.perf_counter()
        phone.opener.open(f"{address}{page}", timeout=120).read()
        taken.append(time.perf_counter() - begun)
    return taken


def send_slowly(phone, body, border):
    """Send one photo as a phone on a poor line does; return the answer's first line."""
    found = urlsplit(phone.url)
    cookies = "; ".join(f"{one.name}={one.value}" for one in phone.jar)
    head = (
        f"POST {found.path}?{found.query} HTTP/1.1\r\nHost: {found.netloc}\r\n"
        f"Cookie: {cookies}\r\nReferer: {phone.url}\r\nDock-Phone: 1\r\n"
        f"Content-Type: multipart/form-data; boundary={border}\r\n"
        f"Content-Length: {len(body)}\r\nConnection: close\r\n\r\n"
    )
    with socket.create_connection((found.hostname, found.port), timeout=120) as line:
        line.sendall(head.encode())
        step = RATE // 10
        for place in range(0, len(body), step):
            line.sendall(body[place : place + step])
            time.sleep(0.1)
        return line.recv(15)


def slow_clients(phone, photos, address):
    """Let them dribble, and print the slowest answer that others got meanwhile."""
    host, port = urlsplit(address).hostname, urlsplit(address).port
    alone = [asked(phone, address) for _ in range(5)]
    bodies = [phone.body(varied(photos, 500 + n)) for n in range(PHONES)]
    with ExitStack() as stack:
        lines = [
            stack.enter_context(socket.create_connection((host, port), timeout=30))
            for _ in range(DRIBBLING)
        ]
        for line in lines:
            line.sendall(HEAD)
        pool = stack.enter_context(ThreadPoolExecutor(PHONES))
        with meanwhile(lambda: asked(phone, address)) as found:
            sent = [pool.submit(send_slowly, phone, *body) for body in bodies]
            while not all(one.done() for one in sent):
                for line in lines:
                    line.sendall(b"x")
                time.sleep(0.5)
    for place, page in enumerate(("/healthz", "the dock")):
        most = max(one[place] for one in found)
        least = max(one[place] for one in alone)
        say(
            f"{DRIBBLING} dribbling, {PHONES} phones: {page}",
            f"slowest of {len(found)} {most * 1000:.0f} ms; alone {least * 1000:.0f} ms",
        )
    kept = sum(one.result()[9:12] in (b"200", b"201") for one in sent)
    say("photos of the slow phones kept", f"{kept} of {PHONES}")


def main():
    """Serve a site, and print the table."""
    _, env = seeded_site("served-", SEED.format(photos=IN_FILE))
    photos, port = [photo(n) for n in range(4)], free_port()
    address = f"http://127.0.0.1:{port}"
    config = "config/deploy/gunicorn.conf.py"
    site = ["-m", "gunicorn", "--config", config, "--bind", f"127.0.0.1:{port}"]
    with (
        running([sys.executable, *site, "config.wsgi"], env, port) as web,
        running([sys.executable, "manage.py", "work"], env, None) as work,
    ):
        measured(address, photos, lambda: (memory(web), memory(work)))


def measured(address, photos, used):
    """Take each figure in turn."""

    def memory_row(name, found):
        most = max(found, key=sum)
        say(f"memory, {name}", f"{most[0]:.0f} MB serving, {most[1]:.0f} MB working")

    time.sleep(8)
    memory_row("just started", [used()])
    phone = Phone(address, 1)
    asked(phone, address)
    for number in range(4):
        phone.send(*phone.body(varied(photos, number)))
    time.sleep(10)
    memory_row("idle, after the first pages and photos", [used()])
    slow_clients(phone, photos, address)
    time.sleep(20)
    memory_row("idle again", [used()])
    bodies = [phone.body(varied(photos, 100 + n)) for n in range(AT_ONCE)]
    with meanwhile(used) as found:
        with ThreadPoolExecutor(AT_ONCE) as pool:
            sent = list(pool.map(lambda body: phone.send(*body), bodies))
        say(f"{AT_ONCE} uploads at once", f"0 errors, slowest {max(sent):.1f} s")
        time.sleep(15)
    memory_row(f"most while {AT_ONCE} photos arrive and are read", found)
    claim_file(address, used, memory_row)


def claim_file(address, used, memory_row):
    """Open the preview of the claim file, and print what memory it took."""
    manager = Phone(address, 1, name="mina")
    page = manager.opener.open(f"{address}/claims/1/packet/").read().decode()
    preview = re.search(r'href="([^"]+\?events=\d+)"', page)[1]
    begun = time.perf_counter()
    with meanwhile(used) as found:
        size = preview_size(manager, address, preview)
    say(
        f"a claim file of {IN_FILE} photos",
        f"{size / 1e6:.1f} MB in {time.perf_counter() - begun:.1f} s",
    )
    memory_row("most while it is drawn", found)
    time.sleep(5)
    memory_row("after it", [used()])


def preview_size(manager, address, preview):
    """Open a preview, wait on its page while it is drawn, and return its size."""
    while True:
        with manager.opener.open(f"{address}{preview}", timeout=600) as answer:
            if answer.headers["Content-Type"] == "application/pdf":
                return sum(map(len, iter(lambda: answer.read(1 << 20), b"")))
            waiting = answer.geturl()
        page = manager.opener.open(waiting).read().decode()
        while "data-drawing" in page:
            time.sleep(0.5)
            page = manager.opener.open(waiting).read().decode()
        preview = re.search(r'href="([^"]+preview\.pdf[^"]*)"', page)[1]
        preview = preview.replace("&amp;", "&")


if __name__ == "__main__":
    main()
