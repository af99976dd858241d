"""Taking deposits on: by an invoice line, or from the books kept before."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from inventory.access import locations_of, obtain, person_of, require_somewhere
from inventory.actions.deposits.ending import bring_in_opening
from inventory.actions.deposits.ending import charge_deposits as act_charge
from inventory.forms.deposits.deposits import ChargeForm, OpeningForm
from inventory.models import Crate, Deposit, User
from inventory.queries.deposits.listing import chargeable_crates, other_rate, rate_today
from inventory.rules.reckoning.money import format_cents
from inventory.views.core.clock import now, today_at
from inventory.views.core.one_act import ActPage, answer_act, posted

ACT = "post-deposits"

_LINE = (
    "location",
    "supplier",
    "invoice_number",
    "line_number",
    "invoiced_on",
    "crate_type",
    "count",
    "amount_cents",
    "currency",
    "marks",
    "posting_key",
)


@require_http_methods(["GET", "POST"])
def charge_deposits(request: HttpRequest) -> HttpResponse:
    """Charge deposits by one line of an invoice."""
    person = person_of(request)
    require_somewhere(person, ACT)
    places = locations_of(person, ACT)
    form = ChargeForm(
        posted(request),
        places=places,
        today=max(today_at(place) for place in places),
        crates=chargeable_crates(places),
        initial=_begun_at(request, person),
    )

    def act() -> HttpResponse:
        values = form.cleaned_data
        crate = values["crate"]
        made = act_charge(
            person=person,
            at=now(),
            crates=[crate] if crate else [],
            booked_on=values["booked_on"],
            **{name: values[name] for name in _LINE},
        )
        return _told(request, made, "charged")

    page = ActPage(
        title="Charge deposits",
        back=reverse("deposits"),
        back_words="Back to the deposits",
        kicker="Supplier's invoice",
        lead="One deposit a crate, by one line of the invoice. Sending the form twice "
        "charges once.",
        crumbs=[("Deposits", reverse("deposits")), ("Charge", "")],
    )
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def bring_in_openings(request: HttpRequest) -> HttpResponse:
    """Bring in deposits that stand open in the books kept before."""
    person = person_of(request)
    require_somewhere(person, ACT)
    places = locations_of(person, ACT)
    form = OpeningForm(
        posted(request),
        places=places,
        today=max(today_at(place) for place in places),
        initial={"line_number": 1, "count": 1},
    )

    def act() -> HttpResponse:
        values = form.cleaned_data
        made = bring_in_opening(
            person=person,
            at=now(),
            opened_on=values["opened_on"],
            **{name: values[name] for name in _LINE},
        )
        _told(request, made, "brought in")
        return redirect("bring_in_openings")

    page = ActPage(
        title="Bring in opening balances",
        back=reverse("deposits"),
        back_words="Back to the deposits",
        kicker="Books kept before",
        lead="Deposits that were charged before this program was used, invoice line "
        "by invoice line. They stand against the opening balances.",
        crumbs=[("Deposits", reverse("deposits")), ("Opening balances", "")],
    )
    return answer_act(request, form, page, act)


def _begun_at(request: HttpRequest, person: User) -> dict[str, Any]:
    """Return what is known already, where the charge begins at a crate."""
    begun: dict[str, Any] = {"line_number": 1, "count": 1}
    key = request.GET.get("crate", "")
    if request.method != "GET" or not key:
        return begun
    rows = Crate.objects.select_related("shipment__location", "shipment__supplier")
    crate = obtain(rows, person, key, ACT)
    place = crate.shipment.location
    return begun | {
        "crate": crate.pk,
        "location": place.pk,
        "supplier": crate.shipment.supplier_id,
        "crate_type": crate.crate_type_id,
        "marks": crate.mark,
        "amount_cents": rate_today(crate, today_at(place)),
    }


def _told(request: HttpRequest, made: list[Deposit], how: str) -> HttpResponse:
    first = made[0]
    each = format_cents(first.amount_cents, first.currency, code=True)
    many = "1 deposit" if len(made) == 1 else f"{len(made)} deposits"
    matched = sum(deposit.crate_id is not None for deposit in made)
    found = f"{matched} matched to a crate here" if matched else "on no crate yet"
    messages.success(request, f"{many} of {each} {how}, {found}.")
    rate = other_rate(first)
    if rate is not None:
        said = format_cents(rate, first.currency, code=True)
        messages.warning(
            request,
            f"The supplier's terms give {said} for this type, the invoice {each}. "
            "Ask the supplier which holds.",
        )
    return redirect("deposit", first.pk)
