"""The accounts and the entries of claims, by the names that the books use."""

from types import MappingProxyType

from inventory.rules.core.accounts import AccountKind

REGISTER = "claims-register"
REGISTER_DECLINED = "claims-register-declined"
CONTRA = "claims-register-contra"
RECEIVABLE = "claims-receivable"
DISPUTED = "disputed-claims"
SUPPLIER_CLAIMS = "supplier-claims"
ALLOWANCE = "claims-allowance"
LOSS = "freight-damage-loss"
AT_COST = "damage-at-cost"
WAY_HOME = "crates-lost-claimed"
RECOVERED = "claim-recoveries"
GAINS = "recovery-gains"
CASH = "claims-cash"
FREIGHT = "freight-payable"
SALVAGE = "salvage-kept"
MEMOS = "supplier-claim-memos"
OWED = "owed-to-carriers"
WRITTEN_OFF = "claims-written-off"
OPENING = "claims-opening"

# No commas in a label: an account of a plain-text ledger is named after it. What stands
# beside the books nets to nothing, so it may stand in any class; equity has no other use
# for it.
ACCOUNT_KINDS = MappingProxyType(
    {
        REGISTER: AccountKind("Claims beside the books", "Equity"),
        REGISTER_DECLINED: AccountKind("Declined claims beside the books", "Equity"),
        CONTRA: AccountKind("Counter-account of claims beside the books", "Equity"),
        RECEIVABLE: AccountKind("Claims receivable", "Assets", frozenset({"carrier"})),
        SUPPLIER_CLAIMS: AccountKind(
            "Supplier credits expected on claims", "Assets", frozenset({"supplier"})
        ),
        DISPUTED: AccountKind("Disputed claims", "Assets"),
        ALLOWANCE: AccountKind("Allowance for claims", "Assets"),
        LOSS: AccountKind("Freight damage loss", "Expenses"),
        AT_COST: AccountKind("Inventory written down and repairs at cost", "Assets"),
        WAY_HOME: AccountKind(
            "Crates lost by carriers and claimed", "Assets", frozenset({"carrier"})
        ),
        RECOVERED: AccountKind("Recovered on claims", "Expenses"),
        GAINS: AccountKind("Recovered above the loss", "Income"),
        CASH: AccountKind("Money received on claims", "Assets"),
        FREIGHT: AccountKind("Open freight bills", "Liabilities"),
        SALVAGE: AccountKind("Salvage kept against claims", "Assets"),
        MEMOS: AccountKind(
            "Supplier credits received on claims",
            "Liabilities",
            frozenset({"supplier"}),
        ),
        OWED: AccountKind("Owed to carriers", "Liabilities"),
        WRITTEN_OFF: AccountKind("Claims written off", "Expenses"),
        OPENING: AccountKind("Opening balances of claims", "Equity"),
    }
)

GROSS = (
    REGISTER,
    REGISTER_DECLINED,
    RECEIVABLE,
    SUPPLIER_CLAIMS,
    DISPUTED,
)
"""The accounts that hold what is claimed and still open; never below zero."""

IN_DISPUTE = (REGISTER_DECLINED, DISPUTED)
"""Those of them that hold what was declined in writing."""

VALUE = (ALLOWANCE, CONTRA, RECOVERED, GAINS, WRITTEN_OFF)
"""The accounts that bring the gross figure down to what the books may show."""

LOSS_BOOKED = "claim-loss"
FILED = "claim-filed"
SUPPLEMENT = "claim-supplement"
STRUCK = "claim-struck"
REDUCTION = "claim-reduction"
DECLINED = "claim-declined"
BOOKED = "claim-booked"
PAID = "claim-paid"
CREDIT = "claim-credit"
KEPT = "claim-salvage"
SETTLED = "claim-write-off"
NOT_PURSUED = "not-pursued"
WITHDRAWN = "claim-withdrawn"
VALUED = "claim-value"
OPENED = "claim-opening"
REST = "remittance-rest"
REVERSAL = "reversal"

ENTRY_KINDS = MappingProxyType(
    {
        LOSS_BOOKED: "Damage at cost",
        FILED: "Claim filed",
        SUPPLEMENT: "Supplement to a claim",
        STRUCK: "Claim line changed",
        REDUCTION: "Claim reduced as agreed",
        DECLINED: "Claim declined in writing",
        BOOKED: "Claim booked as agreed",
        PAID: "Payment on a claim",
        CREDIT: "Credit on a claim",
        KEPT: "Salvage kept against a claim",
        SETTLED: "Rest of a claim written off",
        NOT_PURSUED: "Claim not pursued",
        WITHDRAWN: "Claim withdrawn",
        VALUED: "Claim valued",
        OPENED: "Claim brought in",
        REST: "Rest of a remittance",
    }
)
"""The kinds of entry that the acts on a claim post."""
