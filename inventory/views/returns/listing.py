"""Returns: the list, one return, its plan and the crates staged on it."""

from dataclasses import replace

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from inventory.access import (
    locations_of,
    may,
    obtain,
    person_of,
    require_somewhere,
)
from inventory.actions.returns import staging as acts
from inventory.actions.returns.shipping import facts_of_return
from inventory.forms.returns.returns import (
    MakeReturnForm,
)
from inventory.forms.returns.trailers import TrailerForm
from inventory.models import CrateReturn, Delivery, Location, User
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
from inventory.rules.returns import life as rules
from inventory.rules.returns.papers import CAUTIONS, DEFERS
from inventory.views.core.clock import now, today_at, today_somewhere
from inventory.views.core.one_act import ActPage, answer_act, posted
from inventory.views.core.paging import page_of
from inventory.views.core.sheets import asked_as_file

_JOINED = ("location", "supplier", "carrier", "delivery__carrier", "made_by")


@require_safe
def returns(request: HttpRequest) -> HttpResponse:
    """List the returns, those that are not closed unless asked for others."""
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


@require_http_methods(["GET", "POST"])
def make_return(request: HttpRequest) -> HttpResponse:
    """Begin a return, for a truck at the dock where one is named."""
    person = person_of(request)
    require_somewhere(person, "ship-crates")
    delivery = _truck(request, person)
    places = list(locations_of(person, "ship-crates"))
    location = delivery.location if delivery else _place(request, places)
    today = today_at(location)
    form = MakeReturnForm(
        posted(request),
        location=location,
        today=today,
        initial={
            "supplier": request.GET.get("supplier", ""),
            "delivery": delivery.pk if delivery else None,
            "carrier": delivery.carrier_id if delivery else None,
        },
    )

    def act() -> HttpResponse:
        row = acts.make_return(
            location=location,
            person=person,
            at=now(),
            today=today,
            **form.cleaned_data,
        )
        messages.success(request, f"{row} is begun. Stage crates on it.")
        return redirect("stage_crates", row.pk)

    page = ActPage(
        title="Begin a return",
        kicker=location.name,
        lead="A return is one load of empties to one supplier.",
        back=reverse("returns"),
        back_words="Back to the returns",
        crumbs=[("Returns", reverse("returns")), ("Begin a return", "")],
        template="inventory/returns/make_return.html",
        more={"others": [row for row in places if row.pk != location.pk]},
    )
    return answer_act(request, form, page, act)


def _truck(request: HttpRequest, person: User) -> Delivery | None:
    key = request.GET.get("delivery", "")
    if not key:
        return None
    rows = Delivery.objects.select_related("location", "carrier")
    return obtain(rows, person, key, "ship-crates")


def _place(request: HttpRequest, places: list[Location]) -> Location:
    asked = request.GET.get("location", "")
    for row in places:
        if str(row.pk) == asked:
            return row
    if asked:
        raise PermissionDenied(
            "You do not ship crates from that location. Nothing was changed."
        )
    return places[0]


def return_of(person: User, pk: int, act: str) -> CrateReturn:
    """Return one return through its gate, with what its pages print joined."""
    return obtain(CrateReturn.objects.select_related(*_JOINED), person, pk, act)


@require_safe
def crate_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one return: its crates, its stacks, its papers, its story."""
    person = person_of(request)
    row = return_of(person, pk, "see")
    lines = lines_of(row)
    trailer_form = TrailerForm(request.GET)
    trailer = trailer_form.trailer()
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
        "plan": plan_of(lines, trailer) if lines else None,
        "trailer": trailer,
        "count_words": rules.count_words(len(lines), row.driver_count),
        "due_words": overdue_words(row.memo_due_on, today) if waiting else "",
        "least_words": least_words(row, len(lines), today),
        "against": row.life.decide(row.state, "ship", facts).reasons
        if row.life.can_start(row.state, "ship")
        else (),
        "next_lead": row.life.lead(row.state, facts),
        "acts": row.life.acts_from(row.state),
        "photos": list(row.evidence.select_related("recorded_by").order_by("pk")),
        "story": story_of(
            [row], row.location, leave_out=() if sees_money else MONEY_KINDS
        ),
        "cautions": CAUTIONS,
        "defers": DEFERS,
        "may_ship": may(person, row.location_id, "ship-crates"),
        "may_see_money": sees_money,
        "may_post": may(person, row.location_id, "post-deposits"),
        "crumbs": [("Returns", reverse("returns")), (str(row), "")],
    }
    return render(request, "inventory/returns/crate_return.html", context)


def page_about(row: CrateReturn, title: str, lead: str = "") -> ActPage:
    """Return the page around a form about one return."""
    back = reverse("crate_return", args=[row.pk])
    return ActPage(
        title=title,
        kicker=f"{row} to {row.supplier}",
        lead=lead,
        row=row,
        back=back,
        back_words="Back to the return",
        crumbs=[("Returns", reverse("returns")), (str(row), back), (title, "")],
    )
