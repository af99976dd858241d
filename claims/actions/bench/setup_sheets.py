"""The setup sheet as bytes, and the sheet that a sign-off is about to keep."""

from dataclasses import dataclass
from datetime import date, datetime

from django.conf import settings

from claims.models import Setup
from claims.queries.bench.setup_sheets import Signing, sheet_of
from claims.queries.bench.setups import SetupPage
from claims.rules.bench.setup_sheet import SetupSheet
from inventory.actions.evidence.reading import ensure_readings
from inventory.evidence.store.originals import Stored
from inventory.models import Evidence, User
from inventory.rules.reckoning.moments import dock_day


@dataclass(frozen=True)
class StoredSheet:
    """A stored sheet and what it says.

    ``shows`` are the keys of its readings and decisions; ``before`` is the number of the
    last event when it was read.
    """

    document: Stored
    content: SetupSheet
    signing: Signing
    shows: tuple[int, ...]
    before: int


def read_sheet(
    setup: Setup, *, person: User, at: datetime, signing: Signing | None = None
) -> SetupSheet:
    """Return what the sheet of this setup says as it stood at this moment.

    Photos that nobody read yet are read first.
    """
    photos = Evidence.objects.filter(setup_links__reading__setup__unit=setup.unit_id)
    ensure_readings(
        person=person, at=at, photos=photos.distinct().prefetch_related("readings")
    )
    return sheet_of(setup, at=at, signing=signing)


def sheet_bytes(content: SetupSheet, *, made_on: date) -> bytes:
    """Return the sheet as PDF bytes."""
    from claims.documents.setup_sheet import setup_sheet_pdf  # noqa: PLC0415 - draws

    return setup_sheet_pdf(content, made_on=made_on, root=settings.RENDITION_ROOT)


def drawn_sheet(
    setup: Setup, *, person: User, at: datetime, signing: Signing | None = None
) -> bytes:
    """Return the sheet of this setup as it stood at this moment, as PDF bytes."""
    content = read_sheet(setup, person=person, at=at, signing=signing)
    return sheet_bytes(content, made_on=dock_day(at, setup.unit.shipment.location.zone))


def shown_on(page: SetupPage) -> tuple[int, ...]:
    """Return the keys of everything on this page that its sheet would show."""
    rows = [row for read in page.lines for row in read.readings]
    decided = [one.pk for row in rows for one in row.decisions.all()]
    return (page.setup.pk, *(row.pk for row in rows), *decided)
