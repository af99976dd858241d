"""Sealing, once, the rows that were stored before rows were sealed."""

import json
from datetime import datetime

from django.db import models, transaction

from inventory.actions.core.events import record_event
from inventory.evidence.seal.chain_check import FIRST_SEAL
from inventory.evidence.seal.sealed_tables import sealed_models
from inventory.models import Event
from inventory.models.sealed import note_written

BATCH = 500
"""Rows in one event."""


def seal_standing_rows(*, at: datetime) -> int:
    """Seal every row of a database that is older than images; return how many.

    Earlier events hold no image of their rows. This is done once, at the first
    migration after; a database whose first event holds images needs none.
    """
    with transaction.atomic():
        if not _is_needed():
            return 0
        return sum(_seal(model, at) for model in sealed_models())


def _is_needed() -> bool:
    first = Event.objects.order_by("sequence").first()
    if first is None or "rows" in json.loads(first.body):
        return False
    return not Event.objects.filter(kind=FIRST_SEAL).exists()


def _seal(model: type[models.Model], at: datetime) -> int:
    everything = model._base_manager  # noqa: SLF001 - what is withheld is sealed too
    keys = list(everything.order_by("pk").values_list("pk", flat=True))
    for start in range(0, len(keys), BATCH):
        part = keys[start : start + BATCH]
        note_written(model, part)
        record_event(
            kind=FIRST_SEAL,
            at=at,
            actor=None,
            location=None,
            subjects=[],
            data={"count": len(part), "table": str(model._meta.verbose_name_plural)},
        )
    return len(keys)
