"""Forms for people, their roles at each location, and locations."""

from collections.abc import Iterable
from typing import Any, ClassVar

from crispy_forms.layout import Fieldset
from django import forms
from django.core.exceptions import ValidationError

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.text_fields import LineField, TextField
from inventory.models import Location
from inventory.rules.core.roles import ROLES
from inventory.rules.core.text import dialed
from inventory.rules.reckoning.calendars import CalendarError, calendar_named
from inventory.rules.reckoning.measures import LENGTHS
from inventory.rules.reckoning.money import MoneyError, parse_amount
from inventory.rules.reckoning.places import read_position
from inventory.rules.reckoning.zones import zone_choices

_ZONE = "Choose a time zone from the list, such as Central time."
NO_ROLE = "Without a role a person can sign in, but sees no desk."


class _Roles(HouseForm):
    """Adds one group of role boxes for each location."""

    def __init__(self, *args: Any, places: list[Location], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.places = places
        for place in places:
            self.fields[f"roles_{place.pk}"] = forms.MultipleChoiceField(
                label=place.name,
                choices=tuple(ROLES.items()),
                required=False,
                widget=forms.CheckboxSelectMultiple,
                help_text=NO_ROLE if place == places[0] else "",
                error_messages={"invalid_choice": "Choose from those listed."},
            )

    def role_rows(self) -> Iterable[Any]:
        """Return the fieldset of roles."""
        names = [f"roles_{place.pk}" for place in self.places]
        return [Fieldset("Roles", *names)] if names else []

    def assigned(self) -> set[tuple[int, str]]:
        """Return pairs of a location's key and a role."""
        return {
            (place.pk, role)
            for place in self.places
            for role in self.cleaned_data[f"roles_{place.pk}"]
        }


class ZoneField(PickField):
    """A time zone from the list, those of the United States first."""

    def __init__(self) -> None:
        super().__init__(
            label="Time zone",
            words={},
            missing=_ZONE,
            error_messages={"invalid_choice": _ZONE},
        )
        self.choices = lambda: [("", "Choose one"), *zone_choices().items()]


class PhoneField(LineField):
    """A number that a phone can dial."""

    def __init__(self) -> None:
        super().__init__(
            label="Phone",
            most=40,
            attrs={"inputmode": "tel"},
            help_text="A manager's number is shown to the clerk before a crate is "
            "refused.",
        )

    def validate(self, value: str) -> None:
        """Refuse what no phone can dial."""
        super().validate(value)
        if value and not dialed(value):
            raise ValidationError("Enter a phone number, such as 402 555 0147.")


class FirstPasswordField(forms.CharField):
    """The password that someone starts with."""

    def __init__(self) -> None:
        super().__init__(
            label="First password",
            strip=False,
            max_length=128,
            widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
            help_text="15 characters or more. They can change it after signing in.",
            error_messages={
                "required": "Enter a first password.",
                "max_length": "Use at most 128 characters.",
            },
        )


class MailboxField(forms.EmailField):
    """A mailbox that people read; answers to our mails go there."""

    default_error_messages: ClassVar[dict[str, Any]] = {
        "invalid": "Enter one address, such as claims@dealer.example."
    }

    def __init__(self, help_text: str) -> None:
        super().__init__(
            label="Email", required=False, max_length=254, help_text=help_text
        )


_ANSWERS_TO_PERSON = "Answers to what this person mails from here go to this mailbox."
_ANSWERS_TO_PLACE = (
    "Answers to mails from here go to this mailbox where the sender has no email."
)


class PersonForm(_Roles):
    """Add a person."""

    act = "Add the person"
    creates = True

    full_name = LineField(label="Full name", most=80, missing="Enter their name.")
    phone = PhoneField()
    email = MailboxField(_ANSWERS_TO_PERSON)
    username = forms.RegexField(
        label="Sign-in name",
        regex=r"\A[a-z0-9._-]{2,40}\Z",
        help_text="Small letters, digits, dot, dash or underscore.",
        error_messages={
            "required": "Enter a sign-in name.",
            "invalid": "Use 2 to 40 small letters, digits, dots, dashes or underscores.",
        },
    )
    password = FirstPasswordField()
    is_administrator = forms.BooleanField(
        label="Administrator: manages people and locations", required=False
    )

    def body(self) -> dict[str, list[str]]:
        """Return what was sent, without the password: no hash of it is stored twice."""
        return {k: v for k, v in super().body().items() if k != "password"}

    def rows(self) -> Iterable[Any]:
        """Return the person's own fields, then the roles."""
        own = ["full_name", "phone", "email", "username", "password"]
        return [*own, "is_administrator", *self.role_rows()]


class StartPersonForm(StaleForm):
    """Give a first password to someone who came from a list."""

    act = "Give the first password"

    password = FirstPasswordField()


class PasswordLinkForm(HouseForm):
    """Make a one-time link for a forgotten password; there is nothing to type."""

    act = "Make the link"


class RemoveSecondStepForm(HouseForm):
    """Turn someone's two-step sign-in off; there is nothing to type."""

    act = "Turn it off"


class EditPersonForm(_Roles, StaleForm):
    """Change a person."""

    act = "Save the changes"

    full_name = LineField(label="Full name", most=80, missing="Enter their name.")
    phone = PhoneField()
    email = MailboxField(_ANSWERS_TO_PERSON)
    is_active = forms.BooleanField(label="Can sign in", required=False)
    is_administrator = forms.BooleanField(
        label="Administrator: manages people and locations", required=False
    )

    def rows(self) -> Iterable[Any]:
        """Return the version, the person's own fields, then the roles."""
        own = ["version", "full_name", "phone", "email", "is_active"]
        return [*own, "is_administrator", *self.role_rows()]


class LocationForm(HouseForm):
    """Add a location."""

    act = "Add the location"
    creates = True

    name = LineField(label="Name", most=80, missing="Enter the location's name.")
    code = forms.RegexField(
        label="Short code",
        regex=r"\A[A-Z]{2,6}\Z",
        help_text="Claim numbers start with it. Two to six capital letters.",
        error_messages={
            "required": "Enter a code of two to six capital letters.",
            "invalid": "Enter a code of two to six capital letters.",
        },
    )
    address = TextField(label="Address", most=400, missing="Enter the address.")
    email = MailboxField(_ANSWERS_TO_PLACE)
    time_zone = ZoneField()
    country = forms.RegexField(
        label="Country",
        regex=r"\A[A-Z]{2}\Z",
        help_text="Sets the holiday calendar, such as US or CA.",
        error_messages={
            "required": "Enter two capital letters, such as US.",
            "invalid": "Enter two capital letters, such as US.",
        },
    )
    subdivision = forms.RegexField(
        label="State or province",
        regex=r"\A[A-Z0-9]{1,6}\Z",
        required=False,
        help_text="Such as WI or ON. Leave it empty to use national holidays only.",
        error_messages={"invalid": "Enter its short code in capital letters."},
    )
    latitude = forms.RegexField(
        label="Latitude",
        regex=r"\A-?[0-9]{1,2}(\.[0-9]{1,6})?\Z",
        required=False,
        help_text="Such as 41.66; minus for south. Photos taken far from here are then "
        "flagged.",
        error_messages={"invalid": "Enter degrees from -90 to 90, such as 41.66."},
    )
    longitude = forms.RegexField(
        label="Longitude",
        regex=r"\A-?[0-9]{1,3}(\.[0-9]{1,6})?\Z",
        required=False,
        help_text="Such as -91.53; minus for west.",
        error_messages={"invalid": "Enter degrees from -180 to 180, such as -91.53."},
    )
    paper = PickField(
        label="Paper",
        words={"letter": "Letter", "a4": "A4"},
        missing="Choose the paper.",
    )
    length_unit = PickField(
        label="Lengths on documents", words=LENGTHS, missing="Choose one."
    )
    currency = forms.RegexField(
        label="Currency",
        regex=r"\A[A-Z]{3}\Z",
        error_messages={
            "required": "Enter three capital letters, such as USD.",
            "invalid": "Enter three capital letters, such as USD.",
        },
    )
    shop_rate = LineField(
        label="Shop rate per hour",
        most=20,
        missing="Enter the rate, such as 118.00.",
    )
    shop_rate_source = LineField(
        label="Where the rate is documented",
        most=200,
        missing="Enter where a carrier can check this rate, such as the posted rate "
        "sheet.",
    )

    def clean_shop_rate(self) -> int:
        """Return the rate in cents."""
        try:
            return parse_amount(
                self.cleaned_data["shop_rate"], self.data.get("currency", "")
            )
        except MoneyError as error:
            raise ValidationError(str(error)) from error

    def clean(self) -> dict[str, Any]:
        """Refuse a country or state without a holiday calendar, and half a position."""
        cleaned: dict[str, Any] = super().clean() or {}
        self._check_position(cleaned)
        if "country" in cleaned and "subdivision" in cleaned:
            parts = [cleaned["country"], cleaned["subdivision"]]
            try:
                calendar_named("-".join(part for part in parts if part))
            except CalendarError as error:
                self.add_error("country", str(error))
        return cleaned

    def _check_position(self, cleaned: dict[str, Any]) -> None:
        """Refuse a latitude without a longitude, and a position out of range."""
        north, east = cleaned.get("latitude"), cleaned.get("longitude")
        if north is None or east is None or (not north and not east):
            return
        if not north or not east:
            name = "longitude" if north else "latitude"
            self.add_error(name, "Fill in both, or leave both empty.")
        elif read_position(north, east) is None:
            self.add_error(
                "latitude",
                "No distance can be measured from there. Check both numbers.",
            )

    def own_fields(self) -> dict[str, Any]:
        """Return the values of the row itself."""
        values = {k: v for k, v in self.cleaned_data.items() if k != "version"}
        values["shop_rate_cents"] = values.pop("shop_rate")
        return values


class EditLocationForm(LocationForm, StaleForm):
    """Change a location."""

    act = "Save the changes"
    creates = False
