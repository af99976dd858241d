"""Noting how a command of whoever runs the house ended."""

import logging
from datetime import datetime

from django.db import DatabaseError, transaction

from inventory.models import UpkeepRun

_MOST = UpkeepRun._meta.get_field("words").max_length
log = logging.getLogger(__name__)


def note_run(*, task: str, at: datetime, went_well: bool, words: str) -> None:
    """Write how the command ended. One that cannot be noted is no less done.

    A database that nobody may write to, or of an earlier version, can be verified.
    """
    values = {"ended_at": at, "went_well": went_well, "words": words[:_MOST]}
    if went_well:
        values["good_at"] = at
    try:
        with transaction.atomic():
            UpkeepRun.objects.update_or_create(task=task, defaults=values)
    except DatabaseError as error:
        log.warning("How %s ended could not be noted: %s", task, error)
