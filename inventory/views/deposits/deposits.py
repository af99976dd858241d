"""One deposit: its page, and to match, withdraw and forfeit it."""

from typing import Any, TypeVar

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from inventory.access import may, obtain, person_of
from inventory.actions.core.once import Answer, posting_key
from inventory.actions.deposits import ending as acts
from inventory.forms.core.base import HouseForm
from inventory.forms.deposits.deposits import ForfeitForm, MatchForm, WithdrawForm
from inventory.models import Crate, Deposit
from inventory.queries.core.history import story_of
from inventory.queries.deposits.listing import deposit_page, matching_crates
from inventory.rules.reckoning.money import format_cents
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at

Form = TypeVar("Form", bound=HouseForm)


@require_safe
def deposit(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a deposit's balances, postings and history, and what can be done."""
    person = person_of(request)
    row = obtain(_deposits(), person, pk, "see-deposits")
    context = {
        "page": deposit_page(row.pk, today_at(row.location)),
        "may_post": may(person, row.location_id, "post-deposits"),
        "story": story_of([row], row.location, leave_out=()),
        "crumbs": [("Deposits", reverse("deposits")), (str(row), "")],
    }
    return render(request, "inventory/deposits/deposit.html", context)


class _DepositAct(ActView[Deposit, Form]):
    """What the pages below have in common."""

    permission = "post-deposits"
    back_words = "Back to the deposit"

    def get_queryset(self) -> QuerySet[Deposit]:
        return _deposits()

    def get_back(self) -> str:
        return reverse("deposit", args=[self.row.pk])

    def get_kicker(self) -> str:
        amount = format_cents(self.row.amount_cents, self.row.currency, code=True)
        return f"{amount} · {self.row.supplier}"

    def get_crumbs(self) -> Crumbs:
        return [("Deposits", reverse("deposits")), (str(self.row), self.get_back())]


class MatchDeposit(_DepositAct[MatchForm]):
    """Choose the crate that the deposit is on."""

    form_class = MatchForm
    title = "Match to a crate"

    @cached_property
    def crates(self) -> QuerySet[Crate]:
        """Return the crates that the deposit may be on."""
        return matching_crates(self.row)

    def get_refusal(self) -> str:
        return acts.why_no_crate(self.row)

    def get_lead(self) -> str:
        if self.crates.exists():
            return (
                "Listed are this supplier's reusable crates here without a deposit. "
                "Refused crates are not listed: they are never charged."
            )
        return (
            "This supplier has no reusable crate here without a deposit. Add the crate "
            "to its freight bill first, or mark it as reusable."
        )

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"crates": self.crates}

    def act(self, form: MatchForm) -> Answer:
        acts.match_deposit(
            deposit=self.row, person=self.person, at=now(), **form.cleaned_data
        )
        return self.done(f"Deposit matched to {form.cleaned_data['crate']}.")


class _DatedAct(_DepositAct[Form]):
    """An act with an effective date up to today."""

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"today": today_at(self.row.location)}


class WithdrawDeposit(_DatedAct[WithdrawForm]):
    """Withdraw the charge by a reversal."""

    form_class = WithdrawForm
    title = "Withdraw the charge"

    def get_title(self) -> str:
        return "Withdraw the credit" if self.row.shipped_back_on else self.title

    def get_lead(self) -> str:
        if self.row.shipped_back_on:
            return "For a credit that was brought in by mistake."
        return "For a charge that was wrong, or that the supplier took off the invoice."

    def act(self, form: WithdrawForm) -> Answer:
        acts.withdraw_deposit(
            deposit=self.row,
            posting_key=posting_key(form.once_id, self.person),
            person=self.person,
            at=now(),
            **form.cleaned_data,
        )
        return self.done("Charge withdrawn. A reversal was posted.")


class ForfeitDeposit(_DatedAct[ForfeitForm]):
    """Forfeit what is still open on the deposit."""

    form_class = ForfeitForm
    title = "Forfeit the deposit"
    lead = (
        "For a crate that will not go back because it is too late or scrapped. The "
        "open amount becomes a loss, and the crate is ours."
    )

    def act(self, form: ForfeitForm) -> Answer:
        acts.forfeit_deposit(
            deposit=self.row,
            forfeited_on=form.cleaned_data["effective_on"],
            reason=form.cleaned_data["reason"],
            posting_key=posting_key(form.once_id, self.person),
            person=self.person,
            at=now(),
        )
        return self.done("Deposit forfeited.")


def _deposits() -> QuerySet[Deposit]:
    return Deposit.objects.select_related("location", "supplier", "crate__shipment")
