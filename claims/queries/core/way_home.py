"""The crates of a return that were lost or damaged on the way home, and their claims."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Model, QuerySet

from claims.models import Claim, ClaimLine
from claims.queries.core.facts import line_cents
from claims.rules.claim.way_home import (
    DAMAGED,
    LOST,
    HomeCrate,
    why_not_claimed,
)
from inventory.models import (
    CrateReturn,
    Leg,
    ReturnLine,
    ShortCredit,
    SuspenseLine,
)
from inventory.queries.deposits.facts import terms_for
from inventory.queries.returns.listing import lines_of
from inventory.rules.deposits.postings import CARRIER, SUPPLIER
from inventory.rules.memos import short_credits as shorts
from inventory.rules.memos import suspense
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.money import format_cents

_DAMAGE = "missing-part"
"""The cause of a short-paid credit that may be the carrier's damage."""


@dataclass(frozen=True)
class LineHome:
    """One crate of a return with its loss on the way home."""

    line: ReturnLine
    crate: HomeCrate
    memos: tuple[str, ...]

    @property
    def against(self) -> str:
        """Return why it cannot be claimed now, or nothing."""
        return why_not_claimed(self.crate)

    def credited_of(self, line: ClaimLine) -> int:
        """Return what the supplier credited of what this line of a claim asks for."""
        return min(self.crate.credited_cents, line_cents(line))

    @property
    def label(self) -> str:
        """Return the crate and what happened to it, as a claim's line names it."""
        kind = self.line.crate.crate_type
        what = f"{self.line.crate}{f', {kind}' if kind else ''}"
        end = "not delivered" if self.crate.kind == LOST else "delivered damaged"
        return f"{what}: {end}"[:160]


def ways_home(crate_return: CrateReturn) -> list[LineHome]:
    """Return the crates of a return whose loss on the way home is in the books.

    Those whose damage is not decided yet come too.
    """
    return homes_of(lines_of(crate_return), crate_return.currency)


def unclaimed_at(places: Iterable[int]) -> list[ReturnLine]:
    """Return the crates that carriers lost on returns from here and nobody claims."""
    rows = ReturnLine.objects.filter(
        crate__state="lost",
        is_taken_off=False,
        deposit__isnull=False,
        crate_return__location__in=list(places),
        crate_return__billed_on__isnull=False,
        crate_return__carrier__isnull=False,
    )
    return list(
        rows.exclude(crate_return__carrier__mode="supplier-truck")
        .exclude(
            pk__in=ClaimLine.objects.filter(
                holds=True, return_line__isnull=False
            ).values("return_line")
        )
        .select_related(
            "crate__crate_type",
            "deposit",
            "crate_return__carrier",
            "crate_return__supplier",
        )
        .prefetch_related("crate_return__carrier__terms")
        .order_by("crate_return", "pk")
    )


def homes_of(lines: Sequence[ReturnLine], currency: str = "") -> list[LineHome]:
    """Return what became of these lines, in a fixed number of queries.

    They come with crate, its type and deposit joined; without a ``currency`` with
    their return too, whose own counts.
    """
    keys = [line.deposit_id for line in lines if line.deposit_id]
    lost = _lost(keys)
    hurt = _hurt(keys)
    paid = _credited(keys, {**_booked(hurt), **{k: at for k, (_, at) in lost.items()}})
    claims = _holding(lines)
    found = []
    for line in lines:
        key = line.deposit_id or 0
        is_lost = key in lost or line.crate.state == "lost"
        if not is_lost and key not in hurt:
            continue
        damages = hurt.get(key, ())
        cents = (
            lost.get(key, (0, 0))[0]
            if is_lost
            else sum(
                one.amount_cents for one in damages if one.state == shorts.ACCEPTED
            )
        )
        memos = paid.get(key, ())
        crate = HomeCrate(
            kind=LOST if is_lost else DAMAGED,
            loss_cents=cents,
            credited_cents=max(sum(one.cents for one in memos), 0),
            has_deposit=line.deposit_id is not None,
            is_same_currency=line.deposit is None
            or line.deposit.currency == (currency or line.crate_return.currency),
            is_decided=is_lost
            or all(one.state not in shorts.LIFE.live for one in damages),
            claim=claims.get(line.pk, ""),
        )
        notes = dict.fromkeys(one.note for one in memos if one.note)
        found.append(LineHome(line, crate, tuple(notes)))
    return found


def _lost(keys: Sequence[int]) -> dict[int, tuple[int, int]]:
    """Return what the carrier owes of each deposit by the books, and when it began."""
    legs = Leg.objects.filter(
        deposit__in=keys,
        account__kind=CARRIER,
        entry__kind="carrier-loss",
        entry__reversed_by=None,
    ).order_by("pk")
    rows = legs.values_list("deposit_id", "cents", "pk")
    return {key: (cents, at) for key, cents, at in rows}


def _hurt(keys: Sequence[int]) -> dict[int, list[ShortCredit]]:
    rows = ShortCredit.objects.filter(
        deposit__in=keys,
        cause=_DAMAGE,
        state__in=[*shorts.LIFE.live, shorts.ACCEPTED],
    )
    found: dict[int, list[ShortCredit]] = defaultdict(list)
    for row in rows.order_by("pk"):
        found[row.deposit_id].append(row)
    return dict(found)


def _booked(hurt: dict[int, list[ShortCredit]]) -> dict[int, int]:
    """Return where in the books the accepted loss of each deposit was posted."""
    legs = Leg.objects.filter(
        deposit__in=list(hurt), entry__kind="short-credit", entry__reversed_by=None
    ).order_by("pk")
    return dict(legs.values_list("deposit_id", "pk"))


@dataclass(frozen=True)
class Credited:
    """What a supplier credited on a deposit after its loss was booked, and where."""

    cents: int
    note: str


def _credited(keys: Sequence[int], since: dict[int, int]) -> dict[int, list[Credited]]:
    """Return what the supplier credited on these deposits after the loss was booked.

    A credit for a lost crate is held in suspense first: nothing is open on it.
    """
    found: dict[int, list[Credited]] = defaultdict(list)
    if not since:
        return found
    legs = Leg.objects.filter(
        deposit__in=keys, account__kind=SUPPLIER, pk__gt=min(since.values())
    )
    for leg in legs.select_related("entry").order_by("pk"):
        key, entry = leg.deposit_id or 0, leg.entry
        if key in since and leg.pk > since[key]:
            what = entry.note or entry.get_kind_display()
            note = f"{what}, {in_words(entry.effective_on)}" if leg.cents > 0 else ""
            found[key].append(Credited(leg.cents, note))
    held = SuspenseLine.objects.filter(
        memo_line__deposit__in=list(since), state__in=(suspense.OPEN, suspense.INCOME)
    )
    for row in held.select_related("memo_line__memo").order_by("pk"):
        note = f"{row.memo_line}, {in_words(row.opened_on)}"
        found[row.memo_line.deposit_id or 0].append(Credited(row.amount_cents, note))
    return found


def _holding(lines: Iterable[ReturnLine]) -> dict[int, str]:
    rows = ClaimLine.objects.filter(
        return_line__in=[line.pk for line in lines], holds=True
    )
    return {
        key: number
        for key, number in rows.values_list("return_line_id", "claim__number")
        if key
    }


def claims_of_return(row: CrateReturn) -> QuerySet[Claim]:
    """Return the claims under the bill of this return."""
    return Claim.objects.filter(shipment__crate_return=row).order_by("pk")


def credited_since(claim: Claim) -> list[tuple[ClaimLine, LineHome]]:
    """Return the lines of which the supplier credited more than the claim says."""
    if claim.shipment.crate_return_id is None:
        return []
    rows = claim.lines.filter(struck_reason="", return_line__isnull=False)
    own = list(
        rows.select_related(
            "return_line__crate__crate_type", "return_line__deposit"
        ).order_by("number")
    )
    lines = [line.return_line for line in own if line.return_line]
    homes = {one.line.pk: one for one in homes_of(lines, claim.currency)}
    return [
        (line, home)
        for line in own
        if (home := homes.get(line.return_line_id or 0))
        and home.credited_of(line) > line.recovered_cents
    ]


def credit_words(claim: Claim) -> str:
    """Return what the supplier credited after all and the claim still asks for."""
    due = credited_since(claim)
    if not due:
        return ""
    cents = sum(home.credited_of(line) - line.recovered_cents for line, home in due)
    amount = format_cents(cents, claim.currency, code=True)
    crates = ", ".join(str(home.line.crate) for _, home in due)
    memos = "; ".join(dict.fromkeys(note for _, home in due for note in home.memos))
    return f"The supplier credited {amount} after all ({crates}: {memos})."


def objections_for_lines(rows: Iterable[Model]) -> list[str]:
    """Return why the loss of these crates of a return cannot be undone now."""
    keys = [row.pk for row in rows if isinstance(row, ReturnLine)]
    return _objections(ClaimLine.objects.filter(return_line__in=keys))


def objections_for_shorts(rows: Iterable[Model]) -> list[str]:
    """Return why these short-paid credits cannot be undone: a claim rests on them."""
    keys = [
        row.deposit_id
        for row in rows
        if isinstance(row, ShortCredit) and row.state == shorts.ACCEPTED
    ]
    return _objections(
        ClaimLine.objects.filter(
            return_line__deposit__in=keys, return_line__isnull=False
        )
    )


def _objections(lines: QuerySet[ClaimLine]) -> list[str]:
    held = lines.filter(holds=True).select_related(
        "claim__shipment__carrier", "return_line__crate"
    )
    return [
        f"{line.return_line and line.return_line.crate} is claimed from "
        f"{line.claim.shipment.carrier} in claim {line.claim.number}. Withdraw that "
        "claim, or remove its line, first."
        for line in held.order_by("pk")
    ]


def expected_there(row: CrateReturn) -> date | None:
    """Return the end of a reasonable time for delivery, by the supplier's terms.

    None where they state no days in transit.
    """
    left = row.picked_up_on or row.billed_on
    terms = terms_for(row.supplier, left) if left else None
    if left is None or terms is None or not terms.transit_days:
        return None
    return left + timedelta(days=terms.transit_days)
