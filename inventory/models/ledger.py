"""Deposits and their double-entry ledger, in integer cents.

The database itself refuses a crooked entry, an unsealed leg and any change; see
``inventory.triggers``. The legs of an entry are written first, the entry is the
seal laid over them.
"""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.carriers import Carrier, Supplier
from inventory.models.crate_types import CrateTerms, CrateType
from inventory.models.people import Location, unnamed_currency
from inventory.models.sealed import Sealed
from inventory.models.shipments import Crate
from inventory.models.versions import Versioned
from inventory.rules.crates import words
from inventory.rules.reckoning.moments import day_words

ONE_PARTNER = Q(supplier__isnull=False, carrier__isnull=True) | Q(
    supplier__isnull=True, carrier__isnull=False
)
"""An account and an entry are of one supplier or of one carrier, never of both."""


def account_kinds() -> list[tuple[str, str]]:
    """Return the kinds of account of both floors, once both are registered."""
    return list(words.ACCOUNTS.items())


def entry_kinds() -> list[tuple[str, str]]:
    """Return the kinds of entry of both floors, once both are registered."""
    return list(words.ENTRY_KINDS.items())


class Deposit(Versioned):
    """One deposit on one crate, as the supplier's invoice line charged it.

    ``shipped_back_on`` is set where the crate went home before these books began: only
    its credit is open, the amount is that credit, and no crate is matched to it.
    """

    location = models.ForeignKey(Location, models.PROTECT, related_name="deposits")
    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="deposits")
    crate_type = models.ForeignKey(
        CrateType, models.PROTECT, null=True, blank=True, related_name="deposits"
    )
    crate = models.ForeignKey(
        Crate, models.PROTECT, null=True, blank=True, related_name="deposits"
    )
    terms = models.ForeignKey(
        CrateTerms, models.PROTECT, null=True, blank=True, related_name="deposits"
    )
    invoice_number = models.CharField(max_length=40)
    line_number = models.PositiveSmallIntegerField()
    piece_number = models.PositiveSmallIntegerField(default=1)
    invoiced_on = models.DateField()
    mark = models.CharField(max_length=60, blank=True)
    amount_cents = models.PositiveBigIntegerField()
    currency = models.CharField(max_length=3, default=unnamed_currency)
    is_opening = models.BooleanField(default=False)
    is_withdrawn = models.BooleanField(default=False)
    shipped_back_on = models.DateField(null=True, blank=True)
    shipped_back_bill = models.CharField(max_length=40, blank=True)
    charged_at = models.DateTimeField()
    charged_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["invoiced_on", "pk"]
        indexes = [
            models.Index(fields=["location", "supplier"], name="deposits_of_supplier"),
            models.Index(
                fields=["crate_type", "invoiced_on", "id"], name="deposits_of_type"
            ),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["supplier", "invoice_number", "line_number", "piece_number"],
                condition=Q(is_withdrawn=False),
                name="one_deposit_an_invoice_piece",
            ),
            models.UniqueConstraint(
                fields=["crate"],
                condition=Q(is_withdrawn=False, crate__isnull=False),
                name="one_deposit_a_crate",
            ),
            models.CheckConstraint(
                condition=Q(amount_cents__gte=1), name="deposit_positive"
            ),
            models.CheckConstraint(
                condition=Q(shipped_back_on=None, shipped_back_bill="")
                | Q(shipped_back_on__isnull=False, is_opening=True, crate=None)
                & ~Q(shipped_back_bill=""),
                name="shipped_back_before_these_books",
            ),
        ]

    def __str__(self) -> str:
        return f"Deposit on {self.mark or self.invoice_number}"


def only_partner(
    supplier: Supplier | None, carrier: Carrier | None
) -> Supplier | Carrier:
    """Return the one of the two that there is. Raise LookupError for neither."""
    partner = supplier or carrier
    if partner is None:
        raise LookupError("This row of the ledger has no partner.")
    return partner


class Account(Sealed):
    """One account of the ledger: of a location, for a partner, in a currency."""

    location = models.ForeignKey(Location, models.PROTECT, related_name="accounts")
    supplier = models.ForeignKey(
        Supplier, models.PROTECT, null=True, blank=True, related_name="accounts"
    )
    carrier = models.ForeignKey(
        Carrier, models.PROTECT, null=True, blank=True, related_name="accounts"
    )
    kind = models.CharField(max_length=24, choices=account_kinds)
    currency = models.CharField(max_length=3, default=unnamed_currency)

    class Meta:
        ordering = ["location_id", "supplier_id", "carrier_id", "kind", "currency"]
        constraints = [
            models.CheckConstraint(condition=ONE_PARTNER, name="account_one_partner"),
            models.UniqueConstraint(
                fields=["location", "supplier", "kind", "currency"],
                condition=Q(supplier__isnull=False),
                name="one_account_a_supplier",
            ),
            models.UniqueConstraint(
                fields=["location", "carrier", "kind", "currency"],
                condition=Q(carrier__isnull=False),
                name="one_account_a_carrier",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} · {self.partner}"

    @property
    def partner(self) -> Supplier | Carrier:
        """The supplier or the carrier whose account it is."""
        return only_partner(self.supplier, self.carrier)


class Entry(Sealed):
    """The seal over its legs: they sum to zero, or it cannot be written."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=16, choices=entry_kinds)
    location = models.ForeignKey(Location, models.PROTECT, related_name="entries")
    supplier = models.ForeignKey(
        Supplier, models.PROTECT, null=True, blank=True, related_name="entries"
    )
    carrier = models.ForeignKey(
        Carrier, models.PROTECT, null=True, blank=True, related_name="entries"
    )
    currency = models.CharField(max_length=3, default=unnamed_currency)
    effective_on = models.DateField()
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    note = models.CharField(max_length=300, blank=True)
    posting_key = models.CharField(max_length=80, unique=True)
    body_hash = models.CharField(max_length=64)
    reverses = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )

    class Meta:
        ordering = ["effective_on", "entered_at", "id"]
        verbose_name_plural = "entries"
        indexes = [
            models.Index(
                fields=["location", "supplier", "effective_on"], name="ledger_day"
            ),
            models.Index(
                fields=["location", "carrier", "effective_on"], name="ledger_carrier"
            ),
            models.Index(
                fields=["location", "effective_on", "entered_at", "id"],
                name="journal_of_one",
            ),
            models.Index(
                fields=["effective_on", "entered_at", "id"], name="journal_of_all"
            ),
        ]
        constraints = [
            models.CheckConstraint(condition=ONE_PARTNER, name="entry_one_partner")
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {day_words(self.effective_on, None)}"

    @property
    def partner(self) -> Supplier | Carrier:
        """The supplier or the carrier in whose book it is."""
        return only_partner(self.supplier, self.carrier)


class Leg(Sealed):
    """One side of an entry: cents into an account (debit > 0, credit < 0)."""

    entry = models.ForeignKey(Entry, models.PROTECT, related_name="legs")
    position = models.PositiveSmallIntegerField()
    account = models.ForeignKey(Account, models.PROTECT, related_name="legs")
    deposit = models.ForeignKey(
        Deposit, models.PROTECT, null=True, blank=True, related_name="legs"
    )
    cents = models.BigIntegerField()

    class Meta:
        ordering = ["entry_id", "position"]
        constraints = [
            models.UniqueConstraint(
                fields=["entry", "position"], name="one_leg_a_position"
            ),
            models.CheckConstraint(condition=~Q(cents=0), name="leg_not_zero"),
        ]

    def __str__(self) -> str:
        return f"{self.account_id}: {self.cents}"

    @property
    def debit(self) -> int:
        """The cents as a debit; 0 for a credit."""
        return max(self.cents, 0)

    @property
    def credit(self) -> int:
        """The cents as a credit, without a sign; 0 for a debit."""
        return max(-self.cents, 0)


class PeriodLock(Sealed):
    """No entry may take effect on or before this day."""

    location = models.ForeignKey(Location, models.PROTECT, related_name="period_locks")
    through = models.DateField()
    locked_at = models.DateTimeField()
    locked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["-through", "-pk"]

    def __str__(self) -> str:
        return f"Locked through {day_words(self.through, None)}"


class AccountNumber(Versioned):
    """The number of one kind of account in the company's own books."""

    location = models.ForeignKey(
        Location, models.PROTECT, related_name="account_numbers"
    )
    kind = models.CharField(max_length=24, choices=account_kinds)
    number = models.CharField(max_length=20)
    name = models.CharField(max_length=60, blank=True)

    class Meta:
        ordering = ["location_id", "kind"]
        constraints = [
            models.UniqueConstraint(
                fields=["location", "kind"], name="one_number_a_kind"
            )
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.get_kind_display()}"
