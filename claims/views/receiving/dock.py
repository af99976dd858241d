"""The dock page: trucks here now, what is due, and what was signed today."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from claims.queries.core.test_trucks import practice_at
from claims.queries.receiving.dock_page import dock_trucks, due_crates, due_images
from claims.queries.receiving.due import mails_due, refused_without_disposition
from inventory.access import locations_of, person_of, require_somewhere
from inventory.errands import errands_of
from inventory.queries.mail.outbox import mails_in_trouble
from inventory.queries.receiving.dock import bills_to_fill
from inventory.views.core.clock import (
    dock_hour_or_day,
    now,
    today_at,
    today_somewhere,
)

SHOWN = 3
"""How many of each kind are shown before the others fold."""


@require_safe
def dock(request: HttpRequest) -> HttpResponse:
    """Show what the dock has to do now."""
    person = person_of(request)
    require_somewhere(person, "see")
    places = list(locations_of(person, "see"))
    trucks = dock_trucks(person, {one.pk: today_at(one) for one in places})
    rows = [
        (one, dock_hour_or_day(one.row.location, one.row.arrived_at)) for one in trucks
    ]
    images, to_fill = due_images(person, now()), bills_to_fill(person)
    mails, refused = mails_due(person, now()), refused_without_disposition(person)
    practice = practice_at(
        locations_of(person, "log-delivery"), today_somewhere(person)
    )
    crates = due_crates(person, asked={one.key for one in refused})
    context = {
        "waiting": [pair for pair in rows if not pair[0].row.is_signed],
        "signed": [pair for pair in rows if pair[0].is_signed_by_driver],
        "unsigned": [
            pair
            for pair in rows
            if pair[0].row.is_signed and not pair[0].is_signed_by_driver
        ],
        "images": images[:SHOWN],
        "more_images": images[SHOWN:],
        "crates": crates,
        "to_fill": to_fill[:SHOWN],
        "more_to_fill": to_fill[SHOWN:],
        "mails": mails,
        "mail_trouble": mails_in_trouble(person, now()),
        "errands": errands_of(person, max(today_at(one) for one in places)),
        "refused": refused,
        "practice": practice,
        "due_count": len(images)
        + len(crates)
        + len(to_fill)
        + len(mails)
        + len(refused)
        + len(practice.to_end)
        + practice.is_offered,
        "writers": set(locations_of(person, "make-claim").values_list("pk", flat=True)),
        "signers": set(
            locations_of(person, "sign-receipt").values_list("pk", flat=True)
        ),
        "noters": set(
            locations_of(person, "note-receipt").values_list("pk", flat=True)
        ),
        "several_places": len(places) > 1,
        "may_log": locations_of(person, "log-delivery").exists(),
    }
    return render(request, "claims/receiving/dock.html", context)
