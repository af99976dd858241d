"""The entries of a claim: posted by the acts that make them due, in their transaction."""

import datetime as dt
from collections import Counter
from collections.abc import Sequence

from django.db.models import Sum

from claims.models import Claim, ClaimBooking, ClaimPosting, Remittance
from claims.queries.books.booking import basis_of, new_booking, partner_of
from claims.queries.books.facts import book_facts, held_of, with_book_facts
from claims.queries.core.remittances import note_of
from claims.rules.books import kinds
from claims.rules.books.planning import PAYMENT, Planned, plan_entries
from inventory.actions.ledger.checks import open_day
from inventory.actions.ledger.locks import lock_book
from inventory.actions.ledger.posting import post_entry
from inventory.actions.ledger.reversals import reverse_entry
from inventory.models import Entry, Leg, User
from inventory.rules.deposits.postings import Line, lowest_from


def lock_claim_book(claim: Claim) -> None:
    """Hold the book that the claim posts in; call it before a row is locked."""
    partner = partner_of(claim)
    if partner is not None:
        lock_book(claim.location, partner, claim.currency)


def post_claim(
    claim: Claim,
    *,
    on: dt.date,
    person: User,
    at: dt.datetime,
    is_filing: bool = False,
) -> list[Entry]:
    """Post what the books do not hold of the claim yet; the same act twice posts nothing.

    Call it in the act's transaction, after its rows are written and before its event.
    A claim that was filed before the books took claims in waits for its opening.
    """
    booking = ClaimBooking.objects.filter(claim=claim).first()
    if booking is None and is_filing:
        setting = basis_of(claim.location)
        booking = new_booking(claim, setting, person=person, at=at)
        if booking is not None:
            booking.save(force_insert=True)
    if booking is None:
        return []
    booking.claim = claim
    fresh = with_book_facts(Claim.objects.filter(pk=claim.pk)).get()
    planned = plan_entries(book_facts(fresh, booking), held_of(booking))
    if not planned:
        return []
    day = _first_day(claim, booking, planned, on)
    return [post_planned(booking, one, on=day, person=person, at=at) for one in planned]


def post_planned(
    booking: ClaimBooking, one: Planned, *, on: dt.date, person: User, at: dt.datetime
) -> Entry:
    """Post one planned entry of a claim, and note its slot."""
    claim = booking.claim
    number = ClaimPosting.objects.filter(claim=claim).count() + 1
    key = f"claim-{claim.pk}-{number}"
    note = _note_of(claim, one.slot)
    if one.reverses:
        entry = reverse_entry(
            entry=Entry.objects.select_related("location", "supplier", "carrier").get(
                pk=one.reverses
            ),
            effective_on=on,
            reason=note,
            posting_key=key,
            person=person,
            at=at,
        )
    else:
        entry = post_entry(
            kind=one.kind,
            location=claim.location,
            supplier=booking.supplier,
            carrier=booking.carrier,
            currency=claim.currency,
            effective_on=on,
            lines=_lines(one),
            posting_key=key,
            person=person,
            at=at,
            note=note,
        )
    ClaimPosting.objects.create(claim=claim, entry=entry, slot=one.slot)
    return entry


def _note_of(claim: Claim, slot: str) -> str:
    """Return what the entry is about: its claim, and the remittance that it is part of."""
    number = slot.removeprefix(PAYMENT)
    if number == slot:
        return str(claim)
    rows = Remittance.objects.filter(parts__claim=claim, parts__number=number)
    remittance = rows.first()
    return f"{claim}, {note_of(remittance)}" if remittance else str(claim)


def _lines(one: Planned) -> tuple[Line, ...]:
    """Return the lines, debits first."""
    sides = sorted(one.amounts.items(), key=lambda side: side[1] < 0)
    return tuple(Line(kind, cents) for kind, cents in sides)


def _first_day(
    claim: Claim, booking: ClaimBooking, planned: Sequence[Planned], on: dt.date
) -> dt.date:
    """Return the first open day from ``on`` that leaves no day below zero.

    A late fact keeps its own day where it can; a reversal never comes before its entry.
    """
    undone = [one.reverses for one in planned if one.reverses]
    days = Entry.objects.filter(pk__in=undone).values_list("effective_on", flat=True)
    first = open_day(claim.location, max([on, *days]))
    change: Counter[str] = Counter()
    for one in planned:
        change.update(one.amounts)
    dated: dict[str, list[tuple[dt.date, int]]] = {kind: [] for kind in kinds.GROSS}
    legs = Leg.objects.filter(
        entry__in=ClaimPosting.objects.filter(claim=booking.claim).values("entry"),
        account__kind__in=kinds.GROSS,
    ).order_by()
    by_day = legs.values_list("account__kind", "entry__effective_on")
    for kind, day, cents in by_day.annotate(sum=Sum("cents")):
        dated[kind].append((day, cents))
    later = {day for found in dated.values() for day, _ in found if day > first}
    for day in sorted({first, *later}):
        if all(
            lowest_from([*dated[kind], (day, change[kind])], day) >= 0
            for kind in kinds.GROSS
        ):
            return day
    return max({first, *later})
