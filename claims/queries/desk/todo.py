"""What is ours to do: opening crates, duties to meet, and the next acts of claims.

Every source gives ``Todo``s; another one is added to ``Work.todos`` in one line.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from claims.models import Claim, Deadline
from claims.queries.bench.unopened import UnopenedCrate, unopened_crates
from claims.queries.claim.listing import ClaimRow, claim_rows
from claims.queries.claim.paper_tasks import PaperTaskRow, paper_task_rows
from claims.queries.core.labels import deadline_label
from claims.queries.core.way_home import LineHome, homes_of, unclaimed_at
from claims.queries.deadlines.lapses import (
    Stakes,
    day_that_counts,
    hand_of,
    notice_kind_for,
    open_duties,
)
from claims.queries.desk.staff import Staff
from claims.queries.desk.ways_home import to_claim
from claims.rules.claim import life as lifecycle
from claims.rules.claim.next_acts import SEND_TO_CARRIER
from claims.rules.claim.todo import DAYS_AHEAD, DUTY_ACTS, Stake, Todo, Who, in_order
from inventory.access import locations_of, scoped, scoped_in_order
from inventory.models import Shipment, Unit, User
from inventory.queries.core.shared import share
from inventory.rules.core.roles import MANAGER, TECHNICIAN

AHEAD = timedelta(days=DAYS_AHEAD - 1)

_PAGES = {
    "send": "send_claim",
    "refile": "refile_claim",
    "hand-over": "hand_over_claim",
    "settle": "record_settlement",
    "supply-papers": "supply_papers",
    "tell-withdrawal": "tell_withdrawal",
    "letter": "claim_letters",
    "decide-payment": "decide_payment",
}
"""The page of each next act; any other is done on the claim's own page."""


@dataclass(frozen=True)
class Work:
    """What a person's desks are made of, read once. ``act`` is the right to see it."""

    staff: Staff
    today: date
    claims: list[ClaimRow]
    duties: list[Deadline]
    crates: list[UnopenedCrate]
    papers: list[PaperTaskRow]
    ways_home: list[LineHome]

    @classmethod
    def of(cls, person: User, today: date, act: str) -> "Work":
        """Read the open claims, the open duties and the closed crates."""
        running = open_duties(scoped_in_order(Deadline.objects.all(), person, act))
        duties = share(
            running.select_related(None).defer(
                "inputs", "steps", "notes", "effect", "authority"
            ),
            *("shipment__carrier", "shipment__location"),
        )
        here = list(locations_of(person, act).values_list("pk", flat=True))
        return cls(
            staff=Staff.of(here, person),
            today=today,
            claims=claim_rows(scoped(Claim.objects.all(), person, act), duties, today),
            duties=duties,
            crates=unopened_crates(person, today),
            papers=paper_task_rows(scoped(Claim.objects.all(), person, act), today),
            ways_home=homes_of(unclaimed_at(here)),
        )

    def owner(self, row: ClaimRow) -> Who:
        """Return whose claim it is: who made it, while that person is a manager."""
        claim = row.claim
        return self.staff.who(claim.location_id, MANAGER, claim.made_by_id)

    def todos(self) -> list[Todo]:
        """Return what is ours to do up to two weeks from now, the earliest first."""
        found = [*self._crates(), *self._duties(), *self._claims(), *self._papers()]
        found += to_claim(self.ways_home, self.staff, self.today, self.today + AHEAD)
        first: dict[tuple[str, str, int], Todo] = {}
        for one in in_order(found):
            first.setdefault((one.ref, one.label, one.bill), one)
        return list(first.values())

    def _crates(self) -> Iterator[Todo]:
        groups: dict[tuple[int, int | None, date], list[UnopenedCrate]]
        groups = defaultdict(list)
        for one in self.crates:
            if one.last_day is not None and one.last_day <= self.today + AHEAD:
                key = (one.crate.shipment_id, one.crate.delivery_id, one.last_day)
                groups[key].append(one)
        for (_, _, day), rows in groups.items():
            rows.sort(key=lambda one: one.crate.number)
            yield self._on_bill(
                rows[0].crate.shipment,
                TECHNICIAN,
                label=f"Open {crate_words(rows)}, inspect",
                why=_counted([name for row in rows for name in row.models]),
                day=day,
                stakes=[
                    Stake(
                        f"crate {one.crate.pk}", one.value_cents or 0, is_unopened=True
                    )
                    for one in rows
                ],
            )

    def _duties(self) -> Iterator[Todo]:
        soon = self.today + AHEAD
        rows = [
            row
            for row in self.duties
            if row.owed_by == "claimant" and day_that_counts(row) <= soon
        ]
        bills = {row.shipment_id for row in rows}
        stakes, machines = Stakes.of(bills, self.crates), _machines(bills)
        by_claim: dict[int | None, ClaimRow] = {
            one.claim.pk: one for one in self.claims
        }
        by_bill: dict[int, list[ClaimRow]] = defaultdict(list)
        for one in self.claims:
            by_bill[one.claim.shipment_id].append(one)
        for row in rows:
            if own := by_claim.get(row.claim_id):
                yield self._claim_duty(own, row, machines)
            elif hand_of(row, stakes) != "open":
                money = [_balance(one) for one in by_bill[row.shipment_id]]
                found = stakes.findings.get(row.shipment_id, 0)
                whole = money or [Stake(f"bill {row.shipment_id}", found)]
                yield self._bill_duty(row, whole, machines)

    def _claim_duty(
        self, own: ClaimRow, row: Deadline, machines: Mapping[int, list[str]]
    ) -> Todo:
        page, label = "claim", DUTY_ACTS.get(row.duty, deadline_label(row))
        if row.duty == "claim" and own.claim.claimant == "supplier":
            page, label = "hand_over_claim", "Hand the claim to the supplier"
        elif row.duty == "claim" and own.claim.state == lifecycle.DRAFTED:
            page, label = "send_claim", "Send the claim"
        elif row.duty == "claim" and own.is_unfiled:
            label = SEND_TO_CARRIER
            is_sent = own.claim.state == lifecycle.SENT
            page = "send_claim" if is_sent else "refile_claim"
        elif row.duty == "claim":
            page, label = "record_receipt", "Prove that the carrier has the claim"
        return self._on_claim(
            own,
            label=label,
            why=_counted(machines[row.shipment_id]) or row.shipment.carrier.name,
            day=day_that_counts(row),
            page=page,
            key=own.claim.pk,
        )

    def _bill_duty(
        self,
        row: Deadline,
        stakes: Sequence[Stake],
        machines: Mapping[int, list[str]],
    ) -> Todo:
        kind = notice_kind_for(row.duty)
        page = "make_claim" if row.duty == "claim" else "shipment"
        keys = [row.shipment_id]
        return self._on_bill(
            row.shipment,
            MANAGER,
            label=DUTY_ACTS.get(row.duty, "Make and send the claim"),
            why=_counted(machines[row.shipment_id]) or row.shipment.carrier.name,
            day=day_that_counts(row),
            page="write_notice" if kind else page,
            keys=[*keys, kind] if kind else keys,
            query=f"?delivery={row.delivery_id}" if kind and row.delivery_id else "",
            stakes=stakes,
        )

    def _claims(self) -> Iterator[Todo]:
        for own in self.claims:
            for act in own.acts:
                if act.day <= self.today + AHEAD:
                    yield self._on_claim(
                        own,
                        label=act.label,
                        why=act.why,
                        day=act.day,
                        page=_PAGES.get(act.act, "claim"),
                        key=act.key or own.claim.pk,
                    )

    def _papers(self) -> Iterator[Todo]:
        """Yield the missing documents that someone was asked to get."""
        by_claim = {one.claim.pk: one for one in self.claims}
        for row in self.papers:
            own = by_claim.get(row.claim.pk)
            if own is not None and row.day <= self.today + AHEAD:
                todo = self._on_claim(
                    own, label=row.act, why=row.reason, day=row.day, page="", key=0
                )
                yield replace(
                    todo,
                    who=self.staff.person_named(row.who),
                    page="add_evidence",
                    keys=(),
                    query=row.query,
                )

    def _on_claim(
        self, own: ClaimRow, *, label: str, why: str, day: date, page: str, key: int
    ) -> Todo:
        claim = own.claim
        return Todo(
            label=label,
            why=why,
            day=day,
            today=self.today,
            ref=claim.number,
            who=self.owner(own),
            page=page,
            keys=(key,),
            bill=claim.shipment_id,
            claim=claim.pk,
            state=claim.state,
            carrier=claim.shipment.carrier_id,
            location=claim.location_id,
            currency=claim.currency,
            home_currency=claim.location.currency,
            stakes=_priced([_balance(own)]),
        )

    def _on_bill(
        self,
        bill: Shipment,
        role: str,
        *,
        label: str,
        why: str,
        day: date,
        stakes: Sequence[Stake],
        page: str = "shipment",
        keys: Sequence[int | str] = (),
        query: str = "",
    ) -> Todo:
        return Todo(
            label=label,
            why=why,
            day=day,
            today=self.today,
            ref=bill.paper_number,
            who=self.staff.who(bill.location_id, role),
            page=page,
            keys=tuple(keys) or (bill.pk,),
            query=query,
            bill=bill.pk,
            carrier=bill.carrier_id,
            location=bill.location_id,
            currency=bill.currency,
            home_currency=bill.location.currency,
            stakes=_priced(stakes),
        )


def _balance(own: ClaimRow) -> Stake:
    """Return what is still to be paid on a claim; nothing on one that is withdrawn."""
    is_withdrawn = own.claim.state == lifecycle.WITHDRAWING
    cents = 0 if is_withdrawn else own.money.balance_cents
    return Stake(f"claim {own.claim.pk}", cents)


def _priced(stakes: Iterable[Stake]) -> tuple[Stake, ...]:
    return tuple(one for one in stakes if one.cents)


def _machines(bills: set[int]) -> Mapping[int, list[str]]:
    """Return the models of the machines on each of these freight bills."""
    rows = Unit.objects.filter(shipment__in=bills).order_by("pk")
    found: dict[int, list[str]] = defaultdict(list)
    for bill, model in rows.values_list("shipment_id", "model"):
        found[bill].append(model)
    return found


MOST_NAMED = 4
"""How many crates an act names; of more it says how many."""


def crate_words(rows: Sequence[UnopenedCrate]) -> str:
    """Return "crates 1 and 2", or how many they are."""
    numbers = [str(one.crate.number) for one in rows]
    if len(numbers) == 1:
        return f"crate {numbers[0]}"
    if len(numbers) > MOST_NAMED:
        return f"{len(numbers)} crates"
    return f"crates {', '.join(numbers[:-1])} and {numbers[-1]}"


def _counted(names: Sequence[str]) -> str:
    """Return the kinds of machine, each with its number where there are several."""
    counts = Counter(names)
    return ", ".join(
        name if count == 1 else f"{name}, {count} machines"
        for name, count in counts.items()
    )
