"""A remittance's parts and its rest, from its rows."""

from django.db.models import Prefetch, QuerySet

from claims.models import ClaimPayment, ClaimStep, Remittance
from claims.queries.core.payments import DECIDE, payment_facts
from claims.rules.claim.remittances import rest_cents
from inventory.models import Entry


def joined_remittances() -> QuerySet[Remittance]:
    """Return remittances with all that ``parts_of`` and ``rest_of`` read."""
    decided = ClaimStep.objects.filter(act=DECIDE).order_by("pk")
    parts = (
        ClaimPayment.objects.select_related("claim", "reversal")
        .prefetch_related(Prefetch("steps", decided, to_attr="decisions"))
        .order_by("claim_id", "number")
    )
    return Remittance.objects.select_related(
        "location", "carrier", "supplier", "recorded_by"
    ).prefetch_related(Prefetch("parts", parts))


def parts_of(row: Remittance) -> list[ClaimPayment]:
    """Return the payments that are its parts, reversed ones too."""
    return list(row.parts.all())


def standing_parts(row: Remittance) -> list[ClaimPayment]:
    """Return its parts that are not reversed."""
    return [one for one in parts_of(row) if not hasattr(one, "reversal")]


def open_choices(row: Remittance) -> tuple[str, ...]:
    """Return what a manager may decide on a remittance marked as full payment now."""
    parts = standing_parts(row)
    if not row.in_full or not parts:
        return ()
    return payment_facts(parts[0]).open_choices()


def rest_of(row: Remittance) -> int:
    """Return what no claim takes, in cents; nothing of one that was reversed."""
    if row.reversed_on is not None:
        return 0
    return rest_cents(row.cents, [one.cents for one in standing_parts(row)])


def entries_of_rest(row: Remittance) -> list[Entry]:
    """Return every entry that the rest of this remittance posted, in order."""
    entries = Entry.objects.select_related("location", "supplier", "carrier")
    own = entries.filter(posting_key__startswith=stem_of(row))
    return sorted(own, key=lambda one: int(one.posting_key.removeprefix(stem_of(row))))


def note_of(row: Remittance) -> str:
    """Return what an entry says of the remittance it comes from: number, reference."""
    return f"{row}, {row.reference}" if row.reference else str(row)


def stem_of(row: Remittance) -> str:
    """Return what the posting keys of its rest begin with."""
    return f"remittance-{row.pk}-"
