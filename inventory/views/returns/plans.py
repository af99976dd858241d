"""The days on which a return truck pays, and what a truck costs."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.access import locations_of, obtain, person_of, require_somewhere
from inventory.actions.core.once import Answer
from inventory.actions.returns.costs import set_return_costs
from inventory.forms.returns.plans import PlanForm, ReturnCostsForm
from inventory.models import Location, ReturnCosts, Supplier
from inventory.queries.ledger.rates import rates_at
from inventory.queries.people.partners import one_supplier
from inventory.queries.returns import plans as asking
from inventory.rules.plans.plan import Plan, PlanError, Schedule
from inventory.rules.plans.plan import plan_returns as cheapest_plan
from inventory.views.core.act_view import ActView
from inventory.views.core.clock import now, today_at

ACT = "plan-returns"
WEEKS, READY_DAYS = 8, 3
AMOUNTS = ("pickup_cents", "per_crate_cents", "yard_cents_per_day")
BAR = 560
"""The length of the most expensive bar of the chart, in its own units."""


@require_safe
def plan_returns(request: HttpRequest) -> HttpResponse:
    """Show when to ship one supplier's empty crates, against two simple schedules."""
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


class SetReturnCosts(ActView[Location, ReturnCostsForm]):
    """Save what a truck to this supplier costs."""

    permission = ACT
    form_class = ReturnCostsForm
    back_words = "Back to the plan"
    supplier: Supplier
    costs: ReturnCosts | None

    def get_row(self) -> Location:
        rows = Location.objects.all()
        here = obtain(rows, self.person, self.kwargs["place"], self.permission)
        self.supplier = one_supplier(self.kwargs["pk"])
        rows_of = ReturnCosts.objects.filter(location=here, supplier=self.supplier)
        self.costs = rows_of.first()
        return here

    def get_title(self) -> str:
        return f"Cost of a truck to {self.supplier.name}"

    def get_kicker(self) -> str:
        return self.row.name

    def get_back(self) -> str:
        pair = f"{self.row.pk}-{self.supplier.pk}"
        address = reverse("plan_returns")
        return f"{address}?pair={pair}&weeks={WEEKS}&ready_days={READY_DAYS}"

    def get_initial(self) -> dict[str, Any]:
        row = self.costs
        amounts = {name: getattr(row, name) if row else 0 for name in AMOUNTS}
        most = row.trailer_crates if row else None
        shown = {"version": row.version if row else 1, "trailer_crates": most}
        return super().get_initial() | amounts | shown

    def get_form_kwargs(self) -> dict[str, Any]:
        currency = self.costs.currency if self.costs else self.row.currency
        return super().get_form_kwargs() | {"currency": currency}

    def act(self, form: ReturnCostsForm) -> Answer:
        saved = set_return_costs(
            location=self.row,
            supplier=self.supplier,
            version=form.cleaned_data["version"],
            person=self.person,
            at=now(),
            **form.costs(),
        )
        return self.done("Costs saved. The plan below uses them.", row=saved)


def _planned(asked: asking.Asked) -> dict[str, object]:
    """Return what the page shows of one plan; a problem in words where there is none."""
    found = asking.gathered(asked)
    row = asking.costs_row(asked)
    rate = rates_at([asked.location], asked.today).get(
        (asked.location.pk, found.currency)
    )
    shown: dict[str, object] = {
        "asked": asked,
        "currency": found.currency,
        "left_out": found.left_out,
        "has_costs": row is not None,
        "rate": rate if row and row.currency != found.currency else None,
    }
    try:
        costs = asking.costs_of(asked, row, found.currency, rate)
        shown["costs"] = costs
        plan = cheapest_plan(found.crates, costs, asking.horizon_of(asked))
    except PlanError as error:
        return {**shown, "problem": str(error)}
    deposits = found.named([*(key for key, _ in plan.must_go), *plan.held])
    return {
        **shown,
        "plan": plan,
        "chart": _chart(plan),
        "must_go": [(deposits[key], loss) for key, loss in plan.must_go],
        "held": [deposits[key] for key in plan.held],
    }


@dataclass(frozen=True)
class Bar:
    """One schedule as a bar of three parts, in units of the most expensive one."""

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
