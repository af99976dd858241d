"""The rates of exchange of the locations: what was entered, and entering one."""

from typing import Any

from django.urls import reverse

from inventory.access import require_somewhere
from inventory.actions.core.once import Answer
from inventory.actions.ledger.rates import enter_rate
from inventory.forms.ledger.rates import RateForm
from inventory.models import ExchangeRate
from inventory.views.core.clock import now, today_at
from inventory.views.ledger.books import BooksPage

MOST_RATES = 50


class EnterRate(BooksPage[None, RateForm]):
    """Enter a rate of exchange, beside those that were entered before."""

    form_class = RateForm
    template_name = "inventory/ledger/rates.html"
    title = "Exchange rates"
    lead = (
        "Amounts of different currencies are never added. With a rate, a total in "
        "another currency is also shown as an approximate amount in your own. It is never "
        "posted. The latest day counts; correct a wrong rate by entering it again."
    )

    def get_row(self) -> None:
        require_somewhere(self.person, self.permission)

    def get_initial(self) -> dict[str, Any]:
        asked = {
            name: self.request.GET[name]
            for name in ("location", "currency")
            if name in self.request.GET
        }
        return super().get_initial() | asked

    def get_form_kwargs(self) -> dict[str, Any]:
        today = max(today_at(place) for place in self.places)
        return super().get_form_kwargs() | {"places": self.places, "today": today}

    def get_context_data(self, **more: object) -> dict[str, Any]:
        rows = ExchangeRate.objects.filter(location__in=self.places)
        joined = rows.select_related("location", "entered_by")
        return super().get_context_data(rates=joined[:MOST_RATES], **more)

    def act(self, form: RateForm) -> Answer:
        row = enter_rate(
            location=form.cleaned_data["location"],
            told=form.told(),
            person=self.person,
            at=now(),
        )
        return self.done(f"{row} saved.", row=row, page=reverse("enter_rate"))
