"""What a person shows beside the password when they sign in."""

from django.conf import settings
from django.db import models

from inventory.models.sealed import Sealed


class SecondFactor(Sealed):
    """The authenticator app of one person.

    The chain holds that there is one and since when, and its secret by hash; not the
    last step used, which each sign-in moves. The secret is kept as it is: it must be read
    to be compared, and a key beside it would keep it from nobody who has both.
    """

    UNSEALED = ("last_step",)
    HIDDEN = ("secret",)

    person = models.OneToOneField(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="second_factor"
    )
    secret = models.BinaryField()
    last_step = models.BigIntegerField()
    added_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"Authenticator app of {self.person}"


class RecoveryCode(Sealed):
    """One code for whoever lost their phone; it counts once.

    Its first letters are kept as they are, to find it by; the rest as a password.
    """

    HIDDEN = ("digest",)

    factor = models.ForeignKey(SecondFactor, models.PROTECT, related_name="codes")
    head = models.CharField(max_length=4)
    digest = models.CharField(max_length=128)
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["factor", "head"], name="one_code_a_head")
        ]

    def __str__(self) -> str:
        return f"Recovery code {self.head}… of {self.factor.person}"
