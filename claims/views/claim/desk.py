"""The claims desk: what is to be done today and by whom, then the open claims."""

from collections.abc import Collection
from dataclasses import replace

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.models import Claim, Finding
from claims.queries.claim.listing import (
    ClaimRow,
    closed_claims,
    closed_row,
    listed,
    totals_of,
)
from claims.queries.claim.sheet import claim_sheet
from claims.queries.core.unclaimed import listed_columns, unclaimed
from claims.queries.desk.folds import closed_folds, found_fold, held_fold, notice_fold
from claims.queries.desk.reminders import overdue_wish
from claims.queries.desk.todo import Work
from claims.rules.claim.life import LIFE
from claims.rules.claim.todo import THIS_WEEK, Todo, days_ahead, sums_of
from claims.rules.core.vocabulary import CLAIM_STATES
from claims.views.claim.narrowing import Narrowing
from inventory.access import locations_of, person_of, require_somewhere, scoped
from inventory.models import Carrier
from inventory.queries.crates.yard import held_rows
from inventory.queries.ledger.rates import Rates, rates_at
from inventory.queries.mail.outbox import mails_in_trouble
from inventory.views.core.clock import now, today_at
from inventory.views.core.paging import page_of
from inventory.views.core.sheets import asked_as_file

ACT = "see-claims"
FIRST_ACTS = 10
ACTS_A_PAGE = 25


@require_safe
def claims(request: HttpRequest) -> HttpResponse:
    """Show the desk of a manager or of accounting."""
    person = person_of(request)
    require_somewhere(person, ACT)
    places = list(locations_of(person, ACT))
    today = min(today_at(place) for place in places)
    work = Work.of(person, today, ACT)
    todos = work.todos()
    carriers = _carriers(work, todos)
    narrow = Narrowing.of(request.GET, carriers, [place.pk for place in places])
    rows = [row for row in work.claims if narrow.keeps_claim(row, work.owner(row))]
    shut = closed_claims(
        scoped(Claim.objects.filter(**narrow.keys()), person, ACT)
    ).filter(state__in=[narrow.state] if narrow.state else LIFE.final)
    file = asked_as_file(
        request, lambda: claim_sheet(rows, shut), stem="claims", today=today
    )
    if file:
        return file
    kept = [one for one in todos if narrow.keeps(one)]
    due = [one for one in kept if one.is_due]
    may_act = set(locations_of(person, "make-claim").values_list("pk", flat=True))
    lines = [(one, _address(one, may_act)) for one in due]
    acts = page_of(request, lines, ACTS_A_PAGE, name="acts")
    context = {
        "today": today,
        "until": today + THIS_WEEK,
        "mail_trouble": mails_in_trouble(person, now()),
        "overdue_mail": overdue_wish(person, now()),
        "narrow": narrow,
        "carriers": carriers,
        "states": CLAIM_STATES,
        "places": places if len(places) > 1 else [],
        "due_count": len(due),
        "mine_count": sum(one.who.is_mine for one in due),
        "late_count": _late(due),
        "hidden_late": _late(todos) - _late(kept),
        "sums": sums_of(due),
        "acts": acts,
        "first": acts.object_list[:FIRST_ACTS],
        "rest": acts.object_list[FIRST_ACTS:],
        "ahead": days_ahead(kept, today),
        "may_act": bool(may_act),
        **_table(request, rows, shut, narrow, rates=rates_at(places, today)),
        **_folds(request, work, narrow),
    }
    return render(request, "claims/claim/claims.html", context)


def _carriers(work: Work, todos: Collection[Todo]) -> dict[int, str]:
    """Return the names of the carriers that the desk has something of."""
    keys = {row.claim.shipment.carrier_id for row in work.claims}
    keys |= {one.carrier for one in todos}
    rows = Carrier.objects.filter(pk__in=keys).order_by("name", "pk")
    return dict(rows.values_list("pk", "name"))


def _late(todos: Collection[Todo]) -> int:
    return sum(one.tone == "late" for one in todos)


def _address(one: Todo, may_act: Collection[int]) -> str:
    """Return the page of an act; of its claim, bill or return for someone who may only look."""
    if one.location in may_act:
        return reverse(one.page, args=one.keys) + one.query
    if one.claim:
        return reverse("claim", args=[one.claim])
    if not one.bill:
        return reverse("crate_return", args=one.keys)
    return reverse("shipment", args=[one.bill])


def _table(
    request: HttpRequest,
    rows: list[ClaimRow],
    shut: QuerySet[Claim],
    narrow: Narrowing,
    *,
    rates: Rates,
) -> dict[str, object]:
    if narrow.state in LIFE.final:
        page = page_of(request, shut)
        page.object_list = [closed_row(claim) for claim in page.object_list]
        totals = []
    else:
        page, totals = page_of(request, rows), totals_of(rows, rates)
    page.object_list = listed(list(page.object_list))
    return {"page": page, "totals": totals, "claim_count": page.paginator.count}


def _folds(request: HttpRequest, work: Work, narrow: Narrowing) -> dict[str, object]:
    person, keys = work.staff.person, narrow.keys()
    claims = scoped(Claim.objects.filter(**keys), person, ACT)
    findings = scoped(Finding.objects.filter(**keys), person, ACT)
    places = {place.pk: today_at(place) for place in locations_of(person, ACT)}
    held = [
        row
        for row in held_rows(person, places)
        if narrow.keeps_bill(row.hold.crate.shipment)
    ]
    duties = [row for row in work.duties if narrow.keeps_bill(row.shipment)]
    settled, ended = closed_folds(claims, work.today)
    folds = {
        "found": found_fold(unclaimed(listed_columns(findings), claims)),
        "notices": notice_fold(duties, work.today),
        "held": held_fold(held),
        "settled": settled,
        "ended": ended,
    }
    asked = request.GET.get("all", "")
    return {name: replace(fold, is_open=name == asked) for name, fold in folds.items()}
