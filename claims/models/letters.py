"""Letters about a claim: confirmed, then frozen; sent, and proven to be received."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from claims.models.claims import Claim
from claims.rules.core import vocabulary as words
from claims.rules.letters import claim_letter_life as letter_life
from inventory.models import Carrier, Evidence
from inventory.models.versions import Versioned


class ClaimLetter(Versioned):
    """A letter about a claim, as a person confirmed it.

    What was confirmed never changes: a trigger refuses it. Only what became of the
    letter is written later: sent, received, or dropped before it was sent. ``content``
    is the letter as printed, frozen; ``text`` the same words as a mail; ``choices`` what
    the person chose, frozen. ``digest`` is the SHA-256 of what the person saw.
    """

    life = letter_life.LIFE
    FIXED = (
        *("claim", "kind", "number", "addressee", "subject", "text", "content"),
        *("choices", "dated_on", "digest", "confirmed_at", "confirmed_by"),
        "addressed_to",
    )

    claim = models.ForeignKey(Claim, models.PROTECT, related_name="letters")
    kind = models.CharField(max_length=32)
    number = models.PositiveSmallIntegerField()
    addressee = models.CharField(max_length=200)
    subject = models.CharField(max_length=300)
    text = models.TextField()
    content = models.TextField()
    choices = models.TextField(default="{}")
    dated_on = models.DateField()
    digest = models.CharField(max_length=64)
    confirmed_at = models.DateTimeField()
    confirmed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    sent_on = models.DateField(null=True, blank=True)
    addressed_to = models.ForeignKey(
        Carrier, models.PROTECT, null=True, blank=True, related_name="+"
    )
    sent_how = models.CharField(
        max_length=8, choices=tuple(words.SENT_HOW.items()), blank=True
    )
    tracking = models.CharField(max_length=40, blank=True, default="")
    received_on = models.DateField(null=True, blank=True)
    receipt_words = models.CharField(max_length=200, blank=True)
    proof = models.ForeignKey(
        Evidence, models.PROTECT, null=True, blank=True, related_name="+"
    )
    dropped_on = models.DateField(null=True, blank=True)
    dropped_reason = models.TextField(max_length=1000, blank=True)

    class Meta:
        ordering = ["claim_id", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["claim", "number"], name="letter_number_once"
            ),
            models.CheckConstraint(
                name="letter_sent_before_received",
                condition=Q(received_on=None)
                | Q(sent_on__isnull=False, received_on__gte=models.F("sent_on")),
            ),
            models.CheckConstraint(
                name="letter_dropped_with_reason",
                condition=Q(dropped_on=None, dropped_reason="")
                | (Q(dropped_on__isnull=False, sent_on=None) & ~Q(dropped_reason="")),
            ),
        ]

    @property
    def state(self) -> str:
        """Return the state of the letter, read from its days."""
        return letter_life.state_of(self.sent_on, self.received_on, self.dropped_reason)

    @property
    def kind_words(self) -> str:
        """Return what people call this kind of letter."""
        from claims.rules.letters.claim_letter_kinds import KINDS  # noqa: PLC0415

        kind = KINDS.get(self.kind)
        return kind.name if kind else self.kind

    @property
    def is_theirs(self) -> bool:
        """Return whether it is a paper that the supplier signs and sends back to us."""
        from claims.rules.letters.claim_letter_kinds import KINDS  # noqa: PLC0415

        kind = KINDS.get(self.kind)
        return kind is not None and kind.is_theirs

    def __str__(self) -> str:
        return f"Letter {self.number} of {self.claim}"
