"""The forms around an offer that create a row."""

from django.urls import reverse

from claims.forms.claim.offers import CostsForm, OverlapForm
from claims.models import GoingOnCost, OverlapAnswer
from tests.claims.stage import claim_it, set_stage
from tests.creating import Creating


def some_claim(name):
    """Return the function that gives this page of a new claim."""
    return lambda who: reverse(name, args=[claim_it(who, set_stage(who)).pk])


COSTS = {
    "limit": "6,500.00",
    "limit_source": "The court's page",
    "filing": "95.00",
    "serving": "70.00",
}

OFFERS = [
    Creating(
        name="the cost of going on at a location",
        form=CostsForm,
        sender="mina",
        prepare=lambda who: reverse("costs_here", args=[who.riverside.pk]),
        data=COSTS,
        other=("filing", "96.00"),
        needed="limit_source",
        counts=GoingOnCost,
    ),
    Creating(
        name="the cost of going on with a claim",
        form=CostsForm,
        sender="mina",
        prepare=some_claim("claim_costs"),
        data=COSTS,
        other=("serving", "71.00"),
        needed="limit_source",
        counts=GoingOnCost,
    ),
    Creating(
        name="who else may have paid",
        form=OverlapForm,
        sender="mina",
        prepare=some_claim("ask_overlap"),
        data={"insurer": "told", "insurer_name": "Harbor Mutual", "supplier": "no"},
        other=("insurer_name", "Bay Mutual"),
        needed="insurer",
        counts=OverlapAnswer,
    ),
]
