"""Making a claim of findings, and adding later findings as a supplement."""

from collections.abc import Sequence
from typing import Any, TypeVar

from django.db.models import Model, QuerySet
from django.urls import reverse
from django.utils.functional import cached_property

from claims.actions.claim import making
from claims.actions.claim.making import Pick
from claims.forms.claim.making import (
    MakeClaimForm,
    Offered,
    PickFindings,
    SupplementForm,
)
from claims.models import Claim, Finding
from claims.queries.claim.overlap import claimed_before
from claims.queries.claim.proof import claimant_of
from claims.queries.core.facts import finding_cents
from claims.queries.core.unclaimed import unclaimed
from claims.rules.claim.claimant import ClaimantVerdict
from claims.views.core.claim_act import OneClaimAct
from inventory.actions.core.once import Answer
from inventory.models import Shipment
from inventory.rules.reckoning.money import format_cents
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at

Row = TypeVar("Row", bound=Model)
Form = TypeVar("Form", bound=PickFindings)


class _FindingsAct(ActView[Row, Form]):
    """An act whose form offers the findings of a freight bill that no claim holds."""

    permission = "make-claim"
    template_name = "claims/claim/make_claim.html"

    def get_shipment(self) -> Shipment:
        """Return the freight bill whose findings are offered."""
        raise NotImplementedError

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """Return the findings that may be claimed and are in no claim yet."""
        shipment = self.get_shipment()
        groups = unclaimed(
            Finding.objects.filter(shipment=shipment).prefetch_related("photos"),
            Claim.objects.filter(shipment=shipment),
        )
        return groups[0].findings if groups else ()

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {
            "offered": _offered(self.findings),
            "currency": self.get_shipment().currency,
        }

    def get_context_data(self, **more: object) -> dict[str, Any]:
        return super().get_context_data(
            findings=self.findings, shipment=self.get_shipment(), **more
        )

    def picks(self, form: Form) -> list[Pick]:
        """Return the findings that were ticked, as the action takes them."""
        by_number = {row.number: row for row in self.findings}
        return [
            Pick(by_number[one.key], one.outcome, one.salvage_cents)
            for one in form.picked()
        ]


def _offered(findings: Sequence[Finding]) -> list[Offered]:
    return [
        Offered(
            key=row.number,
            title=str(row),
            hint=f"{row.facts.rstrip('. ')}. {_worth(row)}",
            outcome="short" if row.damage_kind == "short" else "repair",
        )
        for row in findings
    ]


def _worth(finding: Finding) -> str:
    cents = finding_cents(finding)
    if not cents:
        return "No repair estimate yet."
    amount = format_cents(cents, finding.shipment.currency, code=True)
    return f"Repair estimate so far: {amount}."


class MakeClaim(_FindingsAct[Shipment, MakeClaimForm]):
    """Make a claim of chosen findings of one freight bill."""

    form_class = MakeClaimForm
    title = "Make a claim"
    back_words = "Back to the claims desk without saving"

    def get_queryset(self) -> QuerySet[Shipment]:
        return Shipment.objects.select_related("location", "carrier", "supplier")

    def get_shipment(self) -> Shipment:
        return self.row

    @cached_property
    def verdict(self) -> ClaimantVerdict:
        """Return who claims on this freight bill, and why."""
        return claimant_of(self.row)

    def get_back(self) -> str:
        return reverse("claims")

    def get_kicker(self) -> str:
        return f"PRO {self.row.pro_number}, {self.row.carrier.name}"

    def get_lead(self) -> str:
        return self.verdict.summary

    def get_crumbs(self) -> Crumbs:
        return [("Claims", reverse("claims"))]

    def get_form_kwargs(self) -> dict[str, Any]:
        again = claimed_before(row.pk for row in self.findings)
        return super().get_form_kwargs() | {"is_again": again.exists()}

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {
            "claimant": self.verdict.claimant,
            "basis": "invoice",
        }

    def get_context_data(self, **more: object) -> dict[str, Any]:
        return super().get_context_data(verdict=self.verdict, **more)

    def act(self, form: MakeClaimForm) -> Answer:
        claim = making.make_claim(
            shipment=self.row,
            picks=self.picks(form),
            claimant=form.cleaned_data["claimant"],
            basis=form.cleaned_data["basis"],
            person=self.person,
            at=now(),
            today=today_at(self.row.location),
            said=form.said(),
        )
        return self.done(
            f"Claim {claim.number} made. Check each line.",
            row=claim,
            page=reverse("claim", args=[claim.pk]),
        )


class SupplementClaim(_FindingsAct[Claim, SupplementForm], OneClaimAct[SupplementForm]):
    """Add later findings to a claim as its next supplement."""

    form_class = SupplementForm
    life_act = "supplement"
    title = "Add a supplement"
    lead = (
        "Later findings go to the carrier under the same claim number, as a numbered "
        "supplement with its own proof of delivery."
    )

    def get_shipment(self) -> Shipment:
        return self.row.shipment

    def act(self, form: SupplementForm) -> Answer:
        made = making.supplement_claim(
            claim=self.row, picks=self.picks(form), step=self.step(form)
        )
        return self.done(
            f"Supplement {made.number} added. Send it to the carrier, then record "
            "proof of delivery.",
            row=made,
        )
