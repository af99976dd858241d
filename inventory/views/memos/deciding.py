"""A decision of accounting on one credit: its day, its reason, and its one posting."""

from typing import Any, TypeVar

from inventory.actions.core.once import posting_key
from inventory.actions.deposits.short_rows import Decided
from inventory.forms.core.base import HouseForm
from inventory.models import ShortCredit, SuspenseLine
from inventory.views.core.act_view import ActView
from inventory.views.core.clock import now, today_at

Credit = TypeVar("Credit", ShortCredit, SuspenseLine)
Form = TypeVar("Form", bound=HouseForm)


class CreditDecision(ActView[Credit, Form]):
    """Decide on the credit of the address; ``button`` is the act where not the title."""

    permission = "post-deposits"
    button = ""

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"decided_on": today_at(self.row.location)}

    def get_form_kwargs(self) -> dict[str, Any]:
        today = today_at(self.row.location)
        options = {"act": self.button or self.title, "today": today}
        return super().get_form_kwargs() | options

    def decided(self, form: Form) -> Decided:
        """Return the decision that a valid form states."""
        got = form.cleaned_data
        key = posting_key(form.once_id, self.person)
        return Decided(got["decided_on"], key, self.person, now(), got["reason"])
