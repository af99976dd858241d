"""Whether a machine may be signed off as it stands."""

from collections.abc import Sequence
from datetime import date

from claims.queries.bench.setups import SetupPage
from claims.rules.bench.sign_off import (
    OpenItem,
    SignOffVerdict,
    may_stay_open,
    sign_off,
    why_not_done,
)
from inventory.models import Hold


def verdict_of(
    page: SetupPage, *, today: date, items: Sequence[OpenItem] = ()
) -> SignOffVerdict:
    """Return whether this machine may be signed off now."""
    hold = Hold.objects.filter(unit=page.setup.unit_id, released_at=None).first()
    return sign_off(
        page.facts(today=today, items=items, hold_reason=hold.reason if hold else "")
    )


def why_not_sign(page: SetupPage) -> str:
    """Return why no open item could release this machine now, or ""."""
    if Hold.objects.filter(unit=page.setup.unit_id, released_at=None).exists():
        return "The machine is on hold."
    first = [
        row.line.label
        for row in page.lines
        if why_not_done(row.line, row.state) and not may_stay_open(row.line, row.state)
    ]
    if not first:
        return ""
    return f"These must be right first: {', '.join(first)}."
