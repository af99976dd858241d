"""The page of one truck: what was written, what is due, then the history."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.models import Deadline
from claims.queries.core.test_trucks import is_test
from claims.queries.deadlines.clocks import Clock, clocks_of
from claims.queries.desk import stories
from claims.queries.receiving.truck_page import truck_page
from claims.views.core.withdrawn import withdrawn_page
from claims.views.desk.stories import unseen_kinds
from inventory.access import may, obtain, person_of
from inventory.models import Delivery, Shipment
from inventory.queries.core.history import story_of
from inventory.queries.receiving.dock import lacking, with_paper_counts
from inventory.queries.returns.listing import empties_for
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.views.core.bar import Bar
from inventory.views.core.clock import today_at, truck_name


@require_safe
def delivery(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one truck: exceptions first, what is fine folded, its history last."""
    person = person_of(request)
    rows = Delivery.everything.select_related(
        "location", "carrier", "signed_by", "withdrawn_by"
    )
    row = obtain(rows, person, pk, "see")
    place = row.location_id
    unseen = unseen_kinds(person, place)
    if row.is_withdrawn:
        return withdrawn_page(request, row, row.location, leave_out=unseen)
    page = truck_page(row)
    may_sign = may(person, place, "sign-receipt")
    may_note = may(person, place, "note-receipt")
    context = {
        "delivery": row,
        "truck": page,
        "noted": page.tiles_in("exception", "refused"),
        "fine": len(page.tiles_in("clear")),
        "left": len(page.tiles_in("unseen")),
        "handovers": stories.handovers_of(row),
        "crates": stories.crates_of(row),
        "findings": stories.findings_of(delivery=row),
        "photos": stories.evidence_of(delivery=row),
        "story": story_of([row], row.location, leave_out=unseen),
        "notes": row.notes.select_related("recorded_by").order_by("pk"),
        "clock": _next_clock(row),
        "to_fill": _to_fill(row),
        "may_sign": may_sign,
        "may_end_test": may(person, place, "log-delivery"),
        "may_note": may_note,
        "is_test": is_test(row.pk),
        "empties": empties_for(row),
        "takes_empties": row.carrier.mode == "supplier-truck",
        "may_ship": may(person, place, "ship-crates"),
        "bar": Bar(
            row.carrier.name,
            f"{pieces_in_words(len(page.bills), 'bill')} · "
            f"{pieces_in_words(page.crate_count, 'crate')}",
            reverse("dock"),
            "Back to the dock",
            _more(row, may_sign=may_sign, may_note=may_note),
        ),
        "name": truck_name(row),
        "crumbs": [("Dock", reverse("dock")), (truck_name(row), "")],
    }
    return render(request, "claims/desk/delivery.html", context)


def _more(
    row: Delivery, *, may_sign: bool, may_note: bool
) -> tuple[tuple[str, str], ...]:
    photos = f"{reverse('add_evidence')}?delivery={row.pk}&kind=load"
    more = [("Add photos", photos)]
    if row.is_signed and may_note:
        note = reverse("note_receipt", args=[row.pk])
        more.insert(0, ("Add a note to the receipt", note))
    if not row.is_signed and may_sign:
        more.append(("Correct the truck", reverse("edit_delivery", args=[row.pk])))
        mistake = reverse("withdraw_delivery", args=[row.pk])
        more.append(("This truck was logged by mistake", mistake))
    return tuple(more)


def _next_clock(row: Delivery) -> Clock | None:
    """Return the duty of ours on this truck that is due first."""
    rows = Deadline.objects.filter(delivery=row)
    running = (
        one
        for one in clocks_of(rows, today_at(row.location))
        if one.is_running and one.owed_by == "us"
    )
    return next(running, None)


def _to_fill(row: Delivery) -> Shipment | None:
    """Return the first bill of this truck with missing paperwork."""
    brought = Shipment.objects.filter(pk__in=row.handovers.values("shipment"))
    bills = with_paper_counts(brought.order_by("pk"))
    return next((bill for bill in bills if lacking(bill)), None)
