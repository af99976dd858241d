"""What a phone keeps of the trucks and machines opened on it in this shift."""

from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_safe

from inventory.access import obtain, person_of
from inventory.addresses import TAILGATE, address_at, address_of
from inventory.models import Delivery, Unit
from inventory.queries.receiving.on_phone import lines_of_machine, lines_of_truck
from inventory.views.core.clock import truck_name


@require_safe
def truck_on_phone(request: HttpRequest, pk: int) -> JsonResponse:
    """Send a truck's name, counts, marks and machine names."""
    rows = Delivery.objects.select_related("location", "carrier")
    row = obtain(rows, person_of(request), pk, "see")
    page = address_at(TAILGATE, row.pk)
    told = {"name": truck_name(row), "page": page, "lines": lines_of_truck(row)}
    return JsonResponse(told)


@require_safe
def machine_on_phone(request: HttpRequest, pk: int) -> JsonResponse:
    """Send a machine's name, its freight bill and its crate."""
    rows = Unit.objects.select_related("shipment", "crate").prefetch_related(
        "crate__units"
    )
    row = obtain(rows, person_of(request), pk, "see")
    told = {"name": str(row), "page": address_of(row), "lines": lines_of_machine(row)}
    return JsonResponse(told)
