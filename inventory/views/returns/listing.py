"""The list of returns, and one return: its crates, stacks, documents and history."""

from dataclasses import replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.above import asides_of
from inventory.access import (
    locations_of,
    may,
    person_of,
    require_somewhere,
)
from inventory.actions.returns.shipping import facts_of_return
from inventory.forms.returns.trailers import TrailerForm
from inventory.queries.core.history import story_of
from inventory.queries.memos.listing import overdue_words
from inventory.queries.returns.listing import (
    FILTERS,
    counts_on,
    least_words,
    lines_of,
    mass_of,
    plan_of,
    return_rows,
    shorts_of,
    sums_of,
)
from inventory.queries.returns.sheets import return_sheet
from inventory.rules.core.event_kinds import MONEY_KINDS
from inventory.rules.reckoning.measures import ROUNDING
from inventory.rules.returns import life as rules
from inventory.rules.returns.papers import CAUTIONS, DEFERS
from inventory.views.core.clock import today_at, today_somewhere
from inventory.views.core.paging import page_of
from inventory.views.core.sheets import asked_as_file
from inventory.views.returns.one_return import return_seen


@require_safe
def returns(request: HttpRequest) -> HttpResponse:
    """List the returns: those not closed, unless others are asked for."""
    person = person_of(request)
    require_somewhere(person, "see")
    which = request.GET.get("which", "open")
    which = which if which in FILTERS else "open"
    rows = return_rows(person, which)
    money = set(locations_of(person, "see-deposits").values_list("pk", flat=True))
    file = asked_as_file(
        request,
        lambda: return_sheet(rows, money=money),
        stem="returns",
        today=today_somewhere(person),
    )
    if file:
        return file
    page = page_of(request, rows)
    for row in page.object_list:
        counts = counts_on(row)
        row.due_words = (
            overdue_words(row.memo_due_on, today_at(row.location))
            if counts.waiting
            else ""
        )
        row.count_words = rules.count_words(counts.crates, row.driver_count)
    context = {
        "page": page,
        "which": which,
        "filters": FILTERS,
        "may_ship": locations_of(person, "ship-crates").exists(),
        "may_see_money": bool(money),
        "money_places": money,
        "crumbs": [("Crates", reverse("crates")), ("Returns", "")],
    }
    return render(request, "inventory/returns/returns.html", context)


@require_safe
def crate_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one return: its crates, its stacks, its documents, its history."""
    person = person_of(request)
    row = return_seen(request, pk)
    lines = lines_of(row)
    trailer_form = TrailerForm(request.GET)
    trailer = trailer_form.trailer()
    unit = "mm" if row.location.length_unit == "m" else "in"
    plan = plan_of(lines, trailer) if lines else None
    shorts = shorts_of(lines)
    today = today_at(row.location)
    waiting = sum(1 for line in lines if line.crate.state == "shipped")
    facts = replace(facts_of_return(row, len(lines)), waiting=waiting)
    sees_money = may(person, row.location_id, "see-deposits")
    context = {
        "row": row,
        "lines": [(line, shorts.get(line.deposit_id or 0, [])) for line in lines],
        "sums": sums_of(lines),
        "weight": rules.total_weight(mass_of(line.crate.crate_type) for line in lines),
        "plan": plan,
        "plan_words": plan.words_in(row.location.length_unit) if plan else "",
        "trailer": trailer,
        "trailer_unit": unit,
        "rounding": ROUNDING[row.location.length_unit],
        "inside": trailer_form.inside(unit),
        "count_words": rules.count_words(len(lines), row.driver_count),
        "due_words": overdue_words(row.memo_due_on, today) if waiting else "",
        "least_words": least_words(row, len(lines), today),
        "against": row.life.decide(row.state, "ship", facts).reasons
        if row.life.can_start(row.state, "ship")
        else (),
        "next_lead": row.life.lead(row.state, facts),
        "acts": row.life.acts_from(row.state),
        "photos": list(
            row.evidence.select_related("original", "recorded_by")
            .prefetch_related("markups", "readings")
            .order_by("pk")
        ),
        "story": story_of(
            [row], row.location, leave_out=() if sees_money else MONEY_KINDS
        ),
        "cautions": CAUTIONS,
        "defers": DEFERS,
        "may_ship": may(person, row.location_id, "ship-crates"),
        "may_see_money": sees_money,
        "may_post": may(person, row.location_id, "post-deposits"),
        "asides": asides_of(row, person),
        "crumbs": [("Returns", reverse("returns")), (str(row), "")],
    }
    return render(request, "inventory/returns/crate_return.html", context)
