"""What every act on a claim, or on a row of it, shows around its form."""

from datetime import date
from typing import Any, TypeVar

from django.db.models import Model, QuerySet
from django.urls import reverse

from claims.actions.claim.steps import Step
from claims.models import Claim
from claims.queries.core.facts import claim_cents
from claims.rules.claim.life import LIFE
from inventory.actions.evidence.photo_facts import About
from inventory.forms.core.base import HouseForm
from inventory.models import Evidence, Location, Shipment
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.money import format_cents
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at

Row = TypeVar("Row", bound=Model)
Form = TypeVar("Form", bound=HouseForm)


class DatedAct(ActView[Row, Form]):
    """An act whose form asks for a day up to today at the row's own location."""

    def get_location(self) -> Location:
        """Return the location whose calendar counts."""
        raise NotImplementedError

    @property
    def today(self) -> date:
        """Return today at that location."""
        return today_at(self.get_location())

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"today": self.today}


class ClaimAct(ActView[Row, Form]):
    """An act on a claim or on one of its rows. ``is_late`` warns of no way back."""

    permission = "make-claim"
    template_name = "claims/core/act.html"
    is_late = False
    photo_kind = "carrier-letter"
    life_act = ""
    """The act in the claim's life; the page does not open where it cannot start."""

    def get_claim(self) -> Claim:
        """Return the claim that the page's row is, or belongs to."""
        raise NotImplementedError

    def get_location(self) -> Location:
        """Return the claim's location."""
        return self.get_claim().location

    def get_back(self) -> str:
        return reverse("claim", args=[self.get_claim().pk])

    def get_back_words(self) -> str:
        return f"Back to {mid_sentence(self.get_kicker())} without saving"

    def get_kicker(self) -> str:
        return f"Claim {self.get_claim().number}"

    def get_refusal(self) -> str:
        claim = self.get_claim()
        if not self.life_act or LIFE.can_start(claim.state, self.life_act):
            return ""
        act = LIFE.acts[self.life_act]
        return act.unfit.get(claim.state, LIFE.states[claim.state].against)

    def get_photo_about(self) -> About:
        return About(shipment=self.get_claim().shipment)

    def get_crumbs(self) -> Crumbs:
        return [("Claims", reverse("claims")), (self.get_kicker(), self.get_back())]

    def get_context_data(self, **more: object) -> dict[str, Any]:
        claim = self.get_claim()
        amount = format_cents(claim_cents(claim), claim.currency, code=True)
        facts = (
            ("Claim", claim.number),
            ("Carrier", claim.shipment.carrier.name),
            (
                "PRO" if claim.shipment.pro_number else "Bill of lading",
                claim.shipment.paper_number,
            ),
            ("Amount claimed", amount),
        )
        return super().get_context_data(facts=facts, is_late=self.is_late, **more)

    def step(self, form: HouseForm) -> Step:
        """Return who acts and when, with what the form says."""
        data = form.cleaned_data
        return Step(
            person=self.person,
            at=now(),
            today=today_at(self.get_location()),
            version=data["version"],
            on=data.get("on"),
            reason=data.get("reason") or data.get("note") or "",
            proof=data.get("words", ""),
            whom=data.get("whom", ""),
            files=tuple(data.get("documents", ())),
        )


class OneClaimAct(ClaimAct[Claim, Form]):
    """An act on the claim of the address."""

    def get_queryset(self) -> QuerySet[Claim]:
        return Claim.objects.select_related(
            "location", "shipment__carrier", "shipment__location"
        ).prefetch_related("lines")

    def get_claim(self) -> Claim:
        return self.row


class ProofAct(ActView[Row, Form]):
    """An act whose form may carry a photo that proves delivery."""

    photo_kind = "proof-of-receipt"

    def get_shipment(self) -> Shipment:
        """Return the freight bill that the proof belongs to."""
        raise NotImplementedError

    def get_photo_about(self) -> About:
        return About(shipment=self.get_shipment())

    def get_photo_caption(self, form: Form) -> str:
        return str(form.cleaned_data.get("words", ""))

    def proof(self, form: Form) -> Evidence | None:
        """Return the proof that was saved; the last one where there are several."""
        photos: list[Evidence] = form.cleaned_data["photo"]
        return photos[-1] if photos else None
