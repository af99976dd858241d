"""The pages of a freight bill and a machine, and the first page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.queries.bench.departures import departure_of, leaving_of
from claims.queries.core.parties import PARTIES_JOINED, parties_of
from claims.queries.core.test_trucks import has_signed_truck
from claims.queries.desk import stories
from claims.rules.bench.cautions import CAUTIONS, DEFERS
from claims.rules.core.event_kinds import CLAIM_KINDS
from claims.views.core.withdrawn import withdrawn_page
from inventory.access import administrators, may, obtain, person_of, who_may
from inventory.models import Assignment, Shipment, Unit, User
from inventory.queries.core.history import story_of
from inventory.rules.core.event_kinds import MONEY_KINDS
from inventory.rules.core.roles import ACCOUNTING, CLERK, MANAGER, TECHNICIAN
from inventory.views.core.bar import Bar
from inventory.views.core.clock import today_at

_FIRST_DESK = (
    (CLERK, "dock"),
    (TECHNICIAN, "bench"),
    (MANAGER, "claims"),
    (ACCOUNTING, "deposits"),
)


def unseen_kinds(person: User, place: int) -> tuple[str, ...]:
    """Return the kinds of event whose amounts this person may not see there."""
    deposits = () if may(person, place, "see-deposits") else MONEY_KINDS
    claims = () if may(person, place, "see-claims") else CLAIM_KINDS
    return (*deposits, *claims)


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Redirect each person to the desk where their work begins.

    The administrator begins at the first day until a receipt was signed. A person
    without a role is told who can give them one.
    """
    person = person_of(request)
    held = set(Assignment.objects.filter(person=person).values_list("role", flat=True))
    for role, desk in _FIRST_DESK:
        if role in held:
            return redirect(desk)
    if person.is_administrator:
        return redirect("people" if has_signed_truck() else "welcome")
    return render(request, "claims/desk/no_role.html", {"whom": administrators()[:5]})


@require_safe
def cautions(request: HttpRequest) -> HttpResponse:
    """Show the usual cautions and the program's limits."""
    person_of(request)
    context = {"cautions": CAUTIONS, "defers": DEFERS}
    return render(request, "claims/desk/cautions.html", context)


@require_safe
def shipment(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one freight bill with its history."""
    person = person_of(request)
    rows = Shipment.everything.select_related(
        "location", "supplier", "withdrawn_by", *PARTIES_JOINED
    )
    row = obtain(rows, person, pk, "see")
    if row.crate_return_id is not None:
        return redirect("crate_return", pk=row.crate_return_id)
    unseen = unseen_kinds(person, row.location_id)
    if row.is_withdrawn:
        return withdrawn_page(request, row, row.location, leave_out=unseen)
    context = {
        "shipment": row,
        "count": stories.count_of(row),
        "parties": parties_of(row),
        "handovers": stories.handovers_of(row),
        "crates": stories.crates_of(row),
        "units": stories.units_of(row),
        "findings": stories.findings_of(shipment=row),
        "deadlines": stories.labelled(
            stories.deadlines_of(row), today_at(row.location)
        ),
        "claims": stories.claims_of(row),
        "photos": stories.evidence_of(shipment=row),
        "story": story_of([row], row.location, leave_out=unseen),
        "may_log": may(person, row.location_id, "log-delivery"),
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
    rows = Unit.everything.select_related(
        "shipment__location", "shipment__supplier", "crate", "withdrawn_by"
    )
    row = obtain(rows, person, pk, "see")
    location = row.shipment.location
    unseen = unseen_kinds(person, location.pk)
    if row.is_withdrawn:
        return withdrawn_page(request, row, location, leave_out=unseen)
    context = {
        "unit": row,
        "findings": stories.findings_of(unit=row),
        "holds": stories.holds_of(row),
        "gone": departure_of(row),
        "leaving": leaving_of(row),
        "photos": stories.evidence_of(unit=row),
        "story": story_of([row], location, leave_out=unseen),
        "may_inspect": may(person, location.pk, "inspect"),
        "may_release": may(person, location.pk, "release-hold"),
        "may_send_out": may(person, location.pk, "send-out"),
        "whom_to_ask": who_may("release-hold", location.pk),
        "may_see_money": may(person, location.pk, "see-claims"),
        "bar": Bar(
            row.model,
            row.serial,
            reverse("bench"),
            "Back to the bench",
            _seldom_of(row, person),
        ),
        "crumbs": [
            ("Bench", reverse("bench")),
            ("Freight bill", reverse("shipment", args=[row.shipment_id])),
            (str(row), ""),
        ],
    }
    return render(request, "claims/desk/unit.html", context)


def _seldom_of(unit: Unit, person: User) -> tuple[tuple[str, str], ...]:
    """Return the seldom acts of a machine's page that this person may do."""
    photos = f"{reverse('add_evidence')}?unit={unit.pk}&kind=opening"
    look = reverse("inspect_unit", args=[unit.pk, "uncrating"])
    change = reverse("edit_unit", args=[unit.pk])
    acts = (
        ("inspect", "Inspect at uncrating", look),
        ("complete-papers", "Change the machine", change),
        ("add-evidence", "Add photos", photos),
    )
    here = unit.shipment.location_id
    return tuple((words, url) for act, words, url in acts if may(person, here, act))
