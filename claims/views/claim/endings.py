"""How a claim ends, and how it is opened again: one page for each act."""

from claims.actions.claim import endings
from claims.forms.claim.endings import (
    GiveUpForm,
    HandOverForm,
    ReopenForm,
    SettleForm,
    TellWithdrawalForm,
    WithdrawForm,
)
from claims.queries.core.payments import claim_money
from claims.rules.claim.life import DRAFTED
from claims.views.claim.steps import DatedStep
from claims.views.core.claim_act import OneClaimAct
from inventory.actions.core.once import Answer
from inventory.rules.reckoning.money import format_cents


class SettleClaim(DatedStep[SettleForm]):
    """Close the claim with what was paid."""

    form_class = SettleForm
    permission = "settle-claim"
    life_act = "settle"
    title = "Close the claim as settled"

    def get_lead(self) -> str:
        money = claim_money(self.row)
        paid = format_cents(money.paid_cents, self.row.currency, code=True)
        if not money.balance_cents:
            return f"{paid} was paid, the whole claim."
        left = format_cents(money.balance_cents, self.row.currency, code=True)
        return f"{paid} was paid. Say in the note why {left} is not recovered."

    def act(self, form: SettleForm) -> Answer:
        endings.settle_claim(claim=self.row, step=self.step(form))
        return self.done(f"Claim {self.row.number} settled and closed.")


class GiveUp(OneClaimAct[GiveUpForm]):
    """Close the claim as not pursued."""

    form_class = GiveUpForm
    permission = "settle-claim"
    life_act = "give-up"
    title = "Close the claim as not pursued"
    lead = "What was not paid is your loss. You can reopen the claim."

    def act(self, form: GiveUpForm) -> Answer:
        endings.give_up(claim=self.row, step=self.step(form))
        return self.done(f"Claim {self.row.number} closed as not pursued.")


class HandOver(DatedStep[HandOverForm]):
    """Close a claim that the supplier takes over."""

    form_class = HandOverForm
    life_act = "hand-over"
    title = "Close the claim as handed to the supplier"
    lead = (
        "The supplier files it with the carrier. Send the hand-over letter with the claim "
        "file first. If the supplier asks you to file it after all, reopen the claim."
    )

    def act(self, form: HandOverForm) -> Answer:
        how = form.cleaned_data["how"]
        endings.hand_over(claim=self.row, how=how, step=self.step(form))
        return self.done(f"Claim {self.row.number} closed as handed to the supplier.")


class WithdrawClaim(OneClaimAct[WithdrawForm]):
    """Withdraw the claim, with a reason."""

    form_class = WithdrawForm
    life_act = "withdraw"
    title = "Withdraw the claim"
    lead = "Nothing is deleted. The claim and its history stay readable."

    def act(self, form: WithdrawForm) -> Answer:
        was_draft = self.row.state == DRAFTED
        endings.withdraw_claim(claim=self.row, step=self.step(form))
        next_step = (
            "Its findings can be claimed again."
            if was_draft
            else "Now tell the carrier, and record the letter as sent."
        )
        return self.done(f"Claim {self.row.number} withdrawn. {next_step}")


class TellWithdrawal(DatedStep[TellWithdrawalForm]):
    """Record that the carrier was told of the withdrawal."""

    form_class = TellWithdrawalForm
    life_act = "tell-withdrawal"
    title = "Record the withdrawal letter as sent"
    lead = (
        "The carrier still has the claim. Its findings can be claimed again after this."
    )

    def act(self, form: TellWithdrawalForm) -> Answer:
        how = form.cleaned_data["how"]
        endings.tell_withdrawal(claim=self.row, how=how, step=self.step(form))
        return self.done(
            f"Withdrawal of claim {self.row.number} recorded as sent. Its findings can "
            "be claimed again."
        )


class ReopenClaim(OneClaimAct[ReopenForm]):
    """Open a closed claim again."""

    form_class = ReopenForm
    permission = "settle-claim"
    life_act = "reopen"
    title = "Reopen the claim"
    lead = "It goes on where it was closed. No deadline starts again."

    def act(self, form: ReopenForm) -> Answer:
        endings.reopen_claim(claim=self.row, step=self.step(form))
        return self.done(f"Claim {self.row.number} reopened.")
