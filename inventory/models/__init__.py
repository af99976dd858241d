"""What must be true of stored facts on the ground floor."""

from inventory.models.carriers import Carrier, CarrierTerm, Supplier, SupplierPeriod
from inventory.models.crate_checks import CrateCheck, CrateCheckLine, PackagingHold
from inventory.models.crate_types import (
    CratePart,
    CrateTerms,
    CrateType,
    DepositRate,
    PartDeduction,
    TermsStep,
)
from inventory.models.deliveries import Delivery, Handover, ReceiptNote
from inventory.models.events import Event, EventSubject
from inventory.models.evidence import Evidence, Original, PhotoMarkup, Withholding
from inventory.models.expected import ExpectedCrate, ExpectedDelivery
from inventory.models.holds import Hold
from inventory.models.ledger import (
    Account,
    AccountNumber,
    Deposit,
    Entry,
    Leg,
    PeriodLock,
)
from inventory.models.mail import LaneBeat, OutgoingMail
from inventory.models.once import Once
from inventory.models.people import Assignment, Location, User
from inventory.models.readings import Reading
from inventory.models.returns import (
    BalanceAssertion,
    CrateReturn,
    CreditMemo,
    MemoLine,
    ReturnCosts,
    ReturnLine,
    ShortCredit,
)
from inventory.models.sent_documents import SentDocument
from inventory.models.shipments import Crate, Shipment, Unit

__all__ = [
    "Account",
    "AccountNumber",
    "Assignment",
    "BalanceAssertion",
    "Carrier",
    "CarrierTerm",
    "Crate",
    "CrateCheck",
    "CrateCheckLine",
    "CratePart",
    "CrateReturn",
    "CrateTerms",
    "CrateType",
    "CreditMemo",
    "Delivery",
    "Deposit",
    "DepositRate",
    "Entry",
    "Event",
    "EventSubject",
    "Evidence",
    "ExpectedCrate",
    "ExpectedDelivery",
    "Handover",
    "Hold",
    "LaneBeat",
    "Leg",
    "Location",
    "MemoLine",
    "Once",
    "Original",
    "OutgoingMail",
    "PackagingHold",
    "PartDeduction",
    "PeriodLock",
    "PhotoMarkup",
    "Reading",
    "ReceiptNote",
    "ReturnCosts",
    "ReturnLine",
    "SentDocument",
    "Shipment",
    "ShortCredit",
    "Supplier",
    "SupplierPeriod",
    "TermsStep",
    "Unit",
    "User",
    "Withholding",
]
