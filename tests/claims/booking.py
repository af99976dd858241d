"""Short ways to a claim in the books, and what its accounts hold."""

from django.db.models import Sum

from claims.actions.claim import endings
from claims.actions.claim.making import Pick
from claims.actions.claim.overlap import answer_overlap
from claims.actions.claim.payments import Received, record_payment
from claims.models import BookingBasis, Claim
from claims.rules.books import kinds
from claims.rules.letters.overlap import OverlapAnswer
from inventory.models import Leg
from tests.claims.acts import calls_of
from tests.claims.stage import (
    AT,
    TODAY,
    claim_it,
    second_finding,
    set_stage,
    step,
)


def set_basis(people, basis, rate=0):
    """Set when Riverside books its claims."""
    return BookingBasis.objects.create(
        location=people.riverside,
        basis=basis,
        labor_rate_cents=rate,
        set_at=AT,
        set_by=people.abel,
    )


def filed_claim(people, *, basis="filing", rate=4_200, **over):
    """File the claim of a new stage: 600.00, of which 350.00 are parts."""
    if basis:
        set_basis(people, basis, rate)
    bill = {"carrier": over.pop("carrier")} if "carrier" in over else {}
    claim = claim_it(people, set_stage(people, **bill), **over)
    answer_overlap(claim=claim, said=OverlapAnswer(), step=step(people, claim))
    do(people, claim, "send", "receive")
    return claim


def older_claim(people, lines=1, **over):
    """Make a claim as an earlier version left it: sent, and in no book."""
    stage = set_stage(people)
    more = [second_finding(stage) for _ in range(lines - 1)]
    picks = [Pick(one, "repair") for one in (stage.finding, *more)]
    claim = claim_it(people, stage, picks=picks)
    values = {"state": "received", "sent_on": TODAY, "received_on": TODAY}
    Claim.objects.filter(pk=claim.pk).update(**{**values, **over})
    claim.refresh_from_db()
    return claim


def do(people, claim, *acts, **over):
    """Do these acts on the claim, one after another."""
    for act in acts:
        calls_of(claim)[act](step(people, claim, **over))
    claim.refresh_from_db()


def pay(people, claim, cents, *, on=None, reason="", **over):
    """Record one payment."""
    more = {"on": on} if on else {}
    if "today" in over:
        more["today"] = over.pop("today")
    received = Received(cents, over.pop("method", "check"), **over)
    return record_payment(
        claim=claim, received=received, step=step(people, claim, reason=reason, **more)
    )


def balances(**filters):
    """Return what each account holds, by kind; nothing of what is even."""
    legs = Leg.objects.filter(**filters).order_by()
    sums = legs.values_list("account__kind").annotate(Sum("cents"))
    return {kind: cents for kind, cents in sums if cents}


def open_cents():
    """Return what the books hold as open claims, gross."""
    return sum(cents for kind, cents in balances().items() if kind in kinds.GROSS)


def reopen(people, claim, **over):
    """Open a closed claim again."""
    return endings.reopen_claim(
        claim=Claim.objects.get(pk=claim.pk), step=step(people, claim, **over)
    )
