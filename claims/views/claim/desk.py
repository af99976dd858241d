"""The claims desk: what is due, what is not claimed yet, what comes next."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from claims.models import Claim, Deadline, Finding
from claims.queries.bench.unopened import unopened_crates
from claims.queries.claim.listing import claims_in_order, closed_claims
from claims.queries.claim.sheet import claim_sheet
from claims.queries.core.payments import claim_money
from claims.queries.core.unclaimed import unclaimed
from claims.queries.deadlines.at_risk import at_stake
from claims.queries.deadlines.lapses import HANDS, lapsing
from inventory.access import locations_of, person_of, require_somewhere, scoped
from inventory.queries.crates.yard import held_rows
from inventory.queries.mail.outbox import mails_in_trouble
from inventory.views.core.clock import now, today_at
from inventory.views.core.paging import page_of
from inventory.views.core.sheets import asked_as_file

ACT = "see-claims"


@require_safe
def claims(request: HttpRequest) -> HttpResponse:
    """Show the desk of a manager or of accounting."""
    person = person_of(request)
    require_somewhere(person, ACT)
    here = list(locations_of(person, ACT))
    today = min(today_at(place) for place in here)
    rows = scoped(Claim.objects.all(), person, ACT)
    duties = scoped(Deadline.objects.all(), person, ACT)
    live = claims_in_order(rows, duties, today)
    file = asked_as_file(
        request,
        lambda: claim_sheet(live, closed_claims(rows)),
        stem="claims",
        today=today,
    )
    if file:
        return file
    lapses = lapsing(duties, unopened_crates(person, today), today)
    context = {
        "today": today,
        "mail_trouble": mails_in_trouble(person, now()),
        "hands": [
            (HANDS[hand], [one for one in lapses if one.hand == hand])
            for hand in HANDS
            if any(one.hand == hand for one in lapses)
        ],
        "at_stake": at_stake(lapses),
        "late_count": sum(1 for one in lapses if one.state == "late"),
        "unclaimed": unclaimed(scoped(Finding.objects.all(), person, ACT), rows),
        "held": held_rows(person, {place.pk: today_at(place) for place in here}),
        "page": page_of(request, live),
        "closed": [(claim, claim_money(claim)) for claim in closed_claims(rows)[:10]],
        "may_act": locations_of(person, "make-claim").exists(),
    }
    return render(request, "claims/claim/claims.html", context)
