"""Keep photos on disks that are full or may only be read, one kind for each run.

A program run in a site's environment and in a mount namespace of its own: the site
is copied to a small disk in memory. It prints the tally, and how each try was told.
"""

import contextlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
import uuid
from collections import Counter
from dataclasses import asdict
from pathlib import Path

from tests.crash.writers import HEAVY, STEADY, count, keep, preload

MEGABYTE = 1_000_000


class House:
    """A site on its own small disk, and what was told of every photo."""

    def __init__(self, folder):
        self.folder, self.kept, self.told = folder, [], Counter()
        mount(folder, 100)
        shutil.copytree(os.environ["DOCK_DATA_DIR"], folder, dirs_exist_ok=True)
        os.environ["DOCK_DATA_DIR"] = str(folder)
        preload()

    def send(self, writer, number):
        """Keep one photo; note how it ended; return that word."""
        try:
            keep(writer, number)
        except Exception as error:  # noqa: BLE001 - whatever it is must be told
            word = f"{type(error).__name__} {getattr(error, 'status', '')}".strip()
        else:
            word = "kept"
            self.kept.append((writer, number))
        self.told[word] += 1
        return word

    def browser(self):
        """Return a signed-in browser, and the address that takes photos."""
        from django.test import Client
        from django.urls import reverse

        from inventory.models import Delivery, User

        client = Client(raise_request_exception=False, headers={"host": "localhost"})
        client.force_login(User.objects.order_by("pk").first())
        truck = Delivery.objects.order_by("pk").first().pk
        self.page = reverse("delivery", args=[truck])
        return client, f"{reverse('add_evidence')}?delivery={truck}"

    def post(self, client, address, data):
        """Send a photo through the door; note status and sentence."""
        from django.core.files.uploadedfile import SimpleUploadedFile

        sent = {"kind": "load", "client_id": str(uuid.uuid4())}
        answer = client.post(
            address, {**sent, "photos": SimpleUploadedFile("a.pdf", b"%PDF-1.4" + data)}
        )
        text = answer.content.decode().lower()
        told = "not saved" in text or "nothing was saved" in text
        self.told[f"photo {answer.status_code} {'told' if told else 'not told'}"] += 1

    def sign_in(self, client):
        """Try to sign in, which writes; note status and sentence."""
        from django.urls import reverse

        answer = client.post(
            reverse("login"), {"username": "rosa", "password": "not this one"}
        )
        told = "nothing was saved" in answer.content.decode().lower()
        self.told[f"form {answer.status_code} {'told' if told else 'not told'}"] += 1

    def read(self, client):
        """Read a page; note its status."""
        self.told[f"page {client.get(self.page).status_code}"] += 1

    def result(self):
        """Return what is found on the disk beside what was told."""
        tally, _ = count(self.folder, self.kept)
        tally.stops = sum(self.told.values())
        return {"tally": asdict(tally), "told": self.told}


def file_side(house):
    """Fill the originals' disk; then give it room."""
    originals = house.folder / "originals"
    originals.mkdir(exist_ok=True)
    mount(originals, 14)
    for number in range(20):
        house.send(HEAVY, number)
    for number in range(20):
        house.send(STEADY, number)
    refused = [n for n in range(20) if (STEADY, n) not in house.kept]
    run("mount", "-o", "remount,size=60M", originals)
    house.told["again: " + house.send(STEADY, refused[0])] += 1


def database_side(house):
    """Fill the database's disk while the originals have room; then free it."""
    originals = house.folder / "originals"
    originals.mkdir(exist_ok=True)
    mount(originals, 60)
    client, _ = house.browser()
    house.send(STEADY, 0)
    filler = house.folder / "filler"
    fill(filler)
    for number in range(1, 21):
        house.send(STEADY, number)
    house.read(client)
    filler.unlink()
    house.told["again: " + house.send(STEADY, 1)] += 1


def read_only(house):
    """Let the disk only be read: pages go on, photos are refused in words."""
    from django.db import connections

    client, address = house.browser()
    house.send(STEADY, 0)
    connections.close_all()  # a disk that is open for writing cannot be turned
    run("mount", "-o", "remount,ro", house.folder)
    house.read(client)
    house.post(client, address, b"small")
    house.post(client, address, bytes(4 * MEGABYTE))
    house.sign_in(client)
    for number in range(1, 6):
        house.send(STEADY, number)
    connections.close_all()
    run("mount", "-o", "remount,rw", house.folder)
    house.told["again: " + house.send(STEADY, 1)] += 1


def spool(house):
    """Leave no room where a large file is put before the view sees it."""
    client, address = house.browser()
    folder = house.folder / "originals"
    folder.mkdir(exist_ok=True)
    mount(folder, 1)
    house.post(client, address, bytes(4 * MEGABYTE))
    house.read(client)
    house.send(STEADY, 0)


def fill(path):
    """Write until the disk takes no further byte."""
    with path.open("wb", buffering=0) as file:
        for size in (MEGABYTE, 4096, 1):
            with contextlib.suppress(OSError):
                while file.write(bytes(size)):
                    pass


def mount(place, megabytes):
    """Mount a disk in memory; it ends with this program's mount namespace."""
    run("mount", "-t", "tmpfs", "-o", f"size={megabytes}M", "none", place)


def run(*words):
    """Run a program that must succeed."""
    subprocess.run(list(map(str, words)), check=True, capture_output=True)


SCENES = {
    "file side": file_side,
    "database side": database_side,
    "read only": read_only,
    "spool": spool,
}


def main(scene):
    """Play one scene and print what came of it as JSON."""
    place = Path(
        tempfile.mkdtemp(prefix="small-", dir=Path(os.environ["DOCK_DATA_DIR"]).parent)
    )
    try:
        house = House(place)
        SCENES[scene](house)
        sys.stdout.write(json.dumps(house.result()) + "\n")
    finally:
        subprocess.run(["umount", "--recursive", "--lazy", place], check=False)
        place.rmdir()


if __name__ == "__main__":
    main(*sys.argv[1:])
