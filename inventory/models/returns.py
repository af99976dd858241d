"""Crate returns, the suppliers' credit memos, and short-paid credits."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.carriers import Carrier, Supplier
from inventory.models.deliveries import Delivery
from inventory.models.ledger import Deposit, Entry
from inventory.models.people import Location, unnamed_currency
from inventory.models.sealed import Sealed
from inventory.models.shipments import Crate
from inventory.models.versions import Versioned
from inventory.rules.crates import words
from inventory.rules.memos import short_credits, suspense
from inventory.rules.reckoning.moments import day_words
from inventory.rules.returns import life as returns


class CrateReturn(Versioned):
    """One load of empties to one supplier: staged, shipped, received, credited."""

    life = returns.LIFE

    location = models.ForeignKey(Location, models.PROTECT, related_name="returns")
    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="returns")
    number = models.CharField(max_length=20, unique=True)
    state = models.CharField(
        max_length=10, choices=tuple(words.RETURN_STATES.items()), default="staging"
    )
    carrier = models.ForeignKey(
        Carrier, models.PROTECT, null=True, blank=True, related_name="returns"
    )
    delivery = models.ForeignKey(
        Delivery, models.PROTECT, null=True, blank=True, related_name="returns"
    )
    planned_on = models.DateField(null=True, blank=True)
    authorization = models.CharField(max_length=40, blank=True)
    appointment = models.CharField(max_length=100, blank=True)
    bill_to = models.TextField(max_length=300, blank=True)
    billed_on = models.DateField(null=True, blank=True)
    picked_up_on = models.DateField(null=True, blank=True)
    received_back_on = models.DateField(null=True, blank=True)
    memo_due_on = models.DateField(null=True, blank=True)
    driver_name = models.CharField(max_length=80, blank=True)
    driver_count = models.PositiveIntegerField(null=True, blank=True)
    how_signed = models.CharField(
        max_length=12, choices=tuple(words.HOW_SIGNED_WORDS.items()), blank=True
    )
    freight_cents = models.PositiveBigIntegerField(null=True, blank=True)
    currency = models.CharField(max_length=3, default=unnamed_currency)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["-pk"]
        indexes = [
            models.Index(fields=["location", "state"], name="returns_by_state"),
            models.Index(fields=["state", "-id"], name="returns_in_order"),
        ]

    def __str__(self) -> str:
        return f"Return {self.number}"


class ReturnLine(Versioned):
    """One crate of a return, and the credit expected for it once it is shipped."""

    crate_return = models.ForeignKey(CrateReturn, models.PROTECT, related_name="lines")
    crate = models.ForeignKey(Crate, models.PROTECT, related_name="return_lines")
    deposit = models.ForeignKey(
        Deposit, models.PROTECT, null=True, blank=True, related_name="return_lines"
    )
    is_taken_off = models.BooleanField(default=False)
    expected_cents = models.PositiveBigIntegerField(null=True, blank=True)
    late_cents = models.PositiveBigIntegerField(null=True, blank=True)
    parts_cents = models.PositiveBigIntegerField(null=True, blank=True)
    hold_cents = models.PositiveBigIntegerField(null=True, blank=True)
    steps = models.JSONField(default=list, blank=True)
    expected_entry = models.ForeignKey(
        Entry, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["crate"],
                condition=Q(is_taken_off=False),
                name="one_return_a_crate",
            )
        ]

    def __str__(self) -> str:
        return f"{self.crate} on {self.crate_return}"


class CreditMemo(Versioned):
    """A supplier's credit memo; its lines are matched by crate."""

    location = models.ForeignKey(Location, models.PROTECT, related_name="memos")
    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="memos")
    number = models.CharField(max_length=40)
    dated_on = models.DateField()
    received_on = models.DateField()
    currency = models.CharField(max_length=3, default=unnamed_currency)
    is_posted = models.BooleanField(default=False)
    reversed_on = models.DateField(null=True, blank=True)
    reversal_reason = models.CharField(max_length=300, blank=True, default="")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["-dated_on", "-pk"]
        indexes = [
            models.Index(
                fields=["is_posted", "-dated_on", "-id"], name="memos_in_order"
            ),
            models.Index(
                fields=["location", "dated_on"],
                condition=Q(is_posted=False),
                name="memos_to_post",
            ),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["supplier", "number"],
                condition=Q(reversed_on=None),
                name="one_memo_a_number",
            )
        ]

    def __str__(self) -> str:
        return f"Memo {self.number}"

    @property
    def state_words(self) -> str:
        """Return whether it is posted, reversed or neither."""
        if self.reversed_on is not None:
            return "Reversed"
        return "Posted" if self.is_posted else "Not posted"


class MemoLine(Versioned):
    """One line of a memo: what the supplier credits, and which deposit it is for."""

    memo = models.ForeignKey(CreditMemo, models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    mark = models.CharField(max_length=60, blank=True)
    type_name = models.CharField(max_length=60, blank=True)
    amount_cents = models.PositiveBigIntegerField()
    remark = models.CharField(max_length=200, blank=True)
    deposit = models.ForeignKey(
        Deposit, models.PROTECT, null=True, blank=True, related_name="memo_lines"
    )
    expected_cents = models.PositiveBigIntegerField(null=True, blank=True)
    fate = models.CharField(
        max_length=12, choices=tuple(words.MEMO_FATES.items()), blank=True, default=""
    )
    entry = models.ForeignKey(
        Entry, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["memo_id", "position"]
        constraints = [
            models.UniqueConstraint(
                fields=["memo", "position"], name="one_memo_line_a_position"
            )
        ]

    def __str__(self) -> str:
        return f"{self.memo} line {self.position}"


class ShortCredit(Versioned):
    """A short-paid credit: open, disputed, accepted as a loss, or written off."""

    life = short_credits.LIFE

    location = models.ForeignKey(Location, models.PROTECT, related_name="short_credits")
    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="short_credits")
    deposit = models.ForeignKey(Deposit, models.PROTECT, related_name="short_credits")
    memo_line = models.ForeignKey(
        MemoLine, models.PROTECT, null=True, blank=True, related_name="short_credits"
    )
    cause = models.CharField(max_length=12, choices=tuple(words.SHORT_CAUSES.items()))
    amount_cents = models.PositiveBigIntegerField()
    currency = models.CharField(max_length=3, default=unnamed_currency)
    state = models.CharField(
        max_length=12, choices=tuple(words.SHORT_STATES.items()), default="open"
    )
    explanation = models.TextField(max_length=1000, blank=True)
    opened_on = models.DateField()
    disputed_on = models.DateField(null=True, blank=True)
    settled_on = models.DateField(null=True, blank=True)
    write_off_asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    write_off_reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["opened_on", "pk"]
        indexes = [
            models.Index(fields=["state", "opened_on"], name="shorts_by_state"),
            models.Index(fields=["opened_on", "id"], name="shorts_in_order"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(amount_cents__gte=1), name="short_credit_positive"
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_cause_display()}: {self.deposit}"

    def facts_for(self, person: int, reason: str = "") -> short_credits.ShortFacts:
        """Return what the acts on it ask; ``person`` is the key of who acts."""
        return short_credits.ShortFacts(
            cents=self.amount_cents,
            currency=self.currency,
            limit=self.location.write_off_limit_cents,
            limit_currency=self.location.currency,
            reason=reason,
            person=person,
            asked_by=self.write_off_asked_by_id,
        )


class SuspenseLine(Versioned):
    """A memo's credit that is not ours, held in suspense until it is decided."""

    life = suspense.LIFE

    location = models.ForeignKey(
        Location, models.PROTECT, related_name="suspense_lines"
    )
    supplier = models.ForeignKey(
        Supplier, models.PROTECT, related_name="suspense_lines"
    )
    memo_line = models.ForeignKey(
        MemoLine, models.PROTECT, related_name="suspense_lines"
    )
    amount_cents = models.PositiveBigIntegerField()
    currency = models.CharField(max_length=3, default=unnamed_currency)
    state = models.CharField(
        max_length=12, choices=tuple(words.SUSPENSE_STATES.items()), default="open"
    )
    opened_on = models.DateField()
    settled_on = models.DateField(null=True, blank=True)
    deposit = models.ForeignKey(
        Deposit,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="suspense_lines",
    )
    reason = models.CharField(max_length=500, blank=True)
    answered_on = models.DateField(null=True, blank=True)
    answered_by = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["opened_on", "pk"]
        indexes = [
            models.Index(fields=["state", "opened_on"], name="held_by_state"),
            models.Index(fields=["opened_on", "id"], name="held_in_order"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(amount_cents__gte=1), name="suspense_line_positive"
            )
        ]

    def __str__(self) -> str:
        return f"{self.memo_line}, held in suspense"


class BalanceAssertion(Sealed):
    """The amount a supplier's statement shows as open at the end of a day."""

    location = models.ForeignKey(Location, models.PROTECT, related_name="assertions")
    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="assertions")
    as_of = models.DateField()
    stated_cents = models.BigIntegerField()
    currency = models.CharField(max_length=3, default=unnamed_currency)
    note = models.CharField(max_length=200, blank=True)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["-as_of", "-pk"]
        indexes = [
            models.Index(
                fields=["location", "supplier", "currency", "as_of"],
                name="statements_of_book",
            )
        ]

    def __str__(self) -> str:
        return f"{self.supplier} at {day_words(self.as_of, None)}"


class ReturnCosts(Versioned):
    """The cost of a return truck from one location to one supplier, for the planner."""

    location = models.ForeignKey(Location, models.PROTECT, related_name="return_costs")
    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="return_costs")
    pickup_cents = models.PositiveBigIntegerField(default=0)
    per_crate_cents = models.PositiveBigIntegerField(default=0)
    yard_cents_per_day = models.PositiveBigIntegerField(default=0)
    trailer_crates = models.PositiveSmallIntegerField(null=True, blank=True)
    currency = models.CharField(max_length=3, default=unnamed_currency)

    class Meta:
        ordering = ["location_id", "supplier_id"]
        verbose_name_plural = "return costs"
        constraints = [
            models.UniqueConstraint(
                fields=["location", "supplier"], name="one_cost_sheet_a_supplier"
            )
        ]

    def __str__(self) -> str:
        return f"Costs of a truck to {self.supplier}"
