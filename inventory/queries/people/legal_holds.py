"""The legal holds of the house."""

from django.db.models import F, QuerySet
from django.http import Http404

from inventory.models import Event, LegalHold


def legal_holds() -> QuerySet[LegalHold]:
    """Return every hold, those that stand first."""
    rows = LegalHold.objects.select_related("placed_by", "lifted_by")
    return rows.order_by(F("lifted_at").desc(nulls_first=True), "-placed_at", "-pk")


def standing_holds() -> QuerySet[LegalHold]:
    """Return the holds that nobody lifted."""
    return legal_holds().filter(lifted_at=None)


def one_legal_hold(pk: int) -> LegalHold:
    """Return one hold. Raise Http404."""
    try:
        return legal_holds().get(pk=pk)
    except (LegalHold.DoesNotExist, OverflowError) as error:
        raise Http404 from error


def last_act() -> Event | None:
    """Return the house's last event, or None before there was one."""
    return Event.objects.order_by("-sequence").first()
