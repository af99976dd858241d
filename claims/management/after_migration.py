"""What the upper floor does once a migration has gone all the way."""

import logging
from typing import Any

from django.apps import AppConfig
from django.utils import timezone

from inventory.actions.core.versions import RefusedError
from inventory.management.after_migration import is_last_step

log = logging.getLogger(__name__)


def keep_packets_after_migrate(*, sender: AppConfig, using: str, **_: Any) -> None:  # noqa: ANN401
    """Receive ``post_migrate``, once: save the claim files that are on the disk.

    What is missing is named by ``manage.py keep_sent_documents``.
    """
    from claims.actions.packet.earlier_packets import (  # noqa: PLC0415
        keep_earlier_packets,
    )

    if not is_last_step(sender, using):
        return
    now = timezone.now()  # noqa: TID251 - a migration is a command
    try:
        taken = list(keep_earlier_packets(at=now))
    except RefusedError as error:
        log.warning("%s Then run manage.py keep_sent_documents.", error)
        return
    if missing := sum(not one.is_kept for one in taken):
        what = "1 claim file is" if missing == 1 else f"{missing} claim files are"
        log.warning("%s missing. Run manage.py keep_sent_documents.", what)


def carry_over_after_migrate(*, sender: AppConfig, using: str, **_: Any) -> None:  # noqa: ANN401
    """Receive ``post_migrate``, once: take over the claims of earlier versions."""
    from claims.actions.claim.carrying_over import carry_over_claims  # noqa: PLC0415

    if is_last_step(sender, using):
        now = timezone.now()  # noqa: TID251 - a migration is a command
        for _claim in carry_over_claims(at=now):
            pass
