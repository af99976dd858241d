"""The roll-forward of a span of days, by carrier, and the open claims at its end."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from django.db.models import F, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from claims.models import Claim, ClaimPosting
from claims.queries.books.facts import book_facts, with_book_facts
from claims.rules.books import kinds
from claims.rules.books.positions import position_of
from claims.rules.books.rollforward import Roll, age_label, roll_of, sum_of
from inventory.models import Account, Leg, Location, OpenWork
from inventory.queries.core.shared import share
from inventory.queries.ledger.months import moved_until
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
    accounts = Account.objects.filter(
        location__in=locations, kind__in=(*kinds.GROSS, kinds.ALLOWANCE)
    ).select_related("carrier", "supplier")
    moves: dict[int, list[tuple[str, int]]] = defaultdict(list)
    for pk, cents in moved_until(accounts, first - timedelta(days=1)).items():
        moves[pk].append(("", cents))
    for pk, what, cents in _moved_in(accounts, first, last):
        moves[pk].append((what, cents))
    sums: dict[Key, list[tuple[str, str, int]]] = defaultdict(list)
    names: dict[Key, str] = {}
    for account in accounts:
        kind = "supplier" if account.supplier else "carrier"
        key = (account.currency, kind, account.partner.pk)
        names[key] = str(account.partner.name)
        sums[key] += [(account.kind, *moved) for moved in moves[account.pk]]
    found = [_partner(key, names[key], sums[key]) for key in sums]
    found = [one for one in found if any((one.roll.opening, *one.roll.lines.values()))]
    return sorted(found, key=lambda one: (one.is_supplier, one.name, one.key))


def _moved_in(
    accounts: Iterable[Account], first: date, last: date
) -> QuerySet[Leg, tuple[int, str, int]]:
    """Return account, kind of entry and cents of what moved from a day to another."""
    # As a sum no index serves it: by account all of its legs would be read.
    legs = Leg.objects.alias(of=F("account_id") + 0).filter(
        of__in=[one.pk for one in accounts],
        entry__effective_on__range=(first, last),
    )
    by_kind = legs.order_by().values_list("account", "entry__kind")
    return by_kind.annotate(moved=Sum("cents"))


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
    claims = _booked(locations, last)
    held = _held(claims, last)
    found = [_open_claim(claim, held[claim.pk], last) for claim in claims]
    return [one for one in found if one.listed_cents or one.book_cents]


@dataclass(frozen=True)
class Held:
    """What the books hold of one claim, in cents: now, and at the end of the day."""

    now: int
    then: int
    disputed: int


_COLUMNS = (
    *("location_id", "number", "state", "currency"),
    *("sent_on", "closed_on", "disallowed_on"),
    *("shipment__crate_return_id", "shipment__pro_number", "shipment__bol_number"),
    *("booking__carrier_id", "booking__supplier_id"),
    *("booking__basis", "booking__labor_rate_cents"),
)
"""What the list of open claims shows, and ``book_facts`` reads, of a claim."""


def _booked(locations: Iterable[Location], last: date) -> list[Claim]:
    """Return the claims that are open now, and those that something was posted on since."""
    later = ClaimPosting.objects.filter(entry__effective_on__gt=last).order_by()
    keys = {*OpenWork.keys("booked-claim"), *later.values_list("claim", flat=True)}
    mine = Claim.objects.filter(
        pk__in=keys, location__in=locations, booking__isnull=False
    )
    rows = with_book_facts(mine).select_related(None)
    rows = rows.select_related("booking", "shipment").only(*_COLUMNS)
    found = share(rows.order_by("sent_on", "closed_on", "pk"), "location")
    share([claim.booking for claim in found], "carrier", "supplier")
    return found


def _held(claims: Iterable[Claim], last: date) -> dict[int, Held]:
    found = {claim.pk: Held(0, 0, 0) for claim in claims}
    by_day = Q(entry__effective_on__lte=last)
    disputed = by_day & Q(entry__legs__account__kind__in=kinds.IN_DISPUTE)
    rows = (
        ClaimPosting.objects.filter(
            claim__in=found, entry__legs__account__kind__in=kinds.GROSS
        )
        .order_by()
        .values("claim")
        .annotate(
            now=Sum("entry__legs__cents"),
            then=Coalesce(Sum("entry__legs__cents", filter=by_day), 0),
            disputed=Coalesce(Sum("entry__legs__cents", filter=disputed), 0),
        )
    )
    for row in rows:
        found[row["claim"]] = Held(row["now"], row["then"], row["disputed"])
    return found


def _open_claim(claim: Claim, held: Held, last: date) -> OpenClaim:
    stands = position_of(book_facts(claim, claim.booking), {}).open_cents
    return OpenClaim(
        claim=claim,
        listed_cents=stands - (held.now - held.then),
        book_cents=held.then,
        disputed_cents=held.disputed,
        days=(last - (claim.sent_on or claim.closed_on or last)).days,
    )
