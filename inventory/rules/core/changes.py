"""Names of changed fields in the words of the trade, for the history."""

from collections.abc import Iterable

TRADE_WORDS = {
    "pro_number": "PRO",
    "bol_number": "BOL number",
    "bol_on": "BOL date",
    "scac": "SCAC",
    "usdot_number": "USDOT number",
    "record_carrier_id": "carrier of record",
    "arrived_at": "arrival time",
    "arrived_on": "arrival day",
    "how_signed": "how it was signed",
    "unloaded_by": "who unloaded",
    "released_value_cents_per_lb": "released value",
    "freight_borne_cents": "freight we paid",
    "contract_carriage": "type of carriage",
    "freight_payer": "who pays the freight",
    "pieces_billed": "pieces billed",
    "regime": "regime",
    "is_active": "sign-in",
    "is_administrator": "administrator",
    "grai": "GRAI",
    "sscc": "SSCC",
}
_TAILS = ("_id", "_cents", "_mm")


def changed_words(changed: Iterable[str]) -> str:
    """Return the names of the changed fields: "seal number, BOL date"."""
    return ", ".join(_word(name) for name in changed) or "nothing"


def _word(name: str) -> str:
    if name in TRADE_WORDS:
        return TRADE_WORDS[name]
    for tail in _TAILS:
        name = name.removesuffix(tail)
    return name.replace("_", " ")
