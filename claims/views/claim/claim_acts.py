"""The acts that a claim's page offers: the first ones as buttons, the rest behind More."""

from collections.abc import Collection
from dataclasses import dataclass

from django.urls import reverse

from claims.models import Claim
from claims.queries.claim.page import ClaimPage
from claims.rules.claim import life as lifecycle
from claims.rules.claim.payments import HELD

ADDRESSES = {
    "send": "send_claim",
    "refile": "refile_claim",
    "receive": "record_receipt",
    "acknowledge": "record_acknowledgement",
    "pay": "record_payment",
    "accept": "accept_offer",
    "counter": "record_counter",
    "refuse": "refuse_offer",
    "offer": "record_offer",
    "disallow": "record_disallowance",
    "settle": "record_settlement",
    "tell-withdrawal": "tell_withdrawal",
    "supplement": "supplement_claim",
    "ask-inspection": "ask_inspection",
    "inspection": "record_inspection",
    "permission": "record_permission",
    "ask-papers": "ask_papers",
    "supply-papers": "supply_papers",
    "salvage-sold": "record_salvage",
    "prove": "record_proof_of_claim",
    "give-up": "give_up_claim",
    "hand-over": "hand_over_claim",
    "withdraw": "withdraw_claim",
    "reopen": "reopen_claim",
}
"""The page of each act on a claim, in the order in which they are offered."""

FIRST = {
    lifecycle.DRAFTED: ("send",),
    lifecycle.SENT: ("receive", "send"),
    lifecycle.RECEIVED: ("acknowledge", "offer", "pay"),
    lifecycle.ACKNOWLEDGED: ("offer", "pay", "disallow"),
    lifecycle.COUNTERED: ("offer", "accept", "disallow"),
    lifecycle.ACCEPTED: ("pay",),
    lifecycle.DISALLOWED: ("counter", "offer", "give-up"),
    lifecycle.WITHDRAWING: ("tell-withdrawal",),
}
"""What most often comes next in each state."""


_CHOICES = {lifecycle.OFFERED, lifecycle.COUNTERED, lifecycle.DISALLOWED}


@dataclass(frozen=True)
class Offered:
    """One act to choose: its words and its page."""

    label: str
    url: str


@dataclass(frozen=True)
class ClaimActs:
    """The acts of a claim's page; ``first[0]`` is the one that is due.

    Where it ``is_a_choice``, a person decides between them and none stands out.
    """

    first: tuple[Offered, ...]
    more: tuple[Offered, ...]
    is_a_choice: bool = False


def acts_of(claim: Claim, page: ClaimPage, rights: Collection[str]) -> ClaimActs:
    """Return the acts that someone with these rights may do on this claim now."""
    mine = [
        act
        for act in ADDRESSES
        if act in page.acts
        and lifecycle.LIFE.acts[act].role in rights
        and not (act == "supplement" and claim.shipment.crate_return_id)
    ]
    first = [act for act in ("refile", *FIRST.get(claim.state, ())) if act in mine]
    if "hand-over" in mine:
        first = ["hand-over"]
    if page.is_paid and "settle" in mine:
        first = ["settle", *first]
    waiting = [
        Offered(
            f"Decide on payment {one.facts.number}",
            reverse("decide_payment", args=[one.row.pk]),
        )
        for one in page.payments
        if one.facts.state == HELD and "settle-claim" in rights
    ]
    return ClaimActs(
        first=(*waiting, *(_offered(claim, act) for act in first)),
        more=tuple(_offered(claim, act) for act in mine if act not in first),
        is_a_choice=claim.state in _CHOICES,
    )


def _offered(claim: Claim, act: str) -> Offered:
    label = lifecycle.LIFE.acts[act].label
    if act == "send" and claim.state == lifecycle.SENT:
        label = "Record as sent again"
    return Offered(label, reverse(ADDRESSES[act], args=[claim.pk]))
