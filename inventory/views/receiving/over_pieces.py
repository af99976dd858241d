"""What the carrier answered about a crate that is over."""

from typing import Any

from django.db.models import QuerySet

from inventory.actions.core.once import Answer
from inventory.actions.receiving.over_pieces import record_over_answer
from inventory.addresses import DOCK, address_at, address_of
from inventory.forms.receiving.over_pieces import OverAnswerForm
from inventory.models import Crate
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at


class AnswerOver(ActView[Crate, OverAnswerForm]):
    """Record whether the carrier picked it up or left it with us."""

    permission = "log-delivery"
    form_class = OverAnswerForm
    title = "The carrier's answer"
    lead = (
        "The crate is over: it is not on the bill. It stays out of stock until the "
        "carrier says in writing whose it is."
    )

    def get_queryset(self) -> QuerySet[Crate]:
        return Crate.objects.select_related("shipment__location")

    def get_kicker(self) -> str:
        return f"{self.row}, over"

    def get_refusal(self) -> str:
        return "" if self.row.is_over else f"{self.row} is not over."

    def get_back(self) -> str:
        return address_of(self.row)

    def get_crumbs(self) -> Crumbs:
        return [("Dock", address_at(DOCK)), (str(self.row), self.get_back())]

    def get_form_kwargs(self) -> dict[str, Any]:
        today = today_at(self.row.shipment.location)
        return super().get_form_kwargs() | {"today": today}

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"on": today_at(self.row.shipment.location)}

    def act(self, form: OverAnswerForm) -> Answer:
        row = record_over_answer(
            person=self.person, at=now(), crate=self.row, **form.cleaned_data
        )
        return self.done(f"Answer saved: {row}.")
