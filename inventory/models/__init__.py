"""What must be true of stored facts on the ground floor."""

from inventory.models.carriers import Carrier, CarrierTerm, Supplier, SupplierPeriod
from inventory.models.deliveries import Delivery, Handover, ReceiptNote
from inventory.models.events import Event, EventSubject
from inventory.models.evidence import Evidence, Original
from inventory.models.holds import Hold
from inventory.models.people import Assignment, Location, User
from inventory.models.shipments import Crate, Shipment, Unit

__all__ = [
    "Assignment",
    "Carrier",
    "CarrierTerm",
    "Crate",
    "Delivery",
    "Event",
    "EventSubject",
    "Evidence",
    "Handover",
    "Hold",
    "Location",
    "Original",
    "ReceiptNote",
    "Shipment",
    "Supplier",
    "SupplierPeriod",
    "Unit",
    "User",
]
