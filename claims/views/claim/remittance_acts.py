"""Recording a remittance, and what is done with one later."""

from typing import Any, TypeVar

from django.db.models import QuerySet
from django.urls import reverse
from django.utils.functional import cached_property

from claims.actions.claim import remittances as acts
from claims.actions.claim.payments import Received
from claims.actions.claim.steps import Step
from claims.forms.claim.payments import DecidePaymentForm
from claims.forms.claim.remittances import (
    MatchRestForm,
    PartsForm,
    RemittanceForm,
    ReverseRemittanceForm,
)
from claims.models import Remittance
from claims.queries.books.open_to_pay import OpenToPay, Payer, payer_in, payers_at
from claims.queries.core.remittances import (
    joined_remittances,
    open_choices,
    rest_of,
    standing_parts,
)
from claims.views.claim.remittances import RECORD, list_crumbs
from inventory.actions.core.once import Answer
from inventory.actions.core.versions import RefusedError
from inventory.actions.evidence.photo_facts import About
from inventory.forms.core.base import HouseForm
from inventory.models import Evidence, Location
from inventory.rules.reckoning.money import format_cents
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at
from inventory.views.core.row_view import Row

Form = TypeVar("Form", bound=HouseForm)


class _MoneyAct(ActView[Row, Form]):
    """An act of whoever records payments, below the list of remittances."""

    permission = RECORD
    template_name = "claims/claim/record_remittance.html"
    photo_kind = "carrier-letter"

    def get_location(self) -> Location:
        """Return the location whose calendar and books count."""
        raise NotImplementedError

    def get_crumbs(self) -> Crumbs:
        return list_crumbs()

    def step(self, form: HouseForm) -> Step:
        """Return who acts and when; the version is the remittance's own."""
        data = form.cleaned_data
        return Step(
            person=self.person,
            at=now(),
            today=today_at(self.get_location()),
            version=data.get("version") or 0,
            on=data.get("on"),
            reason=data.get("reason") or data.get("note") or "",
            files=tuple(data.get("documents", ())),
        )

    def _take_new_version(self, form: Form) -> None:
        if isinstance(self.row, Remittance):
            super()._take_new_version(form)
        if isinstance(form, PartsForm):
            form.take_versions()


class RecordRemittance(_MoneyAct[Location, RemittanceForm]):
    """Record what a payer sent for several claims of one location."""

    form_class = RemittanceForm
    title = "Record a remittance"

    def get_queryset(self) -> QuerySet[Location]:
        return Location.objects.all()

    def get_location(self) -> Location:
        return self.row

    @cached_property
    def payers(self) -> list[Payer]:
        """Return who is to pay open claims here."""
        return payers_at([self.row])

    @cached_property
    def payer(self) -> Payer | None:
        """Return the payer that the address names, or the only one there is."""
        key = self.request.GET.get("payer", "")
        if not key and len(self.payers) == 1:
            return self.payers[0]
        return payer_in(self.payers, key)

    @property
    def claims(self) -> list[OpenToPay]:
        """Return the open claims of the payer, the oldest first."""
        return self.payer.claims if self.payer else []

    def get_back(self) -> str:
        return reverse("remittances")

    def get_kicker(self) -> str:
        return f"{self.payer.partner}, {self.row}" if self.payer else str(self.row)

    def get_lead(self) -> str:
        if self.payer is None:
            return ""
        amount = format_cents(self.payer.open_cents, self.payer.currency, code=True)
        return f"Open on the claims below: {amount}."

    def get_refusal(self) -> str:
        if self.payer:
            return ""
        if self.payers:
            return "Choose who paid."
        return f"No claim of {self.row} is open to be paid."

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {
            "claims": self.claims,
            "currency": self.payer.currency if self.payer else self.row.currency,
            "today": today_at(self.row),
        }

    def get_context_data(self, **more: object) -> dict[str, Any]:
        others = [one for one in self.payers if one is not self.payer]
        return super().get_context_data(others=others, **more)

    def get_photo_about(self) -> About | None:
        """Return the bill of the first claim that an amount is put against."""
        claims = [one.claim for one in self.claims]
        typed = [one for one in claims if self.request.POST.get(f"part_{one.pk}")]
        first = next(iter(typed or claims), None)
        return About(shipment=first.shipment) if first else None

    def get_photo_rows(self) -> QuerySet[Evidence]:
        bills = [one.claim.shipment_id for one in self.claims]
        mine = Evidence.objects.filter(recorded_by=self.person, kind=self.photo_kind)
        return mine.filter(shipment__in=bills).select_related("original", "location")

    def act(self, form: RemittanceForm) -> Answer:
        if self.payer is None:
            raise RefusedError(f"{self.get_refusal()} Nothing was saved.")
        data = form.cleaned_data
        received = Received(
            cents=data["amount"],
            method=data["method"],
            reference=data["reference"],
            bills=data["bills"],
            in_full=data["in_full"],
        )
        made = acts.record_remittance(
            payer=self.payer,
            received=received,
            parts=form.parts(),
            step=self.step(form),
        )
        words = (
            f"{made} recorded, not counted. Do not deposit it: the manager decides first."
            if made.in_full
            else f"{made} recorded."
        )
        page = reverse("remittance", args=[made.pk])
        return self.done(words, row=made, page=page)


class _RemittanceAct(_MoneyAct[Remittance, Form]):
    """An act on the remittance of the address."""

    def get_queryset(self) -> QuerySet[Remittance]:
        return joined_remittances()

    def get_location(self) -> Location:
        return self.row.location

    def get_back(self) -> str:
        return reverse("remittance", args=[self.row.pk])

    def get_back_words(self) -> str:
        return "Back to the remittance without saving"

    def get_kicker(self) -> str:
        return f"{self.row}, {self.row.payer}"

    def get_crumbs(self) -> Crumbs:
        return [*list_crumbs(), (self.row.number, self.get_back())]

    def get_refusal(self) -> str:
        if self.row.reversed_on is not None:
            return f"{self.row} is already reversed."
        return ""


class MatchRest(_RemittanceAct[MatchRestForm]):
    """Put what is left of a remittance against claims of its payer."""

    form_class = MatchRestForm
    title = "Put the rest against claims"

    @cached_property
    def claims(self) -> list[OpenToPay]:
        """Return the open claims of the payer, the oldest first."""
        row = self.row
        own = Payer(row.location, row.payer, row.currency, [])
        found = payer_in(payers_at([row.location]), own.key)
        return found.claims if found else []

    def get_lead(self) -> str:
        left = format_cents(rest_of(self.row), self.row.currency, code=True)
        return f"Left of this remittance, and owed to {self.row.payer}: {left}."

    def get_refusal(self) -> str:
        if against := super().get_refusal():
            return against
        if not rest_of(self.row):
            return "Nothing is left of this remittance."
        return "" if self.claims else f"No claim is open to {self.row.payer}."

    def get_form_kwargs(self) -> dict[str, Any]:
        more = {"claims": self.claims, "currency": self.row.currency}
        return super().get_form_kwargs() | more

    def act(self, form: MatchRestForm) -> Answer:
        acts.match_rest(remittance=self.row, parts=form.parts(), step=self.step(form))
        return self.done("Put against the claims.")


class ReverseRemittance(_RemittanceAct[ReverseRemittanceForm]):
    """Take a whole remittance back."""

    form_class = ReverseRemittanceForm
    title = "Reverse the remittance"

    def get_lead(self) -> str:
        many = len(standing_parts(self.row))
        parts = "1 claim" if many == 1 else f"{many} claims"
        return (
            f"For one recorded by mistake, or a check that bounced. It is taken back "
            f"from {parts}. To move one part to another claim, reverse that part alone."
        )

    def act(self, form: ReverseRemittanceForm) -> Answer:
        acts.reverse_remittance(remittance=self.row, step=self.step(form))
        return self.done(f"{self.row} reversed.")


class DecideRemittance(_RemittanceAct[DecidePaymentForm]):
    """Decide what a remittance marked as full payment settles."""

    form_class = DecidePaymentForm
    permission = "settle-claim"
    title = "Decide what the remittance settles"
    lead = (
        "It says it is full payment. Cashed, it can settle every claim that it names, "
        "and a note such as 'under protest' does not help (UCC 3-311 and 1-308(b)). Ask "
        "counsel in doubt."
    )

    def get_refusal(self) -> str:
        if against := super().get_refusal():
            return against
        if not open_choices(self.row):
            return "Nothing is left to decide on this remittance."
        return ""

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {
            "choices": open_choices(self.row),
            "today": today_at(self.row.location),
        }

    def get_photo_about(self) -> About | None:
        parts = standing_parts(self.row)
        return About(shipment=parts[0].claim.shipment) if parts else None

    def act(self, form: DecidePaymentForm) -> Answer:
        acts.decide_remittance(
            remittance=self.row,
            choice=form.cleaned_data["choice"],
            step=self.step(form),
        )
        return self.done(f"Decision on {self.row} saved.")
