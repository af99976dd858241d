"""Time zones and states as people choose them from a list.

The names of the zones are those of the time zone database; the words beside them are
common practice, no source. States and provinces carry their ISO 3166-2 codes.
"""

from collections.abc import Mapping
from functools import cache
from zoneinfo import available_timezones

UNITED_STATES = {
    "America/New_York": "Eastern time",
    "America/Chicago": "Central time",
    "America/Denver": "Mountain time",
    "America/Phoenix": "Mountain time, Arizona (no daylight saving)",
    "America/Los_Angeles": "Pacific time",
    "America/Anchorage": "Alaska time",
    "Pacific/Honolulu": "Hawaii time",
}
CANADA = {
    "America/St_Johns": "Newfoundland time",
    "America/Halifax": "Atlantic time",
    "America/Toronto": "Eastern time, Canada",
    "America/Winnipeg": "Central time, Canada",
    "America/Regina": "Central time, Saskatchewan (no daylight saving)",
    "America/Edmonton": "Mountain time, Canada",
    "America/Vancouver": "Pacific time, Canada",
}
_NAMED = UNITED_STATES | CANADA

STATES = dict(
    line.split(" ", 1)
    for line in """\
AL Alabama
AK Alaska
AZ Arizona
AR Arkansas
CA California
CO Colorado
CT Connecticut
DE Delaware
DC District of Columbia
FL Florida
GA Georgia
HI Hawaii
ID Idaho
IL Illinois
IN Indiana
IA Iowa
KS Kansas
KY Kentucky
LA Louisiana
ME Maine
MD Maryland
MA Massachusetts
MI Michigan
MN Minnesota
MS Mississippi
MO Missouri
MT Montana
NE Nebraska
NV Nevada
NH New Hampshire
NJ New Jersey
NM New Mexico
NY New York
NC North Carolina
ND North Dakota
OH Ohio
OK Oklahoma
OR Oregon
PA Pennsylvania
RI Rhode Island
SC South Carolina
SD South Dakota
TN Tennessee
TX Texas
UT Utah
VT Vermont
VA Virginia
WA Washington
WV West Virginia
WI Wisconsin
WY Wyoming""".splitlines()
)
PROVINCES = {
    "AB": "Alberta",
    "BC": "British Columbia",
    "MB": "Manitoba",
    "NB": "New Brunswick",
    "NL": "Newfoundland and Labrador",
    "NS": "Nova Scotia",
    "NT": "Northwest Territories",
    "NU": "Nunavut",
    "ON": "Ontario",
    "PE": "Prince Edward Island",
    "QC": "Quebec",
    "SK": "Saskatchewan",
    "YT": "Yukon",
}

REGIONS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "United States": tuple((f"US-{key}", word) for key, word in STATES.items()),
    "Canada": tuple((f"CA-{key}", word) for key, word in PROVINCES.items()),
}
"""States and provinces by country, each with the key of its holiday calendar."""


def zone_words(name: str) -> str:
    """Return the zone as people call it, or its name with its city."""
    return _NAMED.get(name) or name.replace("_", " ")


_NOWHERE = {"Factory", "localtime"}
"""Names of the database that are no place: a clock not set yet, and this machine's own."""


@cache
def zone_choices() -> dict[str, tuple[tuple[str, str], ...]]:
    """Return every zone, those of the United States first, by group."""
    others = sorted(available_timezones() - _NAMED.keys() - _NOWHERE)
    return {
        "United States": tuple(UNITED_STATES.items()),
        "Canada": tuple(CANADA.items()),
        "Elsewhere": tuple((name, zone_words(name)) for name in others),
    }
