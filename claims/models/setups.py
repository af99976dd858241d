"""The setup of a machine: its list, the model's entry, each line as read, its end."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from claims.models.inspections import Finding
from claims.rules.bench.checklists import RESULTS
from claims.rules.bench.decisions import DECISIONS
from claims.rules.bench.setup_lines import SetupLine
from claims.rules.bench.setup_lists import from_records
from claims.rules.bench.sign_off import RELEASES
from inventory.models import Evidence, Unit
from inventory.models.sealed import Sealed


class SetupList(Sealed):
    """One version of the setup list of one kind of machine. Append-only.

    ``lines`` holds each line in full, so that a machine keeps the list it was opened
    with whatever comes later.
    """

    kind = models.CharField(max_length=20)
    number = models.PositiveSmallIntegerField()
    lines = models.JSONField()
    reason = models.CharField(max_length=300, blank=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["kind", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "number"], name="setup_list_version_once"
            )
        ]

    @property
    def rows(self) -> tuple[SetupLine, ...]:
        """Return the lines of this version."""
        return from_records(self.lines)

    def __str__(self) -> str:
        return f"Setup list {self.kind}, version {self.number}"


class ModelEntry(Sealed):
    """What the maker's manual says of one model: kind, targets, adjusters. Append-only.

    A correction is the next number; the highest counts. ``targets`` and ``adjusters``
    hold exact figures with the unit and the text as typed, and the page of the manual.
    """

    model = models.CharField(max_length=80)
    name_key = models.CharField(max_length=80)
    number = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=20)
    manual = models.CharField(max_length=120, blank=True)
    targets = models.JSONField(default=list)
    adjusters = models.JSONField(default=list)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["name_key", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["name_key", "number"], name="model_entry_number_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.model}, entry {self.number}"


class Setup(Sealed):
    """The setup of one machine by one version of a list. Append-only.

    Taking a newer version is another row; the last one counts.
    """

    unit = models.ForeignKey(Unit, models.PROTECT, related_name="setups")
    setup_list = models.ForeignKey(SetupList, models.PROTECT, related_name="setups")
    begun_at = models.DateTimeField()
    begun_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["unit", "setup_list"], name="setup_list_once_a_machine"
            )
        ]

    def __str__(self) -> str:
        return f"Setup of {self.unit}"


class SetupReading(Sealed):
    """One line of a setup as inspected at one moment. Append-only; the last counts.

    ``readings`` holds the exact figure, the unit and the text as typed, by point;
    ``judged`` and ``sentence`` what they were by the entry that stood then;
    ``places`` where on the machine it is not right.
    """

    setup = models.ForeignKey(Setup, models.PROTECT, related_name="readings")
    line = models.CharField(max_length=40)
    result = models.CharField(max_length=8, choices=tuple(RESULTS.items()))
    readings = models.JSONField(default=list, blank=True)
    entry = models.ForeignKey(
        ModelEntry, models.PROTECT, null=True, blank=True, related_name="+"
    )
    judged = models.CharField(max_length=10, blank=True)
    sentence = models.TextField(max_length=1000, blank=True)
    serial = models.CharField(max_length=60, blank=True)
    signs = models.JSONField(default=list, blank=True)
    places = models.JSONField(default=list, blank=True)
    note = models.TextField(max_length=1000, blank=True)
    taken_at = models.DateTimeField()
    taken_on = models.DateField()
    taken_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    photos = models.ManyToManyField(
        Evidence, through="SetupPhoto", related_name="setup_readings"
    )

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["setup", "line", "id"], name="setup_lines")]

    def __str__(self) -> str:
        return f"{self.line}: {self.get_result_display()}"


class SetupPhoto(Sealed):
    """A line of a setup points at a photo. Append-only."""

    reading = models.ForeignKey(
        SetupReading, models.PROTECT, related_name="photo_links"
    )
    evidence = models.ForeignKey(Evidence, models.PROTECT, related_name="setup_links")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["reading", "evidence"], name="photo_once_a_setup_line"
            )
        ]

    def __str__(self) -> str:
        return f"{self.evidence} of {self.reading}"


class LineDecision(Sealed):
    """What the technician decided on a line that is not right. Append-only.

    The reading that it decides on stays as it was; an adjustment that proves to be
    damage is a second decision on the same reading.
    """

    reading = models.ForeignKey(SetupReading, models.PROTECT, related_name="decisions")
    decision = models.CharField(max_length=12, choices=tuple(DECISIONS.items()))
    finding = models.ForeignKey(
        Finding, models.PROTECT, null=True, blank=True, related_name="setup_decisions"
    )
    reason = models.CharField(max_length=300, blank=True)
    decided_at = models.DateTimeField()
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="damage_names_its_finding",
                condition=~Q(decision="damage") | Q(finding__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return f"{self.reading}: {self.get_decision_display()}"


class SignOff(Sealed):
    """The end of a setup: the machine is released for sale. Append-only.

    ``items`` names each open item with its person and day; ``lines`` freezes every
    line as it stood.
    """

    setup = models.ForeignKey(
        Setup, models.PROTECT, null=True, blank=True, related_name="sign_offs"
    )
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="sign_offs")
    state = models.CharField(max_length=12, choices=tuple(RELEASES.items()))
    items = models.JSONField(default=list, blank=True)
    lines = models.JSONField(default=list, blank=True)
    reason = models.TextField(max_length=1000, blank=True)
    signed_at = models.DateTimeField()
    signed_on = models.DateField()
    signed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="signed_off_by_a_setup_or_a_reason",
                condition=Q(state="manager", setup=None) & ~Q(reason="")
                | ~Q(state="manager") & Q(setup__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit}: {self.get_state_display()}"
