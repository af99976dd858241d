"""One claim and its booking turned into the facts that the posting rules need."""

from collections import Counter, defaultdict
from collections.abc import Iterable

from django.db.models import Prefetch, QuerySet

from claims.models import Claim, ClaimBooking, ClaimLine, ClaimPosting
from claims.queries.core.facts import line_cents, minutes_of, priced_parts
from claims.queries.core.payments import payments_of, payments_prefetch
from claims.rules.bench.estimates import parts_cents
from claims.rules.books import kinds
from claims.rules.books.basis import LineCost, loss_of
from claims.rules.books.figures import (
    ACCEPT,
    CREDITED,
    DISALLOW,
    LOSS,
    PROBABLE,
    answers_of,
    kept_salvage,
    parts_of,
)
from claims.rules.books.planning import Held, Posted, movements
from claims.rules.books.positions import MEMO, BookFacts, Receipt
from claims.rules.claim import life as lifecycle
from claims.rules.claim.payments import COUNTED, HELD
from claims.rules.claim.way_home import DAMAGED, OUTCOMES
from claims.rules.damages.outcomes import NOT_REPAIRED
from inventory.models import Leg

_ENDS = {
    lifecycle.SETTLED: kinds.SETTLED,
    lifecycle.NOT_PURSUED: kinds.NOT_PURSUED,
    lifecycle.WITHDRAWING: kinds.WITHDRAWN,
    lifecycle.WITHDRAWN: kinds.WITHDRAWN,
}

OPENING_SLOT = "opening"


_OF_LINE = (
    *("claim_id", "return_line_id", "number", "supplement", "outcome"),
    *("worked_cents", "adjusted_cents", "struck_reason", "value_cents"),
    *("repair_cents", "salvage_cents", "mitigation_cents", "recovered_cents"),
)
"""What ``book_facts`` reads of a line."""


def with_book_facts(claims: QuerySet[Claim]) -> QuerySet[Claim]:
    """Join what ``book_facts`` reads, for many claims at once."""
    lines = (
        ClaimLine.objects.select_related("finding", "unit")
        .only(*_OF_LINE, "finding__repair_minutes", "unit__invoice_cents")
        .prefetch_related("finding__parts", "finding__booked")
    )
    return claims.select_related(
        "location", "shipment", "booking__carrier", "booking__supplier"
    ).prefetch_related(
        Prefetch("lines", lines.order_by("number")),
        payments_prefetch(),
        "supplement_rows",
        "steps",
        "figures",
    )


def book_facts(claim: Claim, booking: ClaimBooking) -> BookFacts:
    """Return what concerns the books of a claim; only what was sent counts."""
    lines = _sent_lines(claim)
    sums: dict[int, list[int]] = defaultdict(lambda: [0, 0])
    for line in lines:
        sums[line.supplement][0] += line_cents(line)
        sums[line.supplement][1] += line.recovered_cents
    parts = parts_of((number, both[0], both[1]) for number, both in sums.items())
    steps = [(step.act, step.cents) for step in claim.steps.all()]
    claimed = sum(cents for _, cents in parts)
    answers = answers_of(_answered(claim, steps), claimed)
    figures = {figure.what: figure.cents for figure in claim.figures.all()}
    sold = sum(cents or 0 for act, cents in steps if act == "salvage-sold")
    loss = sum(loss_of(_cost(line, booking.labor_rate_cents)) for line in lines)
    return BookFacts(
        basis=booking.basis,
        is_supplier=booking.supplier_id is not None,
        loss_cents=figures.get(LOSS, loss),
        parts=parts,
        receipts=(*_receipts(claim), *_credited(figures.get(CREDITED, 0))),
        salvage_cents=kept_salvage(sold, sum(line.salvage_cents for line in lines)),
        agreed_cents=answers.agreed_cents,
        was_agreed=answers.was_agreed,
        declined_cents=answers.declined_cents,
        probable_cents=figures.get(PROBABLE),
        end=_ENDS.get(claim.state, ""),
        is_way_home=claim.shipment.crate_return_id is not None,
        expensed_cents=sum(
            line_cents(line)
            for line in lines
            if line.return_line_id and line.outcome == OUTCOMES[DAMAGED]
        ),
    )


def _credited(cents: int) -> tuple[Receipt, ...]:
    return (Receipt(0, cents, MEMO),) if cents else ()


def _sent_lines(claim: Claim) -> list[ClaimLine]:
    """Return the lines that the carrier has, or the supplier who files the claim."""
    if claim.state == lifecycle.HANDED_OVER:
        return [line for line in claim.lines.all() if not line.struck_reason]
    if claim.sent_on is None:
        return []
    waiting = {row.number for row in claim.supplement_rows.all() if row.sent_on is None}
    return [
        line
        for line in claim.lines.all()
        if not line.struck_reason and line.supplement not in waiting
    ]


def _answered(
    claim: Claim, steps: Iterable[tuple[str, int | None]]
) -> list[tuple[str, int | None]]:
    """Return agreements and denials; the denial of a claim from before steps were kept."""
    found = [one for one in steps if one[0] in {ACCEPT, DISALLOW}]
    if claim.disallowed_on and not any(act == DISALLOW for act, _ in found):
        return [(DISALLOW, None), *found]
    return found


def _receipts(claim: Claim) -> tuple[Receipt, ...]:
    return tuple(
        Receipt(one.number, one.cents, one.method, waits=one.state == HELD)
        for one in payments_of(claim)
        if one.state == COUNTED or (one.state == HELD and one.deposited_on)
    )


def _cost(line: ClaimLine, rate_cents: int) -> LineCost:
    is_repair = line.outcome not in NOT_REPAIRED
    finding = line.finding
    parts, minutes = line.repair_cents, 0
    if finding is not None:
        parts, minutes = parts_cents(priced_parts(finding)), minutes_of(finding)
    goods = line.unit.invoice_cents if line.unit else None
    return LineCost(
        is_repair=is_repair,
        claimed_cents=line_cents(line),
        goods_cents=line.value_cents if goods is None else goods,
        parts_cents=parts,
        minutes=minutes,
        rate_cents=rate_cents,
        salvage_cents=line.salvage_cents,
        mitigation_cents=line.mitigation_cents,
    )


def held_of(booking: ClaimBooking) -> Held:
    """Return what the books hold of a claim, from its entries and its baseline."""
    postings = list(
        ClaimPosting.objects.filter(claim=booking.claim_id)
        .exclude(slot=OPENING_SLOT)
        .select_related("entry")
        .order_by("pk")
    )
    amounts: dict[object, Counter[str]] = defaultdict(Counter)
    keys = [posting.entry_id for posting in postings]
    legs = Leg.objects.filter(entry__in=keys).order_by()
    for key, kind, cents in legs.values_list("entry", "account__kind", "cents"):
        amounts[key][kind] += cents
    gone = {posting.entry.reverses_id for posting in postings}
    slots = {slot: dict(found) for slot, found in booking.baseline_slots.items()}
    totals: Counter[str] = Counter(booking.baseline_values)
    for found in slots.values():
        totals.update(found)
    standing: dict[str, list[Posted]] = defaultdict(list)
    for posting in postings:
        entry, posted = posting.entry, dict(amounts[posting.entry_id])
        totals.update(posted)
        sums = Counter(slots.get(posting.slot, {}))
        sums.update(movements(posted))
        slots[posting.slot] = {kind: cents for kind, cents in sums.items() if cents}
        if not entry.reverses_id and entry.pk not in gone:
            standing[posting.slot].append(Posted(str(entry.pk), posted))
    slots = {slot: found for slot, found in slots.items() if found}
    return Held(slots, dict(totals), standing)
