"""A fresh disk and a new photo for every attempt, and the look at what is left."""

import itertools

from django.db import transaction

from tests.crash.disk import Disk
from tests.crash.uploads import ROOT, Sender, judge, photo, rows_of
from tests.making import make_delivery, some_person

SCENES = ("new folder", "folder is there", "same bytes twice")

_count = itertools.count()


class Bench:
    """Makes a fresh disk for every attempt, in one test's folder."""

    def __init__(self, top, settings, patch):
        self.top, self.settings, self.patch = top, settings, patch
        self.sender = Sender(some_person(), make_delivery())

    def prepared(self, scene, fault=None):
        """Return a photo and a disk on which it is about to be sent."""
        turn = f"{scene} {next(_count)}"
        top = self.top / turn.replace(" ", "-")
        top.mkdir()
        self.settings.EVIDENCE_ROOT = top / ROOT
        disk, sent = Disk(top), photo(turn)
        if scene == "same bytes twice":
            first = photo(turn, photo(f"first {turn}").number)
            assert self.sender.send(first, disk, self.patch) == "acknowledged"
        elif scene == "folder is there":
            disk = Disk.holding(
                top, {ROOT: None, f"{ROOT}/.incoming": None, folder_of(sent): None}
            )
        disk.begin(fault)
        return sent, disk

    def send(self, sent, disk, upload=None):
        """Send the photo in a transaction of the test's own."""
        with transaction.atomic():
            return self.sender.send(sent, disk, self.patch, upload)

    def look(self, sent, disk):
        """Judge what a kill and what every power cut leaves now; return the words."""
        states = [disk.left_by_a_kill(), *disk.left_by_power_cuts()]
        rows = rows_of(sent, self.sender)
        return {judge(state, sent, rows) for state in states}


def folder_of(sent):
    return sent.path.rpartition("/")[0]
