"""What must be true of stored facts on the ground floor."""

import inventory.models.among  # noqa: F401 - registers its lookup
from inventory.models.carriers import (
    Carrier,
    CarrierBankruptcy,
    CarrierTerm,
    Supplier,
    SupplierPeriod,
)
from inventory.models.crate_checks import CrateCheck, CrateCheckLine, PackagingHold
from inventory.models.crate_types import (
    CratePart,
    CrateTerms,
    CrateType,
    DepositRate,
    PartDeduction,
    RetiredTerms,
    TermsStep,
)
from inventory.models.deliveries import Delivery, Handover, ReceiptNote
from inventory.models.derived import (
    AccountMonth,
    OpenSum,
    OpenWork,
    SearchKey,
    TreeTile,
)
from inventory.models.dock_phones import DockPhone, DockPin
from inventory.models.events import Event, EventSubject
from inventory.models.evidence import Evidence, Original, PhotoMarkup, Withholding
from inventory.models.expected import ExpectedCrate, ExpectedDelivery
from inventory.models.holds import Hold
from inventory.models.imports import ImportedRow, ListImport
from inventory.models.ledger import (
    Account,
    AccountNumber,
    Deposit,
    Entry,
    Leg,
    PeriodLock,
)
from inventory.models.legal_holds import LegalHold
from inventory.models.mail import LaneBeat, OutgoingMail
from inventory.models.month_ends import CarriedCheck
from inventory.models.once import Once
from inventory.models.passkeys import Passkey
from inventory.models.people import Assignment, Location, User
from inventory.models.rates import ExchangeRate
from inventory.models.readings import Reading
from inventory.models.returns import (
    BalanceAssertion,
    CrateReturn,
    CreditMemo,
    MemoLine,
    ReturnCosts,
    ReturnLine,
    ShortCredit,
    SuspenseLine,
)
from inventory.models.second_factors import RecoveryCode, SecondFactor
from inventory.models.sent_documents import SentDocument
from inventory.models.shipments import Crate, Shipment, Unit
from inventory.models.upkeep import UpkeepRun

__all__ = [
    "Account",
    "AccountMonth",
    "AccountNumber",
    "Assignment",
    "BalanceAssertion",
    "CarriedCheck",
    "Carrier",
    "CarrierBankruptcy",
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
    "DockPhone",
    "DockPin",
    "Entry",
    "Event",
    "EventSubject",
    "Evidence",
    "ExchangeRate",
    "ExpectedCrate",
    "ExpectedDelivery",
    "Handover",
    "Hold",
    "ImportedRow",
    "LaneBeat",
    "Leg",
    "LegalHold",
    "ListImport",
    "Location",
    "MemoLine",
    "Once",
    "OpenSum",
    "OpenWork",
    "Original",
    "OutgoingMail",
    "PackagingHold",
    "PartDeduction",
    "Passkey",
    "PeriodLock",
    "PhotoMarkup",
    "Reading",
    "ReceiptNote",
    "RecoveryCode",
    "RetiredTerms",
    "ReturnCosts",
    "ReturnLine",
    "SearchKey",
    "SecondFactor",
    "SentDocument",
    "Shipment",
    "ShortCredit",
    "Supplier",
    "SupplierPeriod",
    "SuspenseLine",
    "TermsStep",
    "TreeTile",
    "Unit",
    "UpkeepRun",
    "User",
    "Withholding",
]
