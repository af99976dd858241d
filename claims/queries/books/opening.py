"""Claims that were filed before the books took claims in, and what they would open with."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import QuerySet

from claims.models import Claim, ClaimBooking
from claims.queries.books.booking import payer_of
from claims.queries.books.facts import book_facts, with_book_facts
from claims.queries.core.parties import PARTIES_OF_CLAIM
from claims.rules.books import kinds
from claims.rules.books.opening import Opened, opening_of
from inventory.models import Location, OpenWork


@dataclass(frozen=True)
class Opening:
    """One claim and the lines that its opening would post."""

    claim: Claim
    partner: str
    opened: Opened

    @property
    def gross_cents(self) -> int:
        """Return what is open of it."""
        return self._on(*kinds.GROSS)

    @property
    def disputed_cents(self) -> int:
        """Return what of it was declined."""
        return self._on(*kinds.IN_DISPUTE)

    @property
    def beside_cents(self) -> int:
        """Return what of it stands beside the books."""
        return self._on(kinds.REGISTER, kinds.REGISTER_DECLINED)

    @property
    def allowance_cents(self) -> int:
        """Return its allowance: zero or below."""
        return self._on(kinds.ALLOWANCE)

    @property
    def shown_cents(self) -> int:
        """Return what the balance sheet will show of it."""
        return self.gross_cents - self.beside_cents + self.allowance_cents

    def _on(self, *wanted: str) -> int:
        return sum(self.opened.lines.get(kind, 0) for kind in wanted)


def waiting_claims(locations: Iterable[Location]) -> QuerySet[Claim]:
    """Return the claims that were filed and are not in the books, the oldest first."""
    keys = OpenWork.objects.filter(what="unbooked-claim").order_by().values("key")
    filed = Claim.objects.filter(pk__among=keys, location__in=locations)
    return filed.order_by("sent_on", "pk")


def ready_claims(locations: Iterable[Location]) -> list[Claim]:
    """Return those of them that someone is to pay: not what went to a broker alone."""
    rows = waiting_claims(locations)
    joined = rows.select_related("location", "shipment__supplier", *PARTIES_OF_CLAIM)
    return [claim for claim in joined if payer_of(claim)]


def opening_for(claim: Claim, booking: ClaimBooking) -> Opening:
    """Return what this booking, saved or not, would open the claim with."""
    opened = opening_of(book_facts(claim, booking))
    return Opening(claim, str(booking.partner), opened)


def joined_waiting(locations: Iterable[Location]) -> QuerySet[Claim]:
    """Return the waiting claims joined to what their openings need."""
    rows = with_book_facts(waiting_claims(locations))
    return rows.select_related("location", "shipment__supplier", *PARTIES_OF_CLAIM)


def sums_of(openings: Iterable[Opening]) -> list[tuple[str, int, int]]:
    """Return currency, open and shown in cents, a row a currency."""
    gross: Counter[str] = Counter()
    shown: Counter[str] = Counter()
    for one in openings:
        gross[one.claim.currency] += one.gross_cents
        shown[one.claim.currency] += one.shown_cents
    return [(currency, gross[currency], shown[currency]) for currency in sorted(gross)]
