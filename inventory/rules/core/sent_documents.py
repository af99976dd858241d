"""The kinds of document that go out and are kept as they went."""

PACKET = "packet"
NOTICE = "notice"
CARRIER_LETTER = "carrier-hold-letter"
SUPPLIER_LETTER = "supplier-hold-letter"
DISPUTE_LETTER = "dispute-letter"
BILL_OF_LADING = "bill-of-lading"
PACKING_LIST = "packing-list"
TERMINAL_MAIL = "terminal-mail"
SETUP_SHEET = "setup-sheet"
CLAIM_LETTER = "claim-letter"
MAIL = "mail"

SENT_KINDS = {
    PACKET: "Claim packet",
    NOTICE: "Notice",
    CARRIER_LETTER: "Letter to the carrier about a packaging hold",
    SUPPLIER_LETTER: "Letter to the supplier about a packaging hold",
    DISPUTE_LETTER: "Letter about a disputed credit",
    BILL_OF_LADING: "Bill of lading of a return",
    PACKING_LIST: "Packing list and stack plan of a return",
    TERMINAL_MAIL: "Mail to the carrier's terminal about a receipt",
    SETUP_SHEET: "Setup sheet of a machine",
    CLAIM_LETTER: "Letter about a claim",
    MAIL: "Mail",
}
"""Each kind with its name. A packet goes out when it is made, a notice or a letter
about a hold when it is recorded as sent, a letter about a disputed credit when it is
made after the dispute, the papers of a return when it ships, a mail to the terminal when it is marked as
sent, a setup sheet when the machine is signed off, a letter about a claim when it is
confirmed, a mail when it is put into the outbox."""
