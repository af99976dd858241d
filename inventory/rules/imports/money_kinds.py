"""The kinds of list with money: what is open in the books kept before."""

from inventory.rules.imports.list_kind import ListKind

OPENING_DEPOSITS = ListKind(
    key="opening-deposits",
    title="Opening deposits",
    noun="deposit",
    right="post-deposits",
    columns={
        "supplier": "Supplier",
        "invoice_number": "Invoice number",
        "line_number": "Line",
        "invoiced_on": "Invoice date",
        "opened_on": "Open as of",
        "crate_type": "Crate type",
        "count": "Crates",
        "amount_cents": "Deposit per crate",
        "currency": "Currency",
        "marks": "Crate marks",
    },
    needed=("supplier", "invoice_number", "invoiced_on", "opened_on", "amount_cents"),
    same_by=("supplier", "invoice_number", "line_number"),
    days=frozenset({"invoiced_on", "opened_on"}),
    signed=frozenset({"amount_cents"}),
    example={
        "supplier": "Teal Tillage Works",
        "invoice_number": "TT-1042",
        "line_number": "1",
        "invoiced_on": "2026-01-12",
        "opened_on": "2026-02-28",
        "count": "2",
        "amount_cents": "185.00",
        "marks": "TT-501; TT-502",
    },
    lead="What is open in the earlier books, posted against opening balances. It can be "
    "undone until the books are locked.",
    is_at_location=True,
)

EXPECTED_CREDITS = ListKind(
    key="expected-credits",
    title="Credits already expected",
    noun="credit",
    right="post-deposits",
    columns={
        "supplier": "Supplier",
        "bill_number": "Our bill number",
        "shipped_on": "Shipped back on",
        "crate_type": "Crate type",
        "marks": "Crate marks",
        "count": "Crates",
        "amount_cents": "Credit expected per crate",
        "currency": "Currency",
        "reference": "Supplier's reference",
    },
    needed=("supplier", "bill_number", "shipped_on", "amount_cents"),
    same_by=("supplier", "bill_number", "crate_type", "marks", "amount_cents"),
    days=frozenset({"shipped_on"}),
    signed=frozenset({"amount_cents"}),
    example={
        "supplier": "Teal Tillage Works",
        "bill_number": "R-2207",
        "shipped_on": "2026-04-16",
        "count": "2",
        "amount_cents": "148.00",
        "marks": "TT-388; TT-391",
        "reference": "RMA 5512",
    },
    lead="Crates shipped back before you used this program, whose credit the supplier "
    "still owes. Posted against opening balances on the day of the import; the "
    "supplier's memos are matched to them. It can be undone until one is used or the "
    "books are locked.",
    is_at_location=True,
)
