"""The supplier's own truck: a matter between buyer and seller."""

from claims.rules.regimes.records import Regime

REGIME = Regime(
    key="private",
    title="The supplier's own truck",
    authority="the supplier's terms of sale",
    records=(),
    calendar="US",
    notes=(
        (
            "No carrier deadline runs: the supplier delivered the goods itself. "
            "Notify the supplier, and enter the periods of its terms of sale."
        ),
    ),
)
