"""What changed, in the words of the trade: a story never shows a column's name."""

from collections.abc import Iterable

TRADE_WORDS = {
    "pro_number": "PRO",
    "bol_number": "bill of lading number",
    "bol_on": "date of the bill",
    "scac": "SCAC",
    "arrived_at": "time of arrival",
    "arrived_on": "day of arrival",
    "how_signed": "how it was signed",
    "unloaded_by": "who unloaded",
    "released_value_cents_per_lb": "released value",
    "freight_borne_cents": "freight we bore",
    "contract_carriage": "kind of carriage",
    "freight_payer": "who pays the freight",
    "pieces_billed": "pieces billed",
    "regime": "law of the carriage",
    "is_active": "may sign in",
    "is_administrator": "administrator",
    "grai": "GRAI",
    "sscc": "SSCC",
}
_TAILS = ("_id", "_cents", "_mm")


def changed_words(changed: Iterable[str]) -> str:
    """Return changed columns in trade words: "seal number, date of the bill"."""
    return ", ".join(_word(name) for name in changed) or "nothing"


def _word(name: str) -> str:
    if name in TRADE_WORDS:
        return TRADE_WORDS[name]
    for tail in _TAILS:
        name = name.removesuffix(tail)
    return name.replace("_", " ")
