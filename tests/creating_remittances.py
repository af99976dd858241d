"""The forms of remittances that move money."""

from django.urls import reverse

from claims.actions.claim.payments import Received
from claims.actions.claim.remittances import Against, record_remittance
from claims.actions.claim.steps import Step
from claims.forms.claim.remittances import (
    MatchRestForm,
    RemittanceForm,
    ReverseRemittanceForm,
)
from claims.models import Claim, ClaimPayment, Remittance
from claims.queries.books.open_to_pay import payers_at
from tests import making
from tests.claims.stage import AT, TODAY
from tests.creating import Creating

SENT = {"state": "sent", "sent_on": "2026-03-10"}


def _two_claims(who):
    """Make two sent claims of one carrier; return who is to pay them."""
    carrier = making.make_carrier()
    for _ in range(2):
        bill = making.make_shipment(location=who.riverside, carrier=carrier)
        making.make_claim_line(making.make_claim(bill, **SENT))
    return next(
        one for one in payers_at([who.riverside]) if one.partner.pk == carrier.pk
    )


def open_claims(who):
    """Return the page of a new payer, and 150.00 put against its two claims."""
    payer = _two_claims(who)
    first, second = (one.claim for one in payer.claims)
    data = {
        "on": "2026-03-12",
        "amount": "150.00",
        "method": "transfer",
        "reference": "Wire 5512",
        f"part_{first.pk}": "100.00",
        f"seen_{first.pk}": first.version,
        f"part_{second.pk}": "50.00",
        f"seen_{second.pk}": second.version,
    }
    address = reverse("record_remittance", args=[who.riverside.pk])
    return f"{address}?payer={payer.key}", data


def _recorded(who):
    """Record 150.00 of which 100.00 are put against the first of two claims."""
    payer = _two_claims(who)
    first, second = (one.claim for one in payer.claims)
    step = Step(who.abel, AT, TODAY, version=0, on=TODAY, reason="They rounded up.")
    row = record_remittance(
        payer=payer,
        received=Received(15_000, "transfer", "Wire 5512"),
        parts=[Against(first, 10_000, first.version)],
        step=step,
    )
    return row, Claim.objects.get(pk=second.pk)


def left_over(who):
    """Return the page of a rest, and 20.00 of it put against the second claim."""
    row, claim = _recorded(who)
    data = {
        "version": row.version,
        f"part_{claim.pk}": "20.00",
        f"seen_{claim.pk}": claim.version,
    }
    return reverse("match_rest", args=[row.pk]), data


def taken_back(who):
    """Return the page on which a remittance is reversed."""
    row, _claim = _recorded(who)
    return reverse("reverse_remittance", args=[row.pk]), {"version": row.version}


REMITTANCES = [
    Creating(
        name="a remittance",
        form=RemittanceForm,
        sender="abel",
        prepare=open_claims,
        data={},
        other=("reference", "Wire 5513"),
        needed="amount",
        counts=Remittance,
    ),
    Creating(
        name="the rest of a remittance",
        form=MatchRestForm,
        sender="abel",
        prepare=left_over,
        data={},
        other=("note", "It was for this one."),
        needed="version",
        counts=ClaimPayment,
    ),
    Creating(
        name="a remittance reversed",
        form=ReverseRemittanceForm,
        sender="abel",
        prepare=taken_back,
        data={"reason": "It bounced."},
        other=("reason", "Entered twice."),
        needed="reason",
        counts=ClaimPayment,
    ),
]
