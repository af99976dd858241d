"""The roll-forward of a span of days, by carrier, and the open claims at its end."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from django.db.models import Case, F, Q, QuerySet, Sum, Value, When
from django.db.models.functions import Coalesce

from claims.models import Claim, ClaimPosting
from claims.queries.books.facts import book_facts, with_book_facts
from claims.rules.books import kinds
from claims.rules.books.positions import position_of
from claims.rules.books.rollforward import Roll, age_label, roll_of, sum_of
from claims.rules.claim import life as lifecycle
from inventory.models import Leg, Location
from inventory.rules.reckoning.money import home_first

Key = tuple[str, str, int]
"""Currency, the kind of partner and its key."""


@dataclass
class PartnerRoll:
    """One carrier or supplier in one currency, in cents."""

    name: str
    currency: str
    is_supplier: bool
    key: int
    roll: Roll
    beside_cents: int
    allowance_cents: int

    @property
    def shown_cents(self) -> int:
        """Return what the balance sheet shows: booked, less the allowance."""
        return self.roll.closing - self.beside_cents + self.allowance_cents


@dataclass(frozen=True)
class OpenClaim:
    """One open claim: what its own record says, and what the books hold, in cents."""

    claim: Claim
    listed_cents: int
    book_cents: int
    disputed_cents: int
    days: int

    @property
    def age(self) -> str:
        """Return the column of its age."""
        return age_label(self.days)

    @property
    def undisputed_cents(self) -> int:
        """Return what is open and was not declined."""
        return self.listed_cents - self.disputed_cents


@dataclass(frozen=True)
class CurrencyBooks:
    """The claims of one currency: the roll-forward and the list that must equal it."""

    currency: str
    partners: Sequence[PartnerRoll]
    claims: Sequence[OpenClaim]

    @cached_property
    def total(self) -> Roll:
        """Return the total of all carriers and suppliers."""
        return sum_of(one.roll for one in self.partners)

    @property
    def beside_cents(self) -> int:
        """Return what stands beside the books."""
        return sum(one.beside_cents for one in self.partners)

    @property
    def allowance_cents(self) -> int:
        """Return the allowance: zero or below."""
        return sum(one.allowance_cents for one in self.partners)

    @property
    def shown_cents(self) -> int:
        """Return what the balance sheet shows."""
        return sum(one.shown_cents for one in self.partners)

    @cached_property
    def listed_cents(self) -> int:
        """Return the total of the list of open claims."""
        return sum(one.listed_cents for one in self.claims)

    @property
    def difference(self) -> int:
        """Return list less ledger: 0 where they tie."""
        return self.listed_cents - self.total.closing


def books_of(
    locations: Sequence[Location], first: date, last: date
) -> list[CurrencyBooks]:
    """Return the books of a span of days, a currency each, never added together."""
    partners: dict[str, list[PartnerRoll]] = defaultdict(list)
    claims: dict[str, list[OpenClaim]] = defaultdict(list)
    for partner in _partners(locations, first, last):
        partners[partner.currency].append(partner)
    for one in open_claims(locations, last):
        claims[one.claim.currency].append(one)
    return [
        CurrencyBooks(currency, partners[currency], claims[currency])
        for currency in home_first(
            {*partners, *claims}, {one.currency for one in locations}
        )
    ]


def _partners(
    locations: Sequence[Location], first: date, last: date
) -> list[PartnerRoll]:
    rows = (
        Leg.objects.filter(
            account__location__in=locations,
            account__kind__in=(*kinds.GROSS, kinds.ALLOWANCE),
            entry__effective_on__lte=last,
            entry__in=ClaimPosting.objects.values("entry"),
        )
        .order_by()
        .values(
            "account__currency",
            "account__carrier",
            "account__supplier",
            "account__kind",
            carrier=F("account__carrier__name"),
            supplier=F("account__supplier__name"),
            what=Case(
                When(entry__effective_on__lt=first, then=Value("")),
                default=F("entry__kind"),
            ),
        )
        .annotate(cents=Sum("cents"))
    )
    sums: dict[Key, list[tuple[str, str, int]]] = defaultdict(list)
    names: dict[Key, str] = {}
    for row in rows:
        currency = row["account__currency"]
        if supplier := row["account__supplier"]:
            key, name = (currency, "supplier", supplier), row["supplier"]
        else:
            key, name = (currency, "carrier", row["account__carrier"]), row["carrier"]
        names[key] = name
        sums[key].append((row["account__kind"], row["what"], row["cents"]))
    found = [_partner(key, names[key], sums[key]) for key in sums]
    found = [one for one in found if any((one.roll.opening, *one.roll.lines.values()))]
    return sorted(found, key=lambda one: (one.is_supplier, one.name, one.key))


def _partner(key: Key, name: str, rows: list[tuple[str, str, int]]) -> PartnerRoll:
    gross = [row for row in rows if row[0] != kinds.ALLOWANCE]
    beside = (kinds.REGISTER, kinds.REGISTER_DECLINED)
    return PartnerRoll(
        name=name,
        currency=key[0],
        is_supplier=key[1] == "supplier",
        key=key[2],
        roll=roll_of(
            sum(cents for _, what, cents in gross if not what),
            [(what, cents) for _, what, cents in gross if what],
        ),
        beside_cents=sum(cents for kind, _, cents in gross if kind in beside),
        allowance_cents=sum(c for kind, _, c in rows if kind == kinds.ALLOWANCE),
    )


def open_claims(locations: Iterable[Location], last: date) -> list[OpenClaim]:
    """Return the claims that were open at the end of a day, the oldest first.

    What the record of a claim says now, less what was posted after the day, is listed
    beside what the books held then: only where the two agree does the total tie.
    """
    gross = Q(entry__legs__account__kind__in=kinds.GROSS)
    by_day = gross & Q(entry__effective_on__lte=last)
    disputed = by_day & Q(entry__legs__account__kind__in=kinds.IN_DISPUTE)
    rows = (
        ClaimPosting.objects.filter(claim__location__in=locations)
        .order_by()
        .values("claim")
        .annotate(
            now=Coalesce(Sum("entry__legs__cents", filter=gross), 0),
            then=Coalesce(Sum("entry__legs__cents", filter=by_day), 0),
            disputed=Coalesce(Sum("entry__legs__cents", filter=disputed), 0),
        )
    )
    held = {
        row["claim"]: Held(row["now"], row["then"], row["disputed"]) for row in rows
    }
    wanted = [key for key, one in held.items() if one.now or one.then]
    found = [
        _open_claim(claim, held.get(claim.pk, Held(0, 0, 0)), last)
        for claim in _booked(locations, wanted)
    ]
    return [one for one in found if one.listed_cents or one.book_cents]


@dataclass(frozen=True)
class Held:
    """What the books hold of one claim, in cents: now, and at the end of the day."""

    now: int
    then: int
    disputed: int


def _booked(locations: Iterable[Location], wanted: Sequence[int]) -> QuerySet[Claim]:
    claims = Claim.objects.filter(location__in=locations, booking__isnull=False)
    mine = claims.filter(Q(pk__in=wanted) | Q(state__in=lifecycle.LIFE.live))
    return with_book_facts(mine).order_by("sent_on", "closed_on", "pk")


def _open_claim(claim: Claim, held: Held, last: date) -> OpenClaim:
    stands = position_of(book_facts(claim, claim.booking), {}).open_cents
    return OpenClaim(
        claim=claim,
        listed_cents=stands - (held.now - held.then),
        book_cents=held.then,
        disputed_cents=held.disputed,
        days=(last - (claim.sent_on or claim.closed_on or last)).days,
    )
