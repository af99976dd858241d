"""The wait after too many wrong passwords or codes, as forms ask for it."""

import math
import time
from pathlib import Path

from django.conf import settings
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from config.addresses import client_address
from config.attempts import Keys, begin_try, keys_of, was_right
from config.devices import device_of
from inventory.models import User
from inventory.security_log import told

WAITS = "wait"
"""The code of the error that asks to wait."""


class Tries:
    """The tries of one name, or ``about`` it, from where this request comes from."""

    def __init__(self, request: HttpRequest, name: str, *, about: str = "") -> None:
        self.person = User.objects.filter(username=name).first()
        self.keys: Keys = keys_of(
            f"{about}{name}",
            address=client_address(request),
            device=device_of(request).name_for(self.person),
        )

    def begin(self) -> None:
        """Count one more. Raise ValidationError where it must wait."""
        who = self.person.username if self.person else "an unknown name"
        begin_tries(self.keys, who=who)

    def were_right(self) -> None:
        """Take the last one out again."""
        tries_were_right(self.keys)


def begin_tries(keys: Keys, *, who: str) -> None:
    """Count one more under these keys. Raise ValidationError where it must wait."""
    seconds = begin_try(_path(), keys, time.time())
    if seconds > 0:
        told("sign in", who=who, outcome="refused: must wait")
        raise ValidationError(wait_words(seconds), WAITS, {"seconds": seconds})


def tries_were_right(keys: Keys) -> None:
    """Take the last one out again."""
    was_right(_path(), keys, time.time())


def _path() -> Path:
    return Path(settings.DATA_DIR, "tries.counts")


def wait_words(seconds: float) -> str:
    """Return the sentence that asks to wait so long."""
    minutes = math.ceil(seconds / 60)
    if seconds < 60:
        some = math.ceil(seconds)
        wait = "Wait a second" if some == 1 else f"Wait {some} seconds"
        return f"Too many wrong tries. {wait}, then try again."
    wait = "Wait a minute" if minutes == 1 else f"Wait {minutes} minutes"
    return (
        f"Too many wrong tries. {wait}, then try again. On a phone or computer "
        "where you signed in before you need not wait."
    )
