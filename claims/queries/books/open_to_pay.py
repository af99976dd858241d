"""The claims on which a payment can be recorded, by who is to pay them."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from claims.models import Claim
from claims.queries.books.booking import payer_of
from claims.queries.core.parties import PARTIES_OF_CLAIM
from claims.queries.core.payments import claim_money, payments_prefetch
from claims.rules.claim.life import LIFE
from claims.rules.claim.payments import Money
from inventory.models import Carrier, Location, Supplier


@dataclass(frozen=True)
class OpenToPay:
    """One claim with its money, of which a payment is still possible."""

    claim: Claim
    money: Money

    @property
    def open_cents(self) -> int:
        """Return what may be put against it: a held payment may still settle it."""
        return max(self.money.balance_cents - self.money.held_cents, 0)


@dataclass(frozen=True)
class Payer:
    """Who is to pay, where and in which currency, with the claims that are open."""

    location: Location
    partner: Supplier | Carrier
    currency: str
    claims: list[OpenToPay]

    @property
    def key(self) -> str:
        """Return the key that an address uses, such as ``carrier-3-USD``."""
        return f"{self.partner._meta.model_name}-{self.partner.pk}-{self.currency}"

    @property
    def open_cents(self) -> int:
        """Return what is open on all of its claims."""
        return sum(one.open_cents for one in self.claims)


def payers_at(locations: Iterable[Location]) -> list[Payer]:
    """Return who is to pay open claims here, by name; the oldest claim first."""
    found: dict[tuple[int, str, int, str], list[OpenToPay]] = defaultdict(list)
    named: dict[tuple[int, str, int, str], tuple[Location, Supplier | Carrier]] = {}
    for claim in _payable(locations):
        partner, money = _partner(claim), claim_money(claim)
        if partner is None or money.balance_cents <= money.held_cents:
            continue
        kind = str(partner._meta.model_name)
        key = (claim.location_id, kind, partner.pk, claim.currency)
        named[key] = (claim.location, partner)
        found[key].append(OpenToPay(claim, money))
    payers = [Payer(*named[key], key[3], claims) for key, claims in found.items()]
    return sorted(payers, key=lambda one: (str(one.partner), one.currency, one.key))


def payer_in(payers: Iterable[Payer], key: str) -> Payer | None:
    """Return the payer of this key, None where it has no open claim."""
    return next((one for one in payers if one.key == key), None)


def _partner(claim: Claim) -> Supplier | Carrier | None:
    return claim.booking.partner if hasattr(claim, "booking") else payer_of(claim)


def _payable(locations: Iterable[Location]) -> Iterable[Claim]:
    claims = Claim.objects.filter(location__in=locations, state__in=LIFE.starts("pay"))
    joined = claims.select_related(
        *("location", "shipment__supplier", *PARTIES_OF_CLAIM),
        *("booking__carrier", "booking__supplier"),
    )
    return joined.prefetch_related("lines", payments_prefetch()).order_by(
        "sent_on", "pk"
    )
