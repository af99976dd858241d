"""Forms that close a claim, withdraw it or open it again."""

from claims.forms.claim.answers import HowField, WhoField
from claims.forms.claim.steps import (
    FilesField,
    ReasonField,
    RequiredDayField,
    StepForm,
)
from inventory.forms.core.base import StaleForm


class SettleForm(StepForm):
    """Close a claim as settled."""

    act = "Close as settled"
    on = RequiredDayField(label="Date settled")


class GiveUpForm(StaleForm):
    """Close a claim as not pursued."""

    act = "Close as not pursued"
    reason = ReasonField(label="Why is it not pursued?")
    documents = FilesField()


class HandOverForm(StepForm):
    """Close a claim that the supplier takes over."""

    act = "Close as handed to the supplier"
    on = RequiredDayField(label="Date the supplier got it")
    how = HowField()
    words = WhoField(label="Who got it there?")


class WithdrawForm(StaleForm):
    """Ask for the reason of a withdrawal."""

    act = "Withdraw the claim"
    reason = ReasonField()


class TellWithdrawalForm(StepForm):
    """Record that the carrier was told of the withdrawal."""

    act = "Record the letter as sent"
    on = RequiredDayField(label="Date sent")
    how = HowField()
    words = WhoField(label="To whom?")


class ReopenForm(StaleForm):
    """Open a closed claim again."""

    act = "Reopen the claim"
    reason = ReasonField(label="Why is it reopened?")
