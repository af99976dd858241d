"""Logging trucks and their freight bills while the driver waits."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from inventory.access import locations_of, obtain, person_of, require_somewhere
from inventory.actions.evidence.keeping import BadUploadError
from inventory.actions.receiving.deliveries import change_delivery
from inventory.actions.receiving.deliveries import log_delivery as log_truck
from inventory.actions.receiving.handovers import count_handover
from inventory.actions.receiving.shipments import BillAtDock
from inventory.actions.receiving.shipments import add_bill as put_bill
from inventory.forms.receiving.trucks import (
    BillForm,
    EditDeliveryForm,
    HandoverForm,
    LogDeliveryForm,
)
from inventory.models import Delivery, Handover, Location, User
from inventory.queries.receiving.dock import carriers_last_used_first, delivery_rows
from inventory.queries.receiving.truck_sheet import truck_sheet
from inventory.queries.returns.listing import empties_for
from inventory.views.core.clock import (
    from_local,
    local_now,
    now,
    to_local,
    today_somewhere,
)
from inventory.views.core.one_act import ActPage, answer_act, posted
from inventory.views.core.paging import page_of
from inventory.views.core.photos import keep_photos
from inventory.views.core.sheets import asked_as_file

DETAILS = (
    "driver_name",
    "trailer_number",
    "seal_number",
    "seal_note",
    "unloaded_by",
)


@require_safe
def deliveries(request: HttpRequest) -> HttpResponse:
    """List every truck of the person's locations, latest first."""
    person = person_of(request)
    require_somewhere(person, "see")
    rows = delivery_rows(person)
    today = today_somewhere(person)
    file = asked_as_file(request, lambda: truck_sheet(rows), stem="trucks", today=today)
    if file:
        return file
    page = page_of(request, rows)
    context = {
        "page": page,
        "may_log": locations_of(person, "log-delivery").exists(),
        "crumbs": [("Dock", reverse("dock")), ("All trucks", "")],
    }
    return render(request, "inventory/receiving/deliveries.html", context)


@require_http_methods(["GET", "POST"])
def log_delivery(request: HttpRequest) -> HttpResponse:
    """Log a truck; the carrier that came last stands first."""
    person = person_of(request)
    require_somewhere(person, "log-delivery")
    choices = list(locations_of(person, "log-delivery"))
    location = _location(request, choices, person)
    carriers = carriers_last_used_first(location)
    here = local_now(location)
    form = LogDeliveryForm(
        posted(request),
        request.FILES or None,
        carriers=carriers,
        latest=here,
        initial={
            "arrived_at": here,
            "carrier": carriers[0].pk if carriers else None,
        },
    )

    def act() -> HttpResponse:
        cleaned = form.cleaned_data
        name = cleaned["carrier_name"]
        delivery = log_truck(
            person=person,
            at=now(),
            location=location,
            arrived_at=from_local(location, cleaned["arrived_at"]),
            carrier=None if name else cleaned["carrier"],
            carrier_name=name,
            **{key: cleaned[key] for key in DETAILS},
        )
        messages.success(request, f"Truck of {delivery.carrier} logged.")
        _keep_load(request, form, delivery, person)
        if waiting := sum(one.crates for one in empties_for(delivery)):
            some = "1 empty crate is" if waiting == 1 else f"{waiting} empty crates are"
            messages.info(request, f"{some} staged for this truck.")
            return redirect("tailgate", delivery.pk)
        return redirect("add_bill", delivery.pk)

    page = ActPage(
        title="Log a truck",
        kicker=location.name,
        back=reverse("dock"),
        back_words="Back to the dock",
        template="inventory/receiving/log_delivery.html",
        crumbs=[("Dock", reverse("dock")), ("Log a truck", "")],
        more={"others": [row for row in choices if row.pk != location.pk]},
    )
    return answer_act(request, form, page, act)


def _location(request: HttpRequest, choices: list[Location], person: User) -> Location:
    asked = request.GET.get("location", "")
    for row in choices:
        if str(row.pk) == asked:
            return row
    if asked:
        raise PermissionDenied(
            "You do not log trucks at that location. Nothing was changed."
        )
    last = (
        Delivery.objects.filter(location__in=choices, signed_by=person)
        .order_by("-signed_at", "-pk")
        .first()
    )
    return last.location if last else choices[0]


def _keep_load(
    request: HttpRequest, form: LogDeliveryForm, delivery: Delivery, person: User
) -> None:
    photo = form.cleaned_data["photo"]
    if not photo:
        return
    try:
        keep_photos(form, [photo], person=person, kind="load", delivery=delivery)
    except BadUploadError as error:
        messages.error(request, f"The truck is logged, but not its photo: {error}")


@require_http_methods(["GET", "POST"])
def edit_delivery(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct what was logged, before the receipt is signed."""
    person = person_of(request)
    rows = Delivery.objects.select_related("location", "carrier")
    row = obtain(rows, person, pk, "log-delivery")
    initial = {key: getattr(row, key) for key in (*DETAILS, "version")}
    form = EditDeliveryForm(
        posted(request),
        latest=local_now(row.location),
        initial=initial
        | {
            "carrier": row.carrier_id,
            "arrived_at": to_local(row.location, row.arrived_at),
        },
    )

    def act() -> HttpResponse:
        cleaned = form.cleaned_data
        change_delivery(
            person=person,
            at=now(),
            delivery=row,
            version=cleaned["version"],
            carrier=cleaned["carrier"],
            arrived_at=from_local(row.location, cleaned["arrived_at"]),
            **{key: cleaned[key] for key in DETAILS},
        )
        messages.success(request, "The truck is corrected.")
        return redirect("delivery", row.pk)

    return answer_act(request, form, _page(row, "Correct this truck"), act)


@require_http_methods(["GET", "POST"])
def add_bill(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a freight bill on the truck: number, count, crates."""
    person = person_of(request)
    rows = Delivery.objects.select_related("location", "carrier")
    row = obtain(rows, person, pk, "log-delivery")
    form = BillForm(
        posted(request), initial={"piece_unit": "crate", "crate_kind": "one-way"}
    )

    def act() -> HttpResponse:
        handover = put_bill(
            person=person,
            at=now(),
            delivery=row,
            bill=BillAtDock(**form.cleaned_data),
        )
        messages.success(request, f"{handover.shipment} is on this truck.")
        return redirect("tailgate", row.pk)

    return answer_act(request, form, _page(row, "Add a freight bill"), act)


@require_http_methods(["GET", "POST"])
def edit_handover(request: HttpRequest, pk: int) -> HttpResponse:
    """Count again what this truck handed over of one bill."""
    person = person_of(request)
    rows = Handover.objects.select_related(
        "shipment", "delivery__carrier", "delivery__location"
    )
    row = obtain(rows, person, pk, "log-delivery")
    names = ("version", "pieces_counted", "rest_to_follow")
    form = HandoverForm(
        posted(request), initial={name: getattr(row, name) for name in names}
    )

    def act() -> HttpResponse:
        count_handover(person=person, at=now(), handover=row, **form.cleaned_data)
        messages.success(request, f"{row.shipment} is counted.")
        return redirect("tailgate", row.delivery_id)

    page = _page(row.delivery, f"Count {row.shipment}", row=row)
    return answer_act(request, form, page, act)


def _page(
    delivery: Delivery, title: str, row: Delivery | Handover | None = None
) -> ActPage:
    truck = f"Truck of {delivery.carrier}, {delivery.arrived_on:%Y-%m-%d}"
    back = reverse("tailgate", args=[delivery.pk])
    return ActPage(
        title=title,
        back=back,
        back_words="Back to the tailgate",
        row=row or delivery,
        crumbs=[("Dock", reverse("dock")), (truck, back), (title, "")],
    )
