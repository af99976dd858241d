"""What is wrong with the home of originals, each in one sentence, before it is used."""

import logging
from importlib.util import find_spec
from typing import Any

from django.conf import settings

from inventory.evidence.store.bucket import address_of
from inventory.evidence.store.homes import (
    BUCKET,
    FOLDER,
    HomeUnreachableError,
    home,
)

LOCK_MODES = ("GOVERNANCE", "COMPLIANCE")

log = logging.getLogger(__name__)


def wrong_home_settings() -> list[str]:
    """Return what the settings themselves say wrong; asks nobody, loads nothing."""
    wrong = []
    name, days = settings.EVIDENCE_HOME, settings.EVIDENCE_LOCK_DAYS
    if name.startswith(BUCKET):
        wrong += _wrong_bucket(name)
    elif days:
        wrong.append(
            "EVIDENCE_LOCK_DAYS needs a bucket, and EVIDENCE_HOME names none. Set it "
            "to 0."
        )
    if name != FOLDER and not name.startswith(BUCKET) and "." not in name:
        wrong.append(f"EVIDENCE_HOME is {name}. Write folder, or s3://bucket/prefix.")
    if days < 0 or settings.EVIDENCE_LOCK_MODE not in LOCK_MODES:
        wrong.append(
            "EVIDENCE_LOCK_DAYS is a number of days, and EVIDENCE_LOCK_MODE is "
            "GOVERNANCE or COMPLIANCE."
        )
    return wrong


def home_state() -> tuple[list[str], list[str]]:
    """Return what stands against serving from this home, and what would be safer.

    A bucket that gives no answer now stands against nothing: it may in a minute.
    """
    used: Any = home()
    faults: list[str] = []
    hints: list[str] = []
    try:
        if settings.EVIDENCE_HOME.startswith(BUCKET):
            faults, hints = used.lacks()
        moved_to = "" if faults else used.moved_to()
    except HomeUnreachableError as error:
        log.warning("%s", error)
        return [], [str(error)]
    if moved_to:
        faults.append(
            f"The originals were moved from {settings.EVIDENCE_HOME} to {moved_to}. "
            f"Set EVIDENCE_HOME={moved_to} and start again."
        )
    return faults, hints


def _wrong_bucket(name: str) -> list[str]:
    if find_spec("boto3") is None:
        return ["EVIDENCE_HOME names a bucket, and boto3 is not installed: make setup."]
    try:
        address_of(name)
    except ValueError as error:
        return [f"EVIDENCE_HOME: {error}"]
    return []
