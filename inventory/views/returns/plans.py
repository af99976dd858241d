"""The day on which a truck home pays."""

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from inventory.access import locations_of, obtain, person_of, require_somewhere
from inventory.actions.returns.costs import set_return_costs as keep_costs
from inventory.forms.returns.plans import PlanForm, ReturnCostsForm
from inventory.models import Location, ReturnCosts
from inventory.queries.people.partners import one_supplier
from inventory.queries.returns import plans as asking
from inventory.rules.plans.plan import Plan, PlanError, Schedule
from inventory.rules.plans.plan import plan_returns as cheapest_plan
from inventory.views.core.clock import now, today_at
from inventory.views.core.one_act import ActPage, answer_act, posted

ACT = "plan-returns"
WEEKS, READY_DAYS = 8, 3
BAR = 560
"""The length of the dearest bar of the chart, in its own units."""


@require_safe
def plan_returns(request: HttpRequest) -> HttpResponse:
    """Show when to send one supplier's empties, against two habits."""
    person = person_of(request)
    require_somewhere(person, ACT)
    pairs = asking.plannable_pairs(locations_of(person, ACT))
    by_key = {
        f"{place.pk}-{supplier.pk}": (place, supplier) for place, supplier in pairs
    }
    names = [
        (key, f"{supplier.name}, {place.name}")
        for key, (place, supplier) in by_key.items()
    ]
    first = next(iter(by_key), "")
    initial: dict[str, Any] = {"pair": first, "weeks": WEEKS, "ready_days": READY_DAYS}
    form = PlanForm(
        request.GET if "pair" in request.GET else None, pairs=names, initial=initial
    )
    answers = form.cleaned_data if form.is_bound and form.is_valid() else initial
    context: dict[str, object] = {
        "form": form,
        "crumbs": [("Deposits", reverse("deposits")), ("When to ship", "")],
    }
    if first and not form.errors:
        place, supplier = by_key[str(answers["pair"])]
        context |= _planned(
            asking.Asked(
                location=place,
                supplier=supplier,
                today=today_at(place),
                weeks=int(answers["weeks"]),
                ready_days=int(answers["ready_days"]),
            )
        )
    status = 422 if form.errors else 200
    return render(
        request, "inventory/returns/plan_returns.html", context, status=status
    )


@require_http_methods(["GET", "POST"])
def set_return_costs(request: HttpRequest, pk: int, place: int) -> HttpResponse:
    """Keep what a truck to this supplier costs."""
    person = person_of(request)
    location = obtain(Location.objects.all(), person, place, ACT)
    supplier = one_supplier(pk)
    row = ReturnCosts.objects.filter(location=location, supplier=supplier).first()
    names = ("version", "pickup_cents", "per_crate_cents", "yard_cents_per_day")
    initial = {name: getattr(row, name) if row else 0 for name in names}
    initial |= {"version": row.version if row else 1}
    initial |= {"trailer_crates": row.trailer_crates if row else None}
    form = ReturnCostsForm(posted(request), initial=initial, currency=location.currency)
    back = f"{reverse('plan_returns')}?pair={place}-{pk}"
    back += f"&weeks={WEEKS}&ready_days={READY_DAYS}"

    def act() -> HttpResponse:
        keep_costs(
            location=location,
            supplier=supplier,
            version=form.cleaned_data["version"],
            person=person,
            at=now(),
            **form.costs(),
        )
        messages.success(
            request, "The costs are kept. The plan below counts with them."
        )
        return redirect(back)

    page = ActPage(
        title=f"What a truck to {supplier.name} costs",
        back=back,
        back_words="Back to the plan",
        kicker=location.name,
        row=row,
    )
    return answer_act(request, form, page, act)


def _planned(asked: asking.Asked) -> dict[str, object]:
    """Return what the page shows of one plan; a problem in words where there is none."""
    found = asking.gathered(asked)
    row = asking.costs_row(asked)
    currency = next(
        (one.currency for one in found.deposits.values()), asked.location.currency
    )
    costs = asking.costs_of(asked, row, currency)
    shown: dict[str, object] = {
        "asked": asked,
        "costs": costs,
        "currency": currency,
        "left_out": found.left_out,
        "has_costs": row is not None,
    }
    try:
        plan = cheapest_plan(found.crates, costs, asking.horizon_of(asked))
    except PlanError as error:
        return {**shown, "problem": str(error)}
    return {
        **shown,
        "plan": plan,
        "crates": found.deposits,
        "chart": _chart(plan),
        "must_go": [(found.deposits[key], loss) for key, loss in plan.must_go],
        "held": [found.deposits[key] for key in plan.held],
    }


@dataclass(frozen=True)
class Bar:
    """One way of sending, as a bar of three parts, in units of the dearest bar."""

    label: str
    schedule: Schedule
    freight: int
    yard: int
    lost: int

    @property
    def yard_from(self) -> int:
        """Return where the yard's part begins."""
        return self.freight

    @property
    def lost_from(self) -> int:
        """Return where the lost credit's part begins."""
        return self.freight + self.yard


def _chart(plan: Plan) -> list[Bar]:
    ways = [("This plan", plan.best), ("A truck every week", plan.weekly)]
    if plan.when_full is not None:
        ways.append(("A truck when it is full", plan.when_full))
    dearest = max(way.cost.cents for _, way in ways) or 1
    return [
        Bar(
            label=label,
            schedule=way,
            freight=way.freight.cents * BAR // dearest,
            yard=way.yard.cents * BAR // dearest,
            lost=way.credit_lost.cents * BAR // dearest,
        )
        for label, way in ways
    ]
