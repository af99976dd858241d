"""Everything about one crate: its days and money, its findings, its history."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Model, Q, QuerySet

from claims.models import Finding
from inventory.models import (
    Crate,
    CrateCheck,
    CrateReturn,
    CreditMemo,
    Deposit,
    Entry,
    PackagingHold,
    ShortCredit,
)
from inventory.queries.core.history import StoryItem, story_of
from inventory.queries.deposits.crate_days import CreditDays, one_day
from inventory.queries.deposits.facts import with_facts
from inventory.rules.core.event_kinds import MONEY_KINDS
from inventory.rules.crates.life import CrateFacts

_OF_ALL = frozenset(
    {
        "delivery.logged",
        "receipt.ended",
        "receipt.signed",
        "return.made",
        "return.shipped",
        "return.received",
        "return.closed",
        "return.cancelled",
        "memo.entered",
        "memo.posted",
    }
)
"""The part of a truck's, return's and memo's history that belongs to each crate."""


@dataclass(frozen=True)
class CratePage:
    """The content of a crate's page; ``open_hold`` is in force now, or None."""

    days: CreditDays
    open_hold: PackagingHold | None
    holds: list[PackagingHold]
    checks: list[CrateCheck]
    findings: list[Finding]
    returns: list[CrateReturn]
    shorts: list[ShortCredit]
    story: list[StoryItem]

    @property
    def is_held(self) -> bool:
        """Return whether the packaging is on hold now."""
        return self.open_hold is not None

    @property
    def kept_panels(self) -> list[str]:
        """Return the damaged panels kept here after a release."""
        return [hold.panel_kept for hold in self.holds if hold.panel_kept]


def crate_page(crate: Crate, today: date, *, sees_money: bool) -> CratePage:
    """Return the crate's page on a day; without money for those who may not see it.

    ``crate`` comes with its freight bill, dock, supplier, truck and type.
    """
    holds = list(
        crate.packaging_holds.select_related("placed_by", "released_by").order_by("-pk")
    )
    deposits = list(
        with_facts(Deposit.objects.filter(crate=crate)).order_by("is_withdrawn", "-pk")
    )
    standing = next((row for row in deposits if not row.is_withdrawn), None)
    returns = list(
        CrateReturn.objects.filter(lines__crate=crate).distinct().order_by("pk")
    )
    shorts = list(ShortCredit.objects.filter(deposit__in=deposits).order_by("pk"))
    own: list[Model] = [crate]
    shared: list[Model] = [crate.delivery, *returns] if crate.delivery else [*returns]
    if sees_money and deposits:
        entries = Entry.objects.filter(legs__deposit__in=deposits).distinct()
        own += [*deposits, *shorts, *entries]
        shared += CreditMemo.objects.filter(lines__deposit__in=deposits).distinct()
    return CratePage(
        days=one_day(crate, standing, today),
        open_hold=next((row for row in holds if row.released_at is None), None),
        holds=holds,
        checks=list(_checks(crate)),
        findings=list(_findings(crate)),
        returns=returns,
        shorts=shorts,
        story=_story(crate, own, shared, sees_money=sees_money),
    )


def open_return(crate: Crate) -> CrateReturn | None:
    """Return the return to the crate's supplier that is being staged here, if any."""
    return (
        CrateReturn.objects.filter(
            location=crate.shipment.location_id,
            supplier=crate.shipment.supplier_id,
            supplier__isnull=False,
            state__in=CrateReturn.life.starts("stage"),
        )
        .order_by("-pk")
        .first()
    )


def _checks(crate: Crate) -> "QuerySet[CrateCheck]":
    return (
        crate.checks.select_related("checked_by")
        .prefetch_related("lines__part")
        .order_by("-pk")
    )


def _findings(crate: Crate) -> "QuerySet[Finding]":
    units = list(crate.units.values_list("pk", flat=True))  # a join reads every finding
    return (
        Finding.objects.filter(Q(crate=crate) | Q(unit__in=units))
        .select_related("unit", "crate", "shipment", "inspection")
        .order_by("number")
    )


def _story(
    crate: Crate, own: list[Model], shared: list[Model], *, sees_money: bool
) -> list[StoryItem]:
    """Return the crate's own events, and of shared events only those about all crates."""
    location = crate.shipment.location
    hidden = () if sees_money else MONEY_KINDS
    items = story_of(own, location, leave_out=hidden)
    known = {item.sequence for item in items}
    items += [
        item
        for item in story_of(shared, location, leave_out=hidden)
        if item.kind in _OF_ALL and item.sequence not in known
    ]
    return sorted(items, key=lambda item: item.sequence)


def next_lead(crate: Crate, page: CratePage) -> str:
    """Return the sentence that says what must happen next with the crate."""
    facts = CrateFacts(is_held=page.is_held)
    if crate.is_over:
        return "Next: Hold it for the carrier, and record what the carrier answers."
    if crate.look == "refused":
        return "Refused. It never became ours. Its truck's page records where it went."
    if crate.kind != "one-way":
        return crate.life.lead(crate.state, facts)
    if crate.disposal:
        return f"{crate.get_disposal_display()}. Nothing to do."
    if page.is_held:
        return crate.life.lead("full", facts)
    return "Next: Record what became of it." if crate.opened_at else "Next: Open it."
