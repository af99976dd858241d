"""The path from each row of claims to its location, for the gates of inventory."""

from django.db.models import Model

from claims.models import (
    BookedMinutes,
    Claim,
    ClaimLetter,
    ClaimLine,
    ClaimPayment,
    Deadline,
    Departure,
    Finding,
    Inspection,
    LighterFile,
    MorningMail,
    Notice,
    Packet,
    PartTag,
    Setup,
    SetupReading,
    SignOff,
    Supplement,
)

LOCATION_PATHS: dict[type[Model], str] = {
    BookedMinutes: "unit__shipment__location_id",
    Claim: "location_id",
    ClaimLetter: "claim__location_id",
    ClaimLine: "claim__location_id",
    ClaimPayment: "claim__location_id",
    Deadline: "location_id",
    Departure: "unit__shipment__location_id",
    Finding: "shipment__location_id",
    Inspection: "shipment__location_id",
    LighterFile: "packet__claim__location_id",
    MorningMail: "location_id",
    Notice: "shipment__location_id",
    Packet: "claim__location_id",
    PartTag: "location_id",
    Setup: "unit__shipment__location_id",
    SetupReading: "setup__unit__shipment__location_id",
    SignOff: "unit__shipment__location_id",
    Supplement: "claim__location_id",
}
"""How each kind of row leads to its location."""
