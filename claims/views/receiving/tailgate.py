"""The tailgate: crates looked over while the driver waits, and the words for him."""

from typing import Any

from django.contrib import messages
from django.db.models import Prefetch, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from claims.actions.receiving.looks import Look, look_at_crate
from claims.actions.receiving.looks import clear_rest as clear_all
from claims.forms.receiving.tailgate import ClearRestForm, LookForm
from claims.models import Finding
from claims.queries.receiving.receipts import BillAtTailgate, bills_at_tailgate
from claims.rules.receiving.advice import SUBJECT_TO_INSPECTION, Advice, advise
from claims.rules.receiving.receipt_words import SHORT_LIMIT
from inventory.access import may, obtain, person_of
from inventory.actions.core.versions import RefusedError
from inventory.models import Crate, Delivery, User
from inventory.queries.returns.listing import empties_for
from inventory.views.core.clock import now
from inventory.views.core.one_act import ActPage, answer_act, posted
from inventory.views.core.photos import keep_photos


def truck_name(delivery: Delivery) -> str:
    """Return "Truck of Plainsway, 2026-03-10"."""
    return f"Truck of {delivery.carrier}, {delivery.arrived_on:%Y-%m-%d}"


def trail(delivery: Delivery, title: str) -> list[tuple[str, str]]:
    """Return the way back from a page of this truck."""
    tailgate_url = reverse("tailgate", args=[delivery.pk])
    return [
        ("Dock", reverse("dock")),
        (truck_name(delivery), tailgate_url),
        (title, ""),
    ]


def _deliveries() -> QuerySet[Delivery]:
    return Delivery.objects.select_related("location", "carrier")


@require_safe
def tailgate(request: HttpRequest, pk: int) -> HttpResponse:
    """Show every crate of the truck with its look, and what comes next."""
    person = person_of(request)
    row = obtain(_deliveries(), person, pk, "see")
    bills = bills_at_tailgate(row)
    context = {
        "delivery": row,
        "bills": bills,
        "unseen": sum(bill.unseen for bill in bills),
        "name": truck_name(row),
        "may_look": may(person, row.location_id, "look"),
        "may_log": may(person, row.location_id, "log-delivery"),
        "may_sign": may(person, row.location_id, "sign-receipt"),
        "empties": empties_for(row),
        "takes_empties": row.carrier.mode == "supplier-truck",
        "may_ship": may(person, row.location_id, "ship-crates"),
        "crumbs": [("Dock", reverse("dock")), (truck_name(row), "")],
    }
    return render(request, "claims/receiving/tailgate.html", context)


@require_http_methods(["GET", "POST"])
def look(request: HttpRequest, pk: int) -> HttpResponse:
    """Record one crate's look; an exception says where, what and how bad."""
    person = person_of(request)
    row = obtain(_crates(), person, pk, "look")
    written = [one for one in row.findings.all() if one.route != "nowhere"]
    form = LookForm(
        posted(request),
        request.FILES or None,
        has_findings=bool(written),
        initial={"version": row.version, "look": row.look},
    )

    def act() -> HttpResponse:
        done = _look(form, row, person)
        messages.success(request, f"Crate {row.number}: {done}.")
        return redirect("tailgate", row.delivery_id)

    delivery = row.delivery
    supplier = row.shipment.supplier
    back = reverse("tailgate", args=[delivery.pk]) if delivery else reverse("dock")
    page = ActPage(
        title=f"Crate {row.number}" + (f" · {row.mark}" if row.mark else ""),
        kicker=str(row.shipment),
        back=back,
        back_words="Back to the tailgate",
        row=row,
        template="claims/receiving/look.html",
        crumbs=trail(delivery, f"Crate {row.number}") if delivery else (),
        more={
            "crate": row,
            "written": written,
            "supplier": supplier,
            "advice": _general_advice(row),
        },
    )
    return answer_act(request, form, page, act)


def _crates() -> QuerySet[Crate]:
    standing = Finding.objects.filter(inspection__stage="tailgate").order_by("number")
    return Crate.objects.select_related(
        "shipment__supplier", "shipment__location", "delivery__carrier"
    ).prefetch_related(Prefetch("findings", queryset=standing))


def _general_advice(crate: Crate) -> Advice:
    supplier = crate.shipment.supplier
    order = supplier.standing_order if supplier else "none"
    return advise(damage_kinds=["broken"], standing_order=order)


def _look(form: LookForm, crate: Crate, person: User) -> str:
    cleaned: dict[str, Any] = form.cleaned_data
    is_clear = cleaned["look"] == "clear"
    photos = keep_photos(
        form,
        cleaned["photos"],
        person=person,
        kind="look" if is_clear else "damage",
        delivery=crate.delivery,
        shipment=crate.shipment,
        crate=crate,
    )
    look_at_crate(
        person=person,
        at=now(),
        crate=crate,
        version=cleaned["version"],
        look=Look(
            look=cleaned["look"],
            damage=form.damage(),
            refused_for=cleaned["refused_for"] if cleaned["look"] == "refused" else "",
            no_photo_reason="" if photos or is_clear else cleaned["no_photo_reason"],
            reason=cleaned.get("reason", ""),
        ),
        photos=[] if is_clear else photos,
    )
    return {"clear": "clear", "exception": "exception written", "refused": "refused"}[
        cleaned["look"]
    ]


@require_POST
def clear_rest(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that all crates not looked at yet are clear."""
    person = person_of(request)
    row = obtain(_deliveries(), person, pk, "look")
    form = ClearRestForm(request.POST)
    if not form.is_valid():
        messages.error(
            request, "The number did not arrive. Nothing was changed. Press it again."
        )
        return redirect("tailgate", row.pk)
    try:
        rest = clear_all(
            person=person, at=now(), delivery=row, count=form.cleaned_data["count"]
        )
    except RefusedError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"The rest are clear: {len(rest)}.")
    return redirect("tailgate", row.pk)


@require_safe
def receipt_words(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the words for the receipt: full to copy, short for a handheld."""
    person = person_of(request)
    row = obtain(_deliveries(), person, pk, "see")
    bills = bills_at_tailgate(row)
    context = {
        "delivery": row,
        "bills": [(bill, advice_on(bill)) for bill in bills],
        "name": truck_name(row),
        "limit": SHORT_LIMIT,
        "no_use": SUBJECT_TO_INSPECTION,
        "may_sign": may(person, row.location_id, "sign-receipt"),
        "crumbs": trail(row, "Words for the receipt"),
    }
    return render(request, "claims/receiving/receipt_words.html", context)


def advice_on(bill: BillAtTailgate) -> Advice:
    """Return the advice for what is written against this bill's crates."""
    supplier = bill.handover.shipment.supplier
    kinds = {
        damage.kind
        for crate in bill.facts.crates
        if crate.look == "exception"
        for damage in crate.damages
    }
    order = supplier.standing_order if supplier else "none"
    return advise(damage_kinds=kinds, standing_order=order)
