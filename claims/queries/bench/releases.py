"""Which machines are released for sale, and by what."""

from collections.abc import Mapping, Sequence

from django.db.models import QuerySet

from claims.models import Inspection, Setup, SignOff
from claims.rules.bench.sign_off import BEFORE
from inventory.models import Unit


def set_up_before() -> QuerySet[Inspection]:
    """Return the inspections at setup of the time before there was a sign-off.

    Each held points or a note; one made for a finding or a setup holds neither.
    """
    rows = Inspection.objects.filter(stage="set-up", unit__isnull=False)
    return rows.exclude(looks=[], note="").order_by()


def releases_of(units: Sequence[Unit]) -> Mapping[int, str]:
    """Return by which release each of these machines may be sold; "" for none.

    A machine that was inspected at setup before there was a sign-off counts as
    released, unless its setup was begun again.
    """
    keys = [unit.pk for unit in units]
    found = dict.fromkeys(keys, "")
    begun = set(Setup.objects.filter(unit__in=keys).values_list("unit_id", flat=True))
    for key in set_up_before().filter(unit__in=keys).values_list("unit_id", flat=True):
        found[key] = "" if key in begun else BEFORE
    signed = SignOff.objects.filter(unit__in=keys).order_by("pk")
    found.update(signed.values_list("unit_id", "state"))
    return found
