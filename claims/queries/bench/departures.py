"""Whether a machine has left, and what stands in its way."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from claims.models import Departure, SignOff
from claims.queries.bench.releases import releases_of
from claims.rules.bench.leaving import BACK, LeavingFacts, release_words
from inventory.models import Hold, Unit


def departure_of(unit: Unit) -> Departure | None:
    """Return the record of a machine that is gone, or None for one that is here."""
    last = Departure.objects.filter(unit=unit).order_by("-pk").first()
    return last if last is not None and last.way != BACK else None


@dataclass(frozen=True)
class Leaving:
    """One machine that is to leave: its last release, and its hold."""

    release: str
    signed: SignOff | None
    hold_reason: str

    @property
    def words(self) -> str:
        """Return by what it is released, in words; "" where it is not."""
        return release_words(self.release)

    @property
    def released_on(self) -> date | None:
        """Return the day of its last release; None before sign-off existed."""
        return self.signed.signed_on if self.signed else None

    def facts(
        self, *, way: str, left_on: date, checks: Mapping[str, str]
    ) -> LeavingFacts:
        """Return what the rule asks."""
        return LeavingFacts(
            way=way,
            left_on=left_on,
            release=self.release,
            released_on=self.released_on,
            hold_reason=self.hold_reason,
            checks=checks,
        )


def leaving_of(unit: Unit) -> Leaving:
    """Return what stands for and against this machine's leaving."""
    hold = Hold.objects.filter(unit=unit, released_at=None).first()
    return Leaving(
        release=releases_of([unit])[unit.pk],
        signed=unit.sign_offs.select_related("signed_by").order_by("-pk").first(),
        hold_reason=hold.reason if hold else "",
    )
