"""The entries behind a figure of the roll-forward."""

from dataclasses import dataclass
from datetime import date

from django.db.models import F, QuerySet, Sum

from claims.models import ClaimPosting
from claims.rules.books import kinds
from claims.rules.books.rollforward import LINE_OF
from inventory.models import Location


@dataclass(frozen=True)
class Asked:
    """Which entries: of these days, one line or all, one partner or all."""

    first: date
    last: date
    line: str = ""
    partner: str = ""


def postings_behind(
    locations: QuerySet[Location], asked: Asked
) -> QuerySet[ClaimPosting]:
    """Return the postings that changed the open claims, each with its ``cents``."""
    # By the day of the entry, not by the claims of the location.
    rows = ClaimPosting.objects.alias(place=F("claim__location_id") + 0).filter(
        place__in=locations.order_by().values("pk"),
        entry__effective_on__gte=asked.first,
        entry__effective_on__lte=asked.last,
        entry__legs__account__kind__in=kinds.GROSS,
    )
    if asked.line:
        of_line = [kind for kind, line in LINE_OF.items() if line == asked.line]
        rows = rows.filter(entry__kind__in=of_line)
    of, _, key = asked.partner.partition("-")
    if (
        of in {"carrier", "supplier"}
        and key.isascii()
        and key.isdigit()
        and len(key) < 10
    ):
        rows = rows.filter(**{f"entry__{of}": int(key)})
    return (
        rows.annotate(cents=Sum("entry__legs__cents"))
        .exclude(cents=0)
        .select_related("claim__location", "entry__carrier", "entry__supplier")
        .order_by("entry__effective_on", "pk")
    )
