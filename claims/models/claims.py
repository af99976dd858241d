"""The claim, its lines, the documents it needs and its frozen claim files."""

from datetime import date

from django.conf import settings
from django.db import models
from django.db.models import Q

from claims.models.inspections import Finding
from claims.rules.claim.life import LIFE
from claims.rules.core import vocabulary as words
from claims.rules.packet.originals import ORIGINALS
from claims.rules.packet.wording import EXTENTS
from inventory.models import Carrier, Evidence, Location, ReturnLine, Shipment, Unit
from inventory.models.sealed import Sealed, SealedQuerySet
from inventory.models.versions import Versioned


class StandingClaims(models.Manager["Claim"]):
    """The claims that count: those of an import that was undone are in no list."""

    def get_queryset(self) -> "models.QuerySet[Claim]":
        """Leave out each claim that was retired."""
        rows = SealedQuerySet[Claim](self.model, using=self._db)
        return rows.filter(retired_at=None)


class Claim(Versioned):
    """One claim on one freight bill for one claimant.

    One that was ``opened_elsewhere`` came from a list with its days; what was told of
    them is in ``told_rows``. ``everything`` holds the retired ones too.

    ``settled_on`` and ``settled_cents`` are from before payments were rows, and are no
    longer written; ``ended_on`` answers for both.
    ``disallowance_disputed`` marks a letter that offers and declines at once. What the
    manager states for the claim file is from ``extent`` on; ``neutral_lines`` maps a
    document to the line it has. The opposing arguments are made only for the counsel
    named here.
    """

    life = LIFE

    location = models.ForeignKey(Location, models.PROTECT, related_name="claims")
    shipment = models.ForeignKey(Shipment, models.PROTECT, related_name="claims")
    number = models.CharField(max_length=20, unique=True)
    claimant = models.CharField(
        max_length=10, choices=tuple(words.CLAIMANTS.items()), default="us"
    )
    state = models.CharField(
        max_length=14, choices=tuple(words.CLAIM_STATES.items()), default="drafted"
    )
    basis = models.CharField(
        max_length=12, choices=tuple(words.VALUE_BASES.items()), default="invoice"
    )
    currency = models.CharField(max_length=3)
    supplements = models.PositiveSmallIntegerField(default=0)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
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
    receipt_proof = models.ForeignKey(
        Evidence, models.PROTECT, null=True, blank=True, related_name="+"
    )
    acknowledged_on = models.DateField(null=True, blank=True)
    carrier_claim_number = models.CharField(max_length=40, blank=True)
    offered_on = models.DateField(null=True, blank=True)
    offered_cents = models.PositiveBigIntegerField(null=True, blank=True)
    disallowed_on = models.DateField(null=True, blank=True)
    disallowed_reason = models.TextField(max_length=1000, blank=True)
    disallowance_disputed = models.BooleanField(default=False)
    settled_on = models.DateField(null=True, blank=True)
    settled_cents = models.PositiveBigIntegerField(null=True, blank=True)
    closed_on = models.DateField(null=True, blank=True)
    withdrawn_on = models.DateField(null=True, blank=True)
    withdrawn_reason = models.TextField(max_length=1000, blank=True)
    extent = models.CharField(
        max_length=8, choices=tuple(EXTENTS.items()), blank=True, default=""
    )
    inspect_at = models.TextField(max_length=400, blank=True, default="")
    salvage_held = models.TextField(max_length=400, blank=True, default="")
    repair_done = models.TextField(max_length=400, blank=True, default="")
    pay_to = models.TextField(max_length=400, blank=True, default="")
    signer_name = models.CharField(max_length=80, blank=True, default="")
    signer_title = models.CharField(max_length=80, blank=True, default="")
    signer_phone = models.CharField(max_length=40, blank=True, default="")
    is_only_claim = models.BooleanField(default=False)
    stood_unopened = models.BooleanField(default=False)
    stood_at = models.TextField(max_length=400, blank=True, default="")
    stood_moves = models.TextField(max_length=600, blank=True, default="")
    neutral_lines = models.JSONField(default=dict, blank=True)
    counsel_name = models.CharField(max_length=120, blank=True, default="")
    counsel_asked_on = models.DateField(null=True, blank=True)
    opened_elsewhere = models.BooleanField(default=False)
    retired_at = models.DateTimeField(null=True, blank=True)
    retired_reason = models.CharField(max_length=300, blank=True, default="")

    objects = StandingClaims()  # type: ignore[assignment, misc]
    everything = SealedQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        indexes = [
            models.Index(fields=["location", "state", "id"], name="claims_desk"),
            *(
                models.Index(
                    fields=[day],
                    condition=Q(**{f"{day}__isnull": False}),
                    name=f"claims_{day}",
                )
                for day in ("closed_on", "settled_on", "withdrawn_on")
            ),
        ]
        constraints = [
            models.CheckConstraint(
                name="claim_sent_before_received",
                condition=Q(received_on=None)
                | Q(sent_on__isnull=False, received_on__gte=models.F("sent_on")),
            ),
            models.CheckConstraint(
                name="claim_withdrawn_with_reason",
                condition=~Q(state="withdrawn") | ~Q(withdrawn_reason=""),
            ),
        ]

    def __str__(self) -> str:
        return f"Claim {self.number}"

    @property
    def ended_on(self) -> date | None:
        """Return the day on which the claim was closed, None while it is open."""
        if self.state not in LIFE.final:
            return None
        return self.closed_on or self.settled_on or self.withdrawn_on


class ClaimLine(Versioned):
    """One loss of the claim. An adjustment is stored with the calculated amount.

    The line ``holds`` its finding while the claim is in hand, was paid for, or is with
    a carrier that has not heard of its withdrawal: no other claim can take it then. A
    claim under a return's bill is about crates: each line holds its ``return_line``.
    """

    claim = models.ForeignKey(Claim, models.PROTECT, related_name="lines")
    finding = models.ForeignKey(
        Finding, models.PROTECT, null=True, blank=True, related_name="claim_lines"
    )
    unit = models.ForeignKey(
        Unit, models.PROTECT, null=True, blank=True, related_name="claim_lines"
    )
    return_line = models.ForeignKey(
        ReturnLine, models.PROTECT, null=True, blank=True, related_name="claim_lines"
    )
    supplement = models.PositiveSmallIntegerField(default=0)
    number = models.PositiveSmallIntegerField()
    label = models.CharField(max_length=160)
    outcome = models.CharField(max_length=8, choices=tuple(words.OUTCOMES.items()))
    value_cents = models.PositiveBigIntegerField(default=0)
    repair_cents = models.PositiveBigIntegerField(default=0)
    salvage_cents = models.PositiveBigIntegerField(default=0)
    mitigation_cents = models.PositiveBigIntegerField(default=0)
    recovered_cents = models.PositiveBigIntegerField(default=0)
    worked_cents = models.PositiveBigIntegerField(default=0)
    adjusted_cents = models.PositiveBigIntegerField(null=True, blank=True)
    adjusted_reason = models.TextField(max_length=1000, blank=True)
    struck_reason = models.TextField(max_length=1000, blank=True)
    holds = models.BooleanField(default=False)

    class Meta:
        ordering = ["claim_id", "supplement", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["finding"],
                condition=Q(holds=True),
                name="finding_held_by_one_claim",
            ),
            models.UniqueConstraint(
                fields=["return_line"],
                condition=Q(holds=True),
                name="crate_way_home_held_by_one_claim",
            ),
            models.UniqueConstraint(
                fields=["claim", "number"], name="line_number_once"
            ),
            models.UniqueConstraint(
                fields=["claim", "finding"],
                condition=Q(finding__isnull=False),
                name="finding_once_a_claim",
            ),
            models.CheckConstraint(
                name="adjusted_with_reason",
                condition=Q(adjusted_cents=None) | ~Q(adjusted_reason=""),
            ),
        ]

    def __str__(self) -> str:
        return f"Line {self.number} of {self.claim}"


class PaperDecision(Sealed):
    """A document the manager marked as not needed, and why. Append-only."""

    claim = models.ForeignKey(Claim, models.PROTECT, related_name="paper_decisions")
    paper = models.CharField(max_length=24)
    reason = models.TextField(max_length=500)
    decided_at = models.DateTimeField()
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"a document not needed for {self.claim}"


class PaperTask(Sealed):
    """A missing document in one person's hands, with the day to have it by. Append-only.

    The last row of a claim and document counts: who takes it over makes a new one. It
    is done when the document is on file, or is not needed any more.
    """

    claim = models.ForeignKey(Claim, models.PROTECT, related_name="paper_tasks")
    paper = models.CharField(max_length=24)
    owner = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="paper_tasks"
    )
    by_day = models.DateField()
    note = models.TextField(max_length=500, blank=True)
    given_at = models.DateTimeField()
    given_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"a missing document of {self.claim}"


class Packet(Sealed):
    """A claim file frozen when made: making it again gives the same bytes.

    ``originals`` says whether they go along, as chosen by the person who confirmed; it
    is empty on a claim file made before anyone was asked.
    """

    claim = models.ForeignKey(Claim, models.PROTECT, related_name="packets")
    packet_version = models.PositiveSmallIntegerField()
    as_of = models.DateField()
    content = models.TextField()
    tree_size = models.PositiveBigIntegerField()
    root = models.CharField(max_length=64)
    sha256 = models.CharField(max_length=64)
    size = models.PositiveBigIntegerField()
    originals = models.CharField(
        max_length=8, choices=tuple(ORIGINALS.items()), blank=True, default=""
    )
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["claim_id", "packet_version"]
        constraints = [
            models.UniqueConstraint(
                fields=["claim", "packet_version"], name="packet_version_once"
            )
        ]

    def __str__(self) -> str:
        return f"Claim file {self.packet_version} of {self.claim}"


class LighterFile(Sealed):
    """A lighter edition of a claim file, frozen when made. Append-only.

    ``content`` is what it is made of beside the claim file's own content; its bytes
    are kept as a document that went out.
    """

    packet = models.ForeignKey(Packet, models.PROTECT, related_name="lighter_files")
    limit_bytes = models.PositiveBigIntegerField()
    content = models.TextField()
    sha256 = models.CharField(max_length=64)
    size = models.PositiveBigIntegerField()
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["packet_id", "pk"]

    def __str__(self) -> str:
        return f"Lighter edition of {self.packet}"
