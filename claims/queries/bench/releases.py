"""Which machines are released for sale, and by what."""

from collections.abc import Mapping, Sequence

from django.db.models import Exists, OuterRef, Q, QuerySet

from claims.models import Inspection, Setup, SignOff
from claims.rules.bench.sign_off import BEFORE
from inventory.models import Unit


def set_up_before() -> QuerySet[Inspection]:
    """Return the inspections at setup of the time before there was a sign-off.

    Each held points or a note; one made for a finding or a setup holds neither.
    """
    rows = Inspection.objects.filter(stage="set-up", unit__isnull=False)
    return rows.exclude(looks=[], note="").order_by()


def unreleased(units: QuerySet[Unit]) -> QuerySet[Unit]:
    """Keep the machines that no sign-off has released, nor the time before there was one."""
    own = OuterRef("pk")
    return units.annotate(
        is_signed_off=Exists(SignOff.objects.filter(unit=own)),
        is_begun=Exists(Setup.objects.filter(unit=own)),
        was_set_up=Exists(set_up_before().filter(unit=own)),
    ).exclude(Q(is_signed_off=True) | Q(is_begun=False, was_set_up=True))


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
