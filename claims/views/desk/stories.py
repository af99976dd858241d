"""The pages of a truck, a freight bill and a machine, search, and the first page."""

from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from claims.models import Claim
from claims.queries.desk import stories
from claims.rules.bench.cautions import CAUTIONS, DEFERS
from claims.rules.core.event_kinds import CLAIM_KINDS
from inventory.access import may, obtain, person_of, scoped, who_may
from inventory.models import Assignment, Crate, Delivery, Shipment, Unit, User
from inventory.queries.core.history import story_of
from inventory.queries.crates.identity import crates_named
from inventory.queries.returns.listing import empties_for
from inventory.rules.codes.identifiers import parse
from inventory.rules.core.event_kinds import MONEY_KINDS
from inventory.rules.core.roles import ACCOUNTING, CLERK, MANAGER, TECHNICIAN
from inventory.rules.core.text import normal_identifier

_FIRST_DESK = (
    (CLERK, "dock"),
    (TECHNICIAN, "bench"),
    (MANAGER, "claims"),
    (ACCOUNTING, "deposits"),
)
MOST_FOUND = 50


def _unseen(person: User, place: int) -> tuple[str, ...]:
    """Return the kinds of event whose amounts this person may not see there."""
    deposits = () if may(person, place, "see-deposits") else MONEY_KINDS
    claims = () if may(person, place, "see-claims") else CLAIM_KINDS
    return (*deposits, *claims)


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Redirect each person to the desk where their work begins."""
    person = person_of(request)
    held = set(Assignment.objects.filter(person=person).values_list("role", flat=True))
    for role, desk in _FIRST_DESK:
        if role in held:
            return redirect(desk)
    return redirect("people" if person.is_administrator else "dock")


@require_safe
def cautions(request: HttpRequest) -> HttpResponse:
    """Show the usual cautions and the program's limits."""
    person_of(request)
    context = {"cautions": CAUTIONS, "defers": DEFERS}
    return render(request, "claims/desk/cautions.html", context)


@require_safe
def delivery(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one truck with its history."""
    person = person_of(request)
    rows = Delivery.objects.select_related("location", "carrier", "signed_by")
    row = obtain(rows, person, pk, "see")
    context = {
        "delivery": row,
        "handovers": stories.handovers_of(row),
        "crates": stories.crates_of(row),
        "findings": stories.findings_of(delivery=row),
        "photos": stories.evidence_of(delivery=row),
        "story": story_of(
            [row], row.location, leave_out=_unseen(person, row.location_id)
        ),
        "notes": row.notes.select_related("recorded_by").order_by("pk"),
        "may_sign": may(person, row.location_id, "sign-receipt"),
        "may_note": may(person, row.location_id, "note-receipt"),
        "empties": empties_for(row),
        "takes_empties": row.carrier.mode == "supplier-truck",
        "may_ship": may(person, row.location_id, "ship-crates"),
        "crumbs": [("Dock", "/dock/"), (str(row), "")],
    }
    return render(request, "claims/desk/delivery.html", context)


@require_safe
def shipment(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one freight bill with its history."""
    person = person_of(request)
    rows = Shipment.objects.select_related("location", "carrier", "supplier")
    row = obtain(rows, person, pk, "see")
    context = {
        "shipment": row,
        "count": stories.count_of(row),
        "handovers": stories.handovers_of(row),
        "crates": stories.crates_of(row),
        "units": stories.units_of(row),
        "findings": stories.findings_of(shipment=row),
        "deadlines": stories.labelled(stories.deadlines_of(row)),
        "claims": stories.claims_of(row),
        "photos": stories.evidence_of(shipment=row),
        "story": story_of(
            [row], row.location, leave_out=_unseen(person, row.location_id)
        ),
        "may_see_claims": may(person, row.location_id, "see-claims"),
        "may_claim": may(person, row.location_id, "make-claim"),
        "may_inspect": may(person, row.location_id, "inspect"),
        "may_note": may(person, row.location_id, "note-receipt"),
        "may_look": may(person, row.location_id, "look"),
        "may_keep_crates": may(person, row.location_id, "keep-crates"),
        "crumbs": [("Dock", "/dock/"), (str(row), "")],
    }
    return render(request, "claims/desk/shipment.html", context)


@require_safe
def unit(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one machine with its history."""
    person = person_of(request)
    rows = Unit.objects.select_related(
        "shipment__location", "shipment__supplier", "crate"
    )
    row = obtain(rows, person, pk, "see")
    location = row.shipment.location
    context = {
        "unit": row,
        "findings": stories.findings_of(unit=row),
        "holds": stories.holds_of(row),
        "photos": stories.evidence_of(unit=row),
        "story": story_of([row], location, leave_out=_unseen(person, location.pk)),
        "may_inspect": may(person, location.pk, "inspect"),
        "may_release": may(person, location.pk, "release-hold"),
        "whom_to_ask": who_may("release-hold", location.pk),
        "may_see_money": may(person, location.pk, "see-claims"),
        "crumbs": [("Freight bill", f"/shipments/{row.shipment_id}/"), (str(row), "")],
    }
    return render(request, "claims/desk/unit.html", context)


@require_safe
def search(request: HttpRequest) -> HttpResponse:
    """Find a serial, PRO, bill of lading, crate mark or claim by its number."""
    person = person_of(request)
    typed = request.GET.get("q", "")[:200]
    text = normal_identifier(typed)
    found: dict[str, object] = {}
    if text:
        by = stories.matching(text)
        found = {
            "shipments": scoped(
                Shipment.objects.filter(by["shipments"]).select_related("carrier"),
                person,
            ).order_by("-pk")[:MOST_FOUND],
            "units": scoped(
                Unit.objects.filter(by["units"]).select_related("shipment"), person
            ).order_by("-pk")[:MOST_FOUND],
            "crates": _crates(person, by["crates"], typed),
            "claims": scoped(
                Claim.objects.filter(by["claims"]), person, "see-claims"
            ).order_by("-pk")[:MOST_FOUND],
        }
    return render(request, "claims/desk/search.html", {"q": typed, **found})


def _crates(person: User, by: Q, typed: str) -> QuerySet[Crate]:
    """Return the crates with this text, or those that it names in any form."""
    rows = scoped(Crate.objects.all(), person)
    named = [crate.pk for crate in crates_named(rows, parse(typed))]
    found = rows.filter(by | Q(pk__in=named)).select_related("shipment")
    return found.order_by("-pk")[:MOST_FOUND]
