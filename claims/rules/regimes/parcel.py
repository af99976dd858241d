"""Parcel carriage: the carrier's own terms, and no table of ours."""

from claims.rules.regimes.records import Regime

REGIME = Regime(
    key="parcel",
    title="Parcel carriage",
    authority="the parcel carrier's terms of carriage",
    records=(),
    calendar="US",
    notes=(
        (
            "Parcel carriers set their own short periods: read their terms of carriage "
            "today and enter each period. Without them no date can be given."
        ),
    ),
)
