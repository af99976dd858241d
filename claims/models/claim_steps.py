"""What happened on a claim, and the money received for it. Append-only."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from claims.models.claims import Claim
from claims.models.remittances import Remittance
from claims.rules.claim.life import LIFE
from claims.rules.core import vocabulary as words
from inventory.models import Carrier, Evidence
from inventory.models.sealed import Sealed


class ClaimPayment(Sealed):
    """One payment of the carrier, or the reversal of one recorded by mistake.

    ``in_full`` marks a payment that bears words such as "payment in full": it counts
    for nothing until a manager decides. ``bills`` names the open freight bills that a
    credit was given against. ``remittance`` is what it is a part of. ``is_former`` is
    what a claim had received before payments were rows.
    """

    claim = models.ForeignKey(Claim, models.PROTECT, related_name="payments")
    number = models.PositiveSmallIntegerField()
    on = models.DateField()
    cents = models.PositiveBigIntegerField()
    method = models.CharField(
        max_length=10, choices=tuple(words.PAYMENT_METHODS.items())
    )
    reference = models.CharField(max_length=80, blank=True)
    bills = models.CharField(max_length=300, blank=True)
    in_full = models.BooleanField(default=False)
    reason = models.TextField(max_length=1000, blank=True)
    reverses = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="reversal"
    )
    is_former = models.BooleanField(default=False)
    remittance = models.ForeignKey(
        Remittance, models.PROTECT, null=True, blank=True, related_name="parts"
    )
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )

    class Meta:
        ordering = ["claim_id", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["claim", "number"], name="payment_number_once"
            ),
            models.CheckConstraint(
                name="payment_above_nothing", condition=Q(cents__gt=0)
            ),
            models.CheckConstraint(
                name="payment_reversed_with_reason",
                condition=Q(reverses=None) | ~Q(reason=""),
            ),
            models.CheckConstraint(
                name="credit_names_its_bills",
                condition=~Q(method="credit") | ~Q(bills=""),
            ),
        ]

    def __str__(self) -> str:
        return f"Payment {self.number} of {self.claim}"


class ClaimStep(Sealed):
    """One act on a claim: the day, the person, who wrote and for whom, and a note.

    ``before`` and ``after`` are the claim's state around it; ``act`` is a key of its
    life. ``choice`` is what was decided or answered where the act leaves a choice.
    """

    claim = models.ForeignKey(Claim, models.PROTECT, related_name="steps")
    act = models.CharField(max_length=24)
    before = models.CharField(max_length=14)
    after = models.CharField(max_length=14)
    on = models.DateField()
    choice = models.CharField(max_length=24, blank=True)
    who = models.CharField(max_length=120, blank=True)
    whom = models.CharField(max_length=120, blank=True)
    addressed_to = models.ForeignKey(
        Carrier, models.PROTECT, null=True, blank=True, related_name="+"
    )
    tracking = models.CharField(max_length=40, blank=True, default="")
    cents = models.PositiveBigIntegerField(null=True, blank=True)
    by_day = models.DateField(null=True, blank=True)
    note = models.TextField(max_length=2000, blank=True)
    payment = models.ForeignKey(
        ClaimPayment, models.PROTECT, null=True, blank=True, related_name="steps"
    )
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    files = models.ManyToManyField(
        Evidence, through="ClaimStepFile", related_name="claim_steps"
    )

    class Meta:
        ordering = ["claim_id", "pk"]

    def __str__(self) -> str:
        return f"{self.act_words}: {self.claim}"

    @property
    def act_words(self) -> str:
        """Return what the act is called, with what was chosen."""
        chosen = {
            **words.INSPECTION_ENDS,
            **words.PAYMENT_DECISIONS,
            **{f"{key}-yes": f"{text}: yes" for key, text in words.PERMISSIONS.items()},
            **{f"{key}-no": f"{text}: no" for key, text in words.PERMISSIONS.items()},
        }
        label = LIFE.acts[self.act].label
        return f"{label}: {chosen[self.choice]}" if self.choice in chosen else label


class ClaimStepFile(Sealed):
    """A file that an act on a claim came with. Append-only."""

    step = models.ForeignKey(ClaimStep, models.PROTECT, related_name="file_links")
    evidence = models.ForeignKey(Evidence, models.PROTECT, related_name="step_links")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["step", "evidence"], name="file_once_a_claim_step"
            )
        ]

    def __str__(self) -> str:
        return f"{self.evidence} of {self.step}"
