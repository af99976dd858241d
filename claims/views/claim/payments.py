"""The carrier's payments: recorded, reversed, decided."""

from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.functional import cached_property

from claims.actions.claim import payments
from claims.actions.claim.remittances import reverse_part
from claims.forms.claim.payments import (
    DecidePaymentForm,
    PaymentForm,
    ReversePaymentForm,
)
from claims.models import Claim, ClaimPayment
from claims.queries.core.payments import claim_money, loaded_payments, payment_facts
from claims.rules.claim.payments import Payment
from claims.views.claim.steps import MoneyStep
from claims.views.core.claim_act import ClaimAct, DatedAct
from inventory.actions.core.once import Answer
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.money import format_cents


class RecordPayment(MoneyStep[PaymentForm]):
    """Record a payment of the carrier."""

    form_class = PaymentForm
    permission = "record-payment"
    life_act = "pay"
    title = "Record a payment"

    def get_lead(self) -> str:
        balance = claim_money(self.row).balance_cents
        return f"Balance: {format_cents(balance, self.row.currency, code=True)}."

    def act(self, form: PaymentForm) -> Answer:
        data = form.cleaned_data
        made = payments.record_payment(
            claim=self.row,
            received=payments.Received(
                cents=data["amount"],
                method=data["method"],
                reference=data["reference"],
                bills=data["bills"],
                in_full=data["in_full"],
            ),
            step=self.step(form),
        )
        words = (
            "Payment recorded, not counted. Do not deposit it: the manager decides first."
            if made.in_full
            else "Payment recorded."
        )
        return self.done(words, row=made)


class _PaymentAct(ClaimAct[ClaimPayment, HouseForm]):
    """An act on the payment of the address."""

    def get_queryset(self) -> QuerySet[ClaimPayment]:
        return loaded_payments().select_related(
            *("reversal", "claim__location", "claim__shipment__carrier"),
            *("remittance__carrier", "remittance__supplier"),
        )

    def get_claim(self) -> Claim:
        return self.row.claim

    @cached_property
    def facts(self) -> Payment:
        """Return the payment as the rules see it."""
        return payment_facts(self.row)

    def get(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        """Go to the remittance where all of one check marked as full is one."""
        if self.row.remittance_id and self.row.in_full:
            return redirect("remittance", self.row.remittance_id)
        return super().get(request, *args, **kwargs)

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"version": self.row.claim.version}

    def _take_new_version(self, form: HouseForm) -> None:
        """Take the claim's version: a payment is never changed and has none."""
        claim = self.row.claim
        claim.refresh_from_db(fields=["version"])
        if isinstance(form, StaleForm):
            form.take_version(claim.version)

    def get_context_data(self, **more: object) -> dict[str, Any]:
        context = super().get_context_data(**more)
        claim, facts = self.row.claim, self.facts
        amount = format_cents(facts.cents, claim.currency, code=True)
        context["facts"] = (
            *context["facts"],
            (f"Payment {facts.number}", amount),
            ("Paid by", self.row.get_method_display()),
            ("Reference", self.row.reference or "not given"),
        )
        return context


class ReversePayment(_PaymentAct):
    """Take a payment back."""

    form_class = ReversePaymentForm
    permission = "record-payment"
    life_act = "reverse-payment"
    title = "Reverse the payment"

    def get_lead(self) -> str:
        if remittance := self.row.remittance:
            return (
                f"It is a part of {remittance}. Reversed, it is owed to "
                f"{remittance.payer} until you put it against another claim. If all of "
                "it was recorded by mistake or bounced, reverse the remittance instead."
            )
        return "For a payment recorded by mistake, or a check that bounced."

    def get_refusal(self) -> str:
        if self.facts.is_reversed:
            return "This payment is already reversed."
        return super().get_refusal()

    def act(self, form: HouseForm) -> Answer:
        undo = reverse_part if self.row.remittance_id else payments.reverse_payment
        made = undo(payment=self.row, step=self.step(form))
        return self.done(f"Payment {self.row.number} reversed.", row=made)


class DecidePayment(_PaymentAct, DatedAct[ClaimPayment, HouseForm]):
    """Decide what a payment settles."""

    form_class = DecidePaymentForm
    permission = "settle-claim"
    life_act = "decide-payment"
    title = "Decide what the payment settles"

    def get_lead(self) -> str:
        if not self.row.in_full:
            return "As full payment, it closes the claim. The rest is then your loss."
        if day := self.facts.repay_by:
            return (
                f"It was deposited. It may be repaid until {in_words(day)}, 90 days "
                "from the deposit, so that it does not settle the claim. Ask counsel."
            )
        return (
            "It says it is full payment. Cashed, it can settle the whole claim, and a "
            "note such as 'under protest' does not help (UCC 3-311 and 1-308(b)). "
            "Ask counsel in doubt."
        )

    def get_refusal(self) -> str:
        if not self.facts.open_choices():
            return "Nothing is left to decide on this payment."
        return super().get_refusal()

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"choices": self.facts.open_choices()}

    def act(self, form: HouseForm) -> Answer:
        payments.decide_payment(
            payment=self.row,
            choice=form.cleaned_data["choice"],
            step=self.step(form),
        )
        return self.done(f"Decision on payment {self.row.number} saved.")
