"""Limits of liability: the figures of each regime, as records.

A limit is a ceiling, never a ratio (GAO B-169285, text seen). Pages and claim files
print the authority and how sure we are of it.
"""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

TEXT_SEEN = "text seen"
SECONDARY = "secondary"
FROM_MEMORY = "from memory"


@dataclass(frozen=True)
class LimitRecord:
    """One regime's limit, for carriage from one day on.

    ``measure`` is what it goes by: "article" (what was agreed, on the complete
    article), "affected-kg" (gross weight lost or damaged), "shipment-kg" (the whole
    shipment), "package", or "package-or-kg" (the higher). ``figure`` is in
    ``unit`` ("SDR" or a currency), None where only an agreement sets one;
    ``kg_figure`` is the second figure of "package-or-kg". A declared value replaces
    the figure, or only where it is higher. ``charges_outside`` means that carriage
    charges are refunded on top.
    """

    key: str
    regime: str
    measure: str
    figure: Decimal | None
    unit: str
    words: str
    authority: str
    confidence: str
    kg_figure: Decimal | None = None
    declared_must_be_higher: bool = False
    charges_outside: bool = False
    applies_from: dt.date | None = None


def _agreed(regime: str, words: str, authority: str, confidence: str) -> LimitRecord:
    return LimitRecord(
        f"{regime}/limit", regime, "article", None, "", words, authority, confidence
    )


_MOTOR = (
    "Actual loss, unless a lower value was declared or agreed in writing that is "
    "reasonable. The carrier must show it gave the shipper a choice."
)


def _air(day: str, figure: int, confidence: str) -> LimitRecord:
    return LimitRecord(
        f"montreal/limit-{day}",
        "montreal",
        "affected-kg",
        Decimal(figure),
        "SDR",
        f"{figure} SDR a kilogram of the packages concerned, carriage from {day}",
        "Montreal Convention 1999, Art 22(3) and (4), revised under Art 24",
        confidence,
        declared_must_be_higher=True,
        applies_from=dt.date.fromisoformat(day),
    )


LIMITS = (
    _agreed("us-motor", _MOTOR, "49 U.S.C. 14706(a)(1), (c)(1)(A)", SECONDARY),
    _agreed("us-motor-older", _MOTOR, "49 U.S.C. 14706(a)(1), (c)(1)(A)", SECONDARY),
    _agreed(
        "us-rail",
        "Actual loss, unless a lower value was declared or agreed in writing.",
        "49 U.S.C. 11706(a), (c)",
        FROM_MEMORY,
    ),
    _agreed(
        "us-intrastate",
        "Damages may be limited to a stated value where the rate depends on it and a "
        "higher one could have been declared.",
        "UCC 7-309",
        TEXT_SEEN,
    ),
    LimitRecord(
        "canada-road/limit",
        "canada-road",
        "shipment-kg",
        Decimal("4.41"),
        "CAD",
        "CAD 4.41 a kilogram of the total weight of the shipment",
        "Provincial uniform conditions of carriage (Ontario O. Reg. 643/05 and others)",
        TEXT_SEEN,
        declared_must_be_higher=True,
    ),
    LimitRecord(
        "cmr/limit",
        "cmr",
        "affected-kg",
        Decimal("8.33"),
        "SDR",
        "8.33 SDR a kilogram of gross weight short or damaged",
        "CMR Art 23(3), (7) as amended 1978; damage by Art 25(2)",
        TEXT_SEEN,
        declared_must_be_higher=True,
        charges_outside=True,
    ),
    LimitRecord(
        "cogsa/limit",
        "cogsa",
        "package",
        Decimal(500),
        "USD",
        "USD 500 a package, or a customary freight unit where there is no package",
        "COGSA sec. 4(5), 46 U.S.C. 30701 note",
        SECONDARY,
        declared_must_be_higher=True,
    ),
    LimitRecord(
        "hague-visby/limit",
        "hague-visby",
        "package-or-kg",
        Decimal("666.67"),
        "SDR",
        "666.67 SDR a package or 2 SDR a kilogram lost or damaged, the higher",
        "Hague-Visby Rules Art IV r.5(a), SDR Protocol 1979",
        FROM_MEMORY,
        kg_figure=Decimal(2),
        declared_must_be_higher=True,
    ),
    _air("2003-11-04", 17, FROM_MEMORY),
    _air("2009-12-30", 19, SECONDARY),
    _air("2019-12-28", 22, SECONDARY),
    _air("2024-12-28", 26, SECONDARY),
    LimitRecord(
        "cim/limit",
        "cim",
        "affected-kg",
        Decimal(17),
        "SDR",
        "17 SDR a kilogram of gross weight missing or damaged",
        "CIM (COTIF 1999 App. B) Art 30(2), 32",
        FROM_MEMORY,
        declared_must_be_higher=True,
        charges_outside=True,
    ),
    _agreed(
        "parcel",
        "No limit of its own: enter the carrier's terms.",
        "The carrier's own terms",
        FROM_MEMORY,
    ),
    _agreed(
        "private",
        "No carrier's limit: only the supplier's own terms.",
        "The supplier's own terms",
        FROM_MEMORY,
    ),
)
"""Every limit, the earlier date first inside a regime."""


def limit_records(regime: str) -> tuple[LimitRecord, ...]:
    """Return the regime's limits, the earliest first; empty for an unknown one."""
    return tuple(record for record in LIMITS if record.regime == regime)
