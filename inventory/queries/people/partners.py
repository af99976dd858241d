"""Carriers and suppliers."""

from django.db.models import QuerySet
from django.http import Http404

from inventory.models import Carrier, Supplier


def carrier_rows() -> QuerySet[Carrier]:
    """Return every carrier with its own periods, by name."""
    return Carrier.objects.prefetch_related("terms").order_by("name", "pk")


def supplier_rows() -> QuerySet[Supplier]:
    """Return every supplier with its own periods, by name."""
    return Supplier.objects.prefetch_related("periods").order_by("name", "pk")


def one_carrier(pk: int) -> Carrier:
    """Return one carrier. Raise Http404."""
    try:
        return carrier_rows().get(pk=pk)
    except (Carrier.DoesNotExist, OverflowError) as error:
        raise Http404 from error


def one_supplier(pk: int) -> Supplier:
    """Return one supplier. Raise Http404."""
    try:
        return supplier_rows().get(pk=pk)
    except (Supplier.DoesNotExist, OverflowError) as error:
        raise Http404 from error
