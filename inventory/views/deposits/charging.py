"""Deposits from an invoice line, or from the earlier books."""

from typing import Any, TypeVar

from django.contrib import messages
from django.urls import reverse

from inventory.access import obtain, require_somewhere
from inventory.actions.core.once import Answer, posting_key
from inventory.actions.deposits.ending import bring_in_opening, charge_deposits
from inventory.forms.core.base import HouseForm
from inventory.forms.deposits.deposits import ChargeForm, OpeningForm
from inventory.models import Crate, Deposit
from inventory.queries.deposits.listing import chargeable_crates, other_rate, rate_today
from inventory.rules.reckoning.money import format_cents
from inventory.views.core.clock import now, today_at
from inventory.views.ledger.books import BooksPage

Form = TypeVar("Form", bound=HouseForm)

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
)


class _InvoiceLine(BooksPage[None, Form]):
    """What the two pages below have in common."""

    def get_row(self) -> None:
        require_somewhere(self.person, self.permission)

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"line_number": 1, "count": 1}

    def get_form_kwargs(self) -> dict[str, Any]:
        today = max(today_at(place) for place in self.places)
        return super().get_form_kwargs() | {"places": self.places, "today": today}

    def line(self, form: Form) -> dict[str, Any]:
        """Return what both actions take from a valid form."""
        values = {name: form.cleaned_data[name] for name in _LINE}
        key = posting_key(form.once_id, self.person)
        return values | {"posting_key": key, "person": self.person, "at": now()}


class ChargeDeposits(_InvoiceLine[ChargeForm]):
    """Charge deposits from one line of an invoice."""

    form_class = ChargeForm
    title = "Enter a charge"
    kicker = "Supplier's invoice"
    lead = "Each crate on the invoice line gets its own deposit."

    def get_initial(self) -> dict[str, Any]:
        initial = super().get_initial()
        key = self.request.GET.get("crate", "")
        if self.request.method != "GET" or not key:
            return initial
        rows = Crate.objects.select_related("shipment__location", "shipment__supplier")
        crate = obtain(rows, self.person, key, self.permission)
        place = crate.shipment.location
        return initial | {
            "crate": crate.pk,
            "location": place.pk,
            "supplier": crate.shipment.supplier_id,
            "crate_type": crate.crate_type_id,
            "marks": crate.mark,
            "amount_cents": rate_today(crate, today_at(place)),
        }

    def get_form_kwargs(self) -> dict[str, Any]:
        crates = chargeable_crates(self.places)
        return super().get_form_kwargs() | {"crates": crates}

    def act(self, form: ChargeForm) -> Answer:
        crate = form.cleaned_data["crate"]
        made = charge_deposits(
            crates=[crate] if crate else [],
            booked_on=form.cleaned_data["booked_on"],
            **self.line(form),
        )
        page = reverse("deposit", args=[made[0].pk])
        return self.done(_said(made, "charged"), row=made[0], page=page)

    def follow_up(self, form: ChargeForm, answer: Answer) -> None:
        """Warn where the invoice has another rate than the supplier's terms."""
        _warn_of_rate(self, answer)


class BringInOpenings(_InvoiceLine[OpeningForm]):
    """Enter deposits that are open in the earlier books."""

    form_class = OpeningForm
    title = "Enter opening balances"
    kicker = "Earlier books"
    lead = (
        "Enter each invoice line whose deposits were charged before you used this "
        "program. They are posted against opening balances."
    )

    def act(self, form: OpeningForm) -> Answer:
        made = bring_in_opening(
            opened_on=form.cleaned_data["opened_on"], **self.line(form)
        )
        page = reverse("bring_in_openings")
        return self.done(_said(made, "entered"), row=made[0], page=page)

    def follow_up(self, form: OpeningForm, answer: Answer) -> None:
        """Warn where the invoice has another rate than the supplier's terms."""
        _warn_of_rate(self, answer)


def _said(made: list[Deposit], how: str) -> str:
    first = made[0]
    each = format_cents(first.amount_cents, first.currency, code=True)
    many = "1 deposit" if len(made) == 1 else f"{len(made)} deposits"
    matched = sum(deposit.crate_id is not None for deposit in made)
    found = f"{matched} matched to a crate" if matched else "not matched to a crate yet"
    return f"{many} of {each} {how}, {found}."


def _warn_of_rate(view: _InvoiceLine[Any], answer: Answer) -> None:
    deposit = Deposit.objects.get(pk=answer.key)
    rate = other_rate(deposit)
    if rate is not None:
        terms = format_cents(rate, deposit.currency, code=True)
        each = format_cents(deposit.amount_cents, deposit.currency, code=True)
        messages.warning(
            view.request,
            f"The supplier's terms give {terms} for this crate type, the invoice "
            f"{each}. Ask the supplier which is right.",
        )
