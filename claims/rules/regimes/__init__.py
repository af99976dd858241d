"""Legal periods, one module per regime: records only, each with its paragraph."""

from collections.abc import Mapping
from types import MappingProxyType

from claims.rules.regimes import (
    canada_road,
    cim,
    cmr,
    cogsa,
    hague_visby,
    montreal,
    parcel,
    private,
    us_intrastate,
    us_motor,
    us_motor_older,
    us_rail,
)
from claims.rules.regimes.records import Regime

# Stored with every deadline; raise it whenever a record or its reading changes.
VERSION = "2026.1"

_IN_ORDER = (
    us_motor.REGIME,
    us_motor_older.REGIME,
    us_rail.REGIME,
    us_intrastate.REGIME,
    canada_road.REGIME,
    cmr.REGIME,
    cogsa.REGIME,
    hague_visby.REGIME,
    montreal.REGIME,
    cim.REGIME,
    parcel.REGIME,
    private.REGIME,
)

REGIMES: Mapping[str, Regime] = MappingProxyType({each.key: each for each in _IN_ORDER})
