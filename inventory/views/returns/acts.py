"""A return is shipped, received, or loses a crate; and its papers as PDF."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from inventory.actions.core.once import Answer
from inventory.actions.evidence.photo_facts import About
from inventory.actions.returns import arrival, losses, shipping
from inventory.actions.returns.papers import Papers
from inventory.actions.returns.shipping import Departure
from inventory.evidence.seal.sent_documents import last_sent_bytes
from inventory.forms.deposits.deposits import UndoForm
from inventory.forms.returns.returns import (
    LoseCrateForm,
    ReceiveReturnForm,
    ShipReturnForm,
)
from inventory.forms.returns.trailers import TrailerForm
from inventory.models import CrateReturn, Delivery
from inventory.queries.returns.papers import bill_of, packing_list_of
from inventory.rules.core.sent_documents import BILL_OF_LADING, PACKING_LIST
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.rules.returns.life import count_words
from inventory.rules.returns.papers import ReturnPaper
from inventory.views.core.clock import now, today_at
from inventory.views.core.pdf_answers import answer_pdf
from inventory.views.returns.one_return import (
    CrateOfReturnAct,
    WholeReturnAct,
    return_seen,
    truck_named,
)

_DEPARTURE = (
    "left_on",
    "billed_on",
    "carrier",
    "delivery",
    "driver_name",
    "driver_count",
    "how_signed",
    "freight_cents",
    "supplier_bills_freight",
)


class ShipReturn(WholeReturnAct[ShipReturnForm]):
    """Ship the return: the driver signs for the count, credits are expected."""

    form_class = ShipReturnForm
    photo_kind = "load"
    truck: Delivery | None
    papers: Papers

    def get_row(self) -> CrateReturn:
        row = super().get_row()
        key = self.request.GET.get("delivery", "")
        self.truck = truck_named(key, self.person) if key else row.delivery
        return row

    @cached_property
    def listed(self) -> int:
        """Return how many crates are on the return."""
        return self.row.lines.filter(is_taken_off=False).count()

    def get_title(self) -> str:
        return f"Ship return {self.row.number}"

    def get_kicker(self) -> str:
        return f"To {self.row.supplier}"

    def get_lead(self) -> str:
        return f"On the list: {pieces_in_words(self.listed, 'crate')}."

    def get_photo_about(self) -> About:
        return About(crate_return=self.row)

    def get_photo_caption(self, form: ShipReturnForm) -> str:
        return f"Empties of {self.row} as loaded"

    def get_initial(self) -> dict[str, Any]:
        row, truck, today = self.row, self.truck, today_at(self.row.location)
        return super().get_initial() | {
            "left_on": today,
            "billed_on": today,
            "carrier": row.carrier_id or (truck.carrier_id if truck else None),
            "delivery": truck.pk if truck else None,
            "driver_name": truck.driver_name if truck else "",
            "how_signed": "signed",
        }

    def get_form_kwargs(self) -> dict[str, Any]:
        row = self.row
        return super().get_form_kwargs() | {
            "location": row.location,
            "today": today_at(row.location),
            "currency": row.currency,
        }

    def prepare(self, form: ShipReturnForm) -> None:
        self.papers = shipping.draw_papers(
            crate_return=self.row, departure=self.departure(form), at=now()
        )

    def act(self, form: ShipReturnForm) -> Answer:
        sent = shipping.ship_return(
            crate_return=self.row,
            version=form.cleaned_data["version"],
            departure=self.departure(form),
            person=self.person,
            at=now(),
            papers=self.papers,
        )
        shipped = f"{sent} shipped: {pieces_in_words(self.listed, 'crate')}."
        differs = count_words(self.listed, sent.driver_count)
        return self.done(
            f"{shipped} {differs} Both counts are saved." if differs else shipped
        )

    def departure(self, form: ShipReturnForm) -> Departure:
        """Return how it was shipped, as the form says and for the trailer asked for."""
        said = {name: form.cleaned_data[name] for name in _DEPARTURE}
        return Departure(**said, trailer=TrailerForm(self.request.GET).trailer())


class ReceiveReturn(WholeReturnAct[ReceiveReturnForm]):
    """Record the day on which the supplier received the return."""

    form_class = ReceiveReturnForm
    title = "Record supplier receipt"
    lead = (
        "Take the day from the carrier's proof of delivery or from the supplier. Where "
        "the supplier's terms count to this day, the expected credits are calculated "
        "again."
    )

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"today": today_at(self.row.location)}

    def act(self, form: ReceiveReturnForm) -> Answer:
        arrival.receive_return(
            crate_return=self.row, person=self.person, at=now(), **form.cleaned_data
        )
        return self.done(f"{self.row} recorded as received by the supplier.")


class LoseCrate(CrateOfReturnAct[LoseCrateForm]):
    """Record that the carrier lost a crate in return transit."""

    permission = "post-deposits"
    form_class = LoseCrateForm

    def get_title(self) -> str:
        return f"{self.row.crate}: lost in return transit"

    def get_form_kwargs(self) -> dict[str, Any]:
        here = self.get_return().location
        return super().get_form_kwargs() | {"today": today_at(here)}

    def act(self, form: LoseCrateForm) -> Answer:
        losses.lose_crate(
            line=self.row, person=self.person, at=now(), **form.cleaned_data
        )
        return self.done(
            f"{self.row.crate} recorded as lost. The carrier owes the loss."
        )


class FindCrate(CrateOfReturnAct[UndoForm]):
    """Undo the loss of a crate in return transit."""

    permission = "post-deposits"
    form_class = UndoForm
    lead = (
        "The carrier owes nothing for it again, and its credit is expected as before. "
        "In a locked period the reversal is posted on the first open day."
    )

    def get_title(self) -> str:
        return f"{self.row.crate}: reverse the loss"

    def get_refusal(self) -> str:
        return losses.why_not_reverse_loss(self.row)

    def get_form_kwargs(self) -> dict[str, Any]:
        today = today_at(self.get_return().location)
        options = {"act": "Reverse the loss", "today": today}
        return super().get_form_kwargs() | options

    def act(self, form: UndoForm) -> Answer:
        got = form.cleaned_data
        losses.reverse_loss(
            line=self.row,
            version=got["version"],
            reason=got["reason"],
            reversed_on=got["effective_on"],
            person=self.person,
            at=now(),
        )
        return self.done(f"The loss of {self.row.crate} is reversed.")


@require_safe
def return_bol(request: HttpRequest, pk: int) -> HttpResponse:
    """Send the bill of lading as PDF; as it was sent, once the return is shipped."""
    row = return_seen(request, pk)
    return answer_pdf(
        lambda: (
            last_sent_bytes(row, BILL_OF_LADING)
            or drawn(bill_of(row, today_at(row.location)))
        ),
        f"bill-{row.number}.pdf",
    )


@require_safe
def return_packing_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Send the packing list with its stack plan; as it was sent, once it is shipped."""
    row = return_seen(request, pk)
    trailer = TrailerForm(request.GET).trailer()
    return answer_pdf(
        lambda: (
            last_sent_bytes(row, PACKING_LIST)
            or drawn(packing_list_of(row, today_at(row.location), trailer))
        ),
        f"packing-list-{row.number}.pdf",
    )


def drawn(content: ReturnPaper) -> bytes:
    """Return a document that was not sent yet as PDF bytes."""
    from inventory.documents.papers.returns import return_paper_pdf  # noqa: PLC0415 - slow to import

    return return_paper_pdf(content, root=settings.RENDITION_ROOT)
