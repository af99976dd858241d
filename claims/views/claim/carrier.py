"""One carrier: who it is, its bankruptcy, and our open claims against it."""

from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from claims.actions.claim.bankruptcies import (
    Petition,
    record_bankruptcy,
    record_proof_of_claim,
)
from claims.forms.claim.bankruptcies import BankruptcyForm, ProofOfClaimForm
from claims.models import Claim, Deadline
from claims.queries.claim.listing import claim_rows
from claims.queries.core.bankruptcies import open_claims_against
from claims.queries.deadlines.lapses import open_duties
from claims.views.claim.steps import DatedStep
from inventory.access import locations_of, person_of, require_somewhere, scoped
from inventory.actions.core.once import Answer
from inventory.actions.evidence.photo_facts import About
from inventory.models import Carrier, CarrierBankruptcy, Shipment
from inventory.queries.people.partners import one_carrier
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_somewhere

SEEN_BY = "see-claims"


def _recorded(carrier: Carrier) -> QuerySet[CarrierBankruptcy]:
    """Return what was recorded of its bankruptcy, the row that counts first."""
    rows = carrier.bankruptcies.select_related("recorded_by", "paper")
    return rows.order_by("-pk")


@require_safe
def carrier(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a carrier, with its open claims to whoever sees claims."""
    person = person_of(request)
    require_somewhere(person, "see-carriers")
    row = one_carrier(pk)
    against = [claim.pk for claim in open_claims_against(row)]
    claims = scoped(Claim.objects.filter(pk__in=against), person, SEEN_BY)
    duties = open_duties(
        scoped(Deadline.objects.filter(claim__in=against), person, SEEN_BY)
    )
    recorded = list(_recorded(row))
    context = {
        "carrier": row,
        "claims": claim_rows(claims, list(duties), today_somewhere(person)),
        "bankruptcy": recorded[0] if recorded else None,
        "earlier": recorded[1:],
        "may_keep": locations_of(person, "keep-partners").exists(),
        "crumbs": [("Carriers", reverse("carriers")), (row.name, "")],
    }
    return render(request, "claims/claim/carrier.html", context)


class RecordBankruptcy(ActView[Carrier, BankruptcyForm]):
    """Record that a carrier filed for bankruptcy, or correct what was recorded."""

    form_class = BankruptcyForm
    photo_kind = "carrier-letter"
    back_words = "Back to the carrier without saving"
    lead = (
        "Take it from the court's paper. Each open claim against this carrier then has "
        "the bar date as a deadline. From the petition on the automatic stay stops suits "
        "against it (11 U.S.C. 362, from memory): ask counsel before you do anything "
        "else. Nothing here is legal advice."
    )

    def get_row(self) -> Carrier:
        require_somewhere(self.person, "keep-partners")
        return one_carrier(self.kwargs["pk"])

    @cached_property
    def before(self) -> CarrierBankruptcy | None:
        """Return the record that counts now."""
        return _recorded(self.row).first()

    @cached_property
    def bill(self) -> Shipment | None:
        """Return the freight bill that the court's paper is kept with."""
        here = set(
            locations_of(self.person, "keep-partners").values_list("pk", flat=True)
        )
        found = (one.shipment for one in open_claims_against(self.row))
        return next((one for one in found if one.location_id in here), None)

    def get_title(self) -> str:
        return "Correct the bankruptcy" if self.before else "Record a bankruptcy"

    def get_kicker(self) -> str:
        return self.row.name

    def get_back(self) -> str:
        return reverse("carrier", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return [("Carriers", reverse("carriers")), (self.row.name, self.get_back())]

    def get_photo_about(self) -> About | None:
        return About(shipment=self.bill) if self.bill else None

    def get_initial(self) -> dict[str, Any]:
        names = ("petition_on", "court", "case_number", "bar_on")
        known = {name: getattr(self.before, name) for name in names if self.before}
        return super().get_initial() | known

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {
            "today": today_somewhere(self.person),
            "is_first": self.before is None,
            "has_bill": self.bill is not None,
        }

    def act(self, form: BankruptcyForm) -> Answer:
        data = form.cleaned_data
        papers = data.get("documents") or []
        petition = Petition(
            petition_on=data["petition_on"],
            court=data["court"],
            case_number=data["case_number"],
            bar_on=data["bar_on"],
            paper=papers[-1] if papers else None,
            reason=data.get("reason", ""),
        )
        record_bankruptcy(
            carrier=self.row, petition=petition, person=self.person, at=now()
        )
        return self.done(f"Bankruptcy of {self.row} recorded.", row=self.row)


class RecordProofOfClaim(DatedStep[ProofOfClaimForm]):
    """Record that the court has our proof of claim."""

    form_class = ProofOfClaimForm
    life_act = "prove"
    title = "Record the proof of claim as filed"
    lead = "The day on which the court received it counts, not the day of sending."

    def act(self, form: ProofOfClaimForm) -> Answer:
        record_proof_of_claim(claim=self.row, step=self.step(form))
        return self.done("Proof of claim recorded. The court's deadline is met.")
