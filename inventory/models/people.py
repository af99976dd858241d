"""Locations, the people who work at them, and the roles they hold there."""

from zoneinfo import ZoneInfo, available_timezones

from django.contrib.auth.hashers import verify_password
from django.contrib.auth.models import AbstractUser, UserManager
from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q
from django.utils.crypto import salted_hmac

from inventory.models.sealed import Sealed, SealedQuerySet
from inventory.models.versions import Versioned
from inventory.models.withdrawn import STANDING, Withdrawable
from inventory.rules.core.roles import ROLES
from inventory.rules.core.text import dialed, normal_password
from inventory.rules.reckoning.measures import LENGTHS
from inventory.rules.reckoning.zones import zone_words


def check_time_zone(name: str) -> None:
    """Raise ValidationError for a name that the time zone database does not have."""
    if name not in available_timezones():
        raise ValidationError(
            "Choose a time zone from the list, such as America/Chicago."
        )


def unnamed_currency() -> str:
    """Raise LookupError: a row of amounts was made without its currency.

    Only a location has a usual one; it is the default of no other column.
    """
    raise LookupError("Name the currency of the row's amounts.")


class Location(Versioned):
    """One dock with its own calendar, clock and paper."""

    code = models.CharField(
        max_length=6,
        unique=True,
        validators=[RegexValidator(r"^[A-Z]{2,6}$", "Use two to six capital letters.")],
    )
    name = models.CharField(max_length=80, unique=True)
    address = models.TextField(max_length=400)
    time_zone = models.CharField(max_length=64, validators=[check_time_zone])
    country = models.CharField(
        max_length=2, validators=[RegexValidator(r"^[A-Z]{2}$", "Two capital letters.")]
    )
    subdivision = models.CharField(max_length=6, blank=True)
    paper = models.CharField(
        max_length=6, choices=(("letter", "Letter"), ("a4", "A4")), default="letter"
    )
    length_unit = models.CharField(
        max_length=2, choices=tuple(LENGTHS.items()), default="ft"
    )
    currency = models.CharField(
        max_length=3,
        default="USD",
        validators=[RegexValidator(r"^[A-Z]{3}$", "Three capital letters.")],
    )
    shop_rate_cents = models.PositiveBigIntegerField(
        default=0, validators=[MinValueValidator(0)]
    )
    shop_rate_source = models.CharField(max_length=200, blank=True)
    write_off_limit_cents = models.PositiveBigIntegerField(default=10_000)
    latitude = models.CharField(max_length=12, blank=True)
    longitude = models.CharField(max_length=12, blank=True)
    email = models.EmailField(blank=True, default="")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> ZoneInfo:
        """The time zone of its clock."""
        return ZoneInfo(self.time_zone)

    @property
    def zone_words(self) -> str:
        """Return its time zone as people call it."""
        return zone_words(self.time_zone)

    def shop_rate_in(self, currency: str) -> int:
        """Return the shop rate in cents, 0 where it is not in this currency."""
        return self.shop_rate_cents if currency == self.currency else 0

    @property
    def calendar(self) -> str:
        """Return the holiday calendar's key: country, or country and subdivision."""
        if self.subdivision:
            return f"{self.country}-{self.subdivision}"
        return self.country


class StandingPeople(UserManager["User"]):
    """The people of the house; those of an import that was undone are in no list."""

    use_in_migrations = False

    def get_queryset(self) -> "models.QuerySet[User]":
        """Leave out each person who was withdrawn."""
        return SealedQuerySet[User](self.model, using=self._db).filter(STANDING)


class User(Withdrawable, AbstractUser):
    """A person. Rights come from assignments, never from groups."""

    full_name = models.CharField(max_length=80)
    is_administrator = models.BooleanField(default=False)
    phone = models.CharField(max_length=40, blank=True)

    UNSEALED = ("last_login",)
    HIDDEN = ("password",)

    is_stored_old = False
    """Set where a right password was seen that should be stored in a newer form."""

    # The manager that makes people; the other standing rows' own one cannot.
    objects = StandingPeople()  # type: ignore[assignment, misc]

    class Meta:
        ordering = ["full_name", "pk"]

    def __str__(self) -> str:
        return self.full_name or self.username

    @property
    def dialed(self) -> str:
        """Return the address of the phone's link, or nothing."""
        return dialed(self.phone)

    def get_full_name(self) -> str:
        """Return the name people are called by."""
        return str(self)

    def set_password(self, raw_password: str | None) -> None:
        """Hash the password in its normal form: two keyboards may write one letter."""
        whole = None if raw_password is None else normal_password(raw_password)
        super().set_password(whole)

    def check_password(self, raw_password: str | None) -> bool:
        """Compare in the same normal form. Write nothing: to store it anew is an act."""
        whole = None if raw_password is None else normal_password(raw_password)
        is_right, is_old = verify_password(whole, self.password)
        self.is_stored_old = is_right and is_old
        return is_right

    def _get_session_auth_hash(self, secret: str | None = None) -> str:
        """Tie sessions to the version too: a changed or disabled person is signed out."""
        return salted_hmac(
            "inventory.people.session",
            f"{self.password}|{self.version}",
            secret=secret,
            algorithm="sha256",
        ).hexdigest()


class Assignment(Sealed):
    """One role of one person at one location."""

    person = models.ForeignKey(User, models.PROTECT, related_name="assignments")
    location = models.ForeignKey(Location, models.PROTECT, related_name="assignments")
    role = models.CharField(max_length=12, choices=tuple(ROLES.items()))

    class Meta:
        ordering = ["location__name", "role"]
        constraints = [
            models.UniqueConstraint(
                fields=["person", "location", "role"], name="one_role_once"
            ),
            models.CheckConstraint(
                condition=Q(role__in=list(ROLES)), name="assignment_role_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} · {self.location} · {self.get_role_display()}"
