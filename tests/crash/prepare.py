"""One location, clerk and truck by the app's own acts, so that ``verify`` knows them."""

from datetime import UTC, datetime

import django

django.setup()

from inventory.actions.people.people import add_location, add_person  # noqa: E402
from inventory.actions.receiving.deliveries import log_delivery  # noqa: E402

AT = datetime(2026, 3, 10, 15, 30, tzinfo=UTC)


def main():
    """Write them in an empty database."""
    location = add_location(
        person=None,
        at=AT,
        code="RIV",
        name="Riverside",
        address="1200 Levee Road\nRiverside, IA 52327",
        time_zone="America/Chicago",
        country="US",
        subdivision="IA",
        shop_rate_cents=12_500,
        shop_rate_source="Rate sheet of 2026, shop wall",
    )
    clerk = add_person(
        person=None,
        at=AT,
        username="rosa",
        full_name="Rosa Field",
        password="kraft-paper-stencil-9",
        is_administrator=False,
        assigned={(location.pk, "clerk")},
    )
    log_delivery(
        person=clerk,
        at=AT,
        location=location,
        arrived_at=AT,
        carrier_name="Plainsway Freight",
        driver_name="Lou Parr",
        unloaded_by="us",
    )


if __name__ == "__main__":
    main()
