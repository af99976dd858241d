"""What a new password must not be. No rule asks for figures, capitals or signs."""

from django.conf import settings
from django.contrib.auth.password_validation import CommonPasswordValidator
from django.core.exceptions import ValidationError
from django.forms import Form

from inventory.models import Location, User
from inventory.rules.core.passwords import weakness_of, words_of_place

LONGEST_PASSWORD = 128
HINT = (
    "15 characters or more. Several words that do not belong together are best. Not a "
    "common password, nor your name or the company's."
)
ADVICE = "Take several words that do not belong together."


class LongestPassword:
    """Refuses a new password that is too long."""

    def validate(self, password: str, user: object = None) -> None:
        """Raise ValidationError for one that is too long."""
        del user
        check_length(password)

    def get_help_text(self) -> str:
        """Return the hint on the page."""
        return f"Use at most {LONGEST_PASSWORD} characters."


class Guessed(CommonPasswordValidator):
    """Refuses what is guessed first; the list of common ones ships with Django."""

    def validate(self, password: str, user: object = None) -> None:
        """Raise ValidationError with the reason."""
        if len(password) > LONGEST_PASSWORD:
            return  # said by another; repeats of a megabyte are not looked for
        texts = [*settings.ALLOWED_HOSTS, settings.DEFAULT_FROM_EMAIL]
        texts += Location.objects.values_list("name", flat=True)
        if isinstance(user, User):
            texts += [user.username, user.full_name, user.email]
        weakness = weakness_of(
            password, listed=self.passwords, place=words_of_place(texts)
        )
        if weakness:
            raise ValidationError(f"This is too easy to guess. {weakness} {ADVICE}")

    def get_help_text(self) -> str:
        """Return the hint on the page."""
        return f"Not a common password, nor your name or the company's. {ADVICE}"


class Former:
    """Refuses the password that the person has now."""

    def validate(self, password: str, user: object = None) -> None:
        """Raise ValidationError for the same one again."""
        if isinstance(user, User) and user.pk and user.check_password(password):
            raise ValidationError("This is the former password. Choose another.")

    def get_help_text(self) -> str:
        """Return the hint on the page."""
        return "Not the former one."


def say_hint(form: Form) -> None:
    """Say on a form for a new password, typed twice, what is asked of it."""
    form.fields["new_password1"].help_text = HINT
    form.fields["new_password2"].help_text = ""
    form.fields["new_password2"].label = "New password again"


def check_length(password: str) -> None:
    """Raise ValidationError for one that is too long."""
    if len(password) > LONGEST_PASSWORD:
        raise ValidationError(f"Use at most {LONGEST_PASSWORD} characters.")
