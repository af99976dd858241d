"""The setup sheet as bytes, and the sheet that a sign-off is about to keep."""

from dataclasses import dataclass
from datetime import datetime

from django.conf import settings

from claims.models import Setup
from claims.queries.bench.setup_sheets import Signing, sheet_of
from claims.queries.bench.setups import SetupPage
from inventory.actions.evidence.reading import ensure_readings
from inventory.evidence.store.originals import Stored
from inventory.models import Evidence, User
from inventory.rules.reckoning.moments import dock_day


@dataclass(frozen=True)
class StoredSheet:
    """A stored sheet, and the keys of the readings and decisions that it shows."""

    document: Stored
    shows: tuple[int, ...]


def drawn_sheet(
    setup: Setup, *, person: User, at: datetime, signing: Signing | None = None
) -> bytes:
    """Return the sheet of this setup as it stood at this moment, as PDF bytes."""
    from claims.documents.setup_sheet import setup_sheet_pdf  # noqa: PLC0415 - draws

    photos = Evidence.objects.filter(setup_links__reading__setup__unit=setup.unit_id)
    ensure_readings(
        person=person, at=at, photos=photos.distinct().prefetch_related("readings")
    )
    content = sheet_of(setup, at=at, signing=signing)
    made_on = dock_day(at, setup.unit.shipment.location.zone)
    return setup_sheet_pdf(content, made_on=made_on, root=settings.RENDITION_ROOT)


def shown_on(page: SetupPage) -> tuple[int, ...]:
    """Return the keys of everything on this page that its sheet would show."""
    rows = [row for read in page.lines for row in read.readings]
    decided = [one.pk for row in rows for one in row.decisions.all()]
    return (page.setup.pk, *(row.pk for row in rows), *decided)
