"""The ledger's own refusals in the database, on SQLite and on PostgreSQL.

Legs are written first and sealed by their entry. A leg without an entry fails at
the commit, for its foreign key is deferred; everything else is refused here. A leg
holds its entry's number until the commit, so that no other transaction can slip one
in beside the seal.
"""

from collections.abc import Mapping

UNBALANCED = "the legs of an entry are two or more and sum to zero"
OTHER_BOOK = "a leg is in another location, partner or currency than its entry"
LOCKED = "the period of this entry is locked"
NO_MIRROR = "a reversal has the legs of its entry with the other sign"
USED = "this id, posting_key or reversal of an entry is there already"
NO_DAY = "effective_on is no day"
LATE = "a leg cannot be added to a sealed entry"
NOT_WHOLE = "cents are a whole number"

_UNBALANCED_WHERE = """
(SELECT COUNT(*) < 2 OR SUM(cents) <> 0 FROM inventory_leg WHERE entry_id = NEW.id)
"""

_OTHER_BOOK_WHERE = """
EXISTS (
  SELECT 1 FROM inventory_leg l
  LEFT JOIN inventory_account a ON a.id = l.account_id
  LEFT JOIN inventory_deposit d ON d.id = l.deposit_id
  WHERE l.entry_id = NEW.id AND (
    a.id IS NULL
    OR a.location_id {differs} NEW.location_id
    OR a.supplier_id {differs} NEW.supplier_id
    OR a.carrier_id {differs} NEW.carrier_id
    OR a.currency {differs} NEW.currency
    OR l.deposit_id IS NOT NULL AND (
      d.location_id {differs} NEW.location_id
      OR d.supplier_id {differs} NEW.supplier_id
      OR d.currency {differs} NEW.currency
    )
  )
)
"""

_LOCKED_WHERE = """
EXISTS (
  SELECT 1 FROM inventory_periodlock
  WHERE location_id = NEW.location_id AND through >= NEW.effective_on
)
"""

_NO_MIRROR_WHERE = """
NEW.reverses_id IS NOT NULL AND EXISTS (
  SELECT 1 FROM inventory_leg WHERE entry_id IN (NEW.id, NEW.reverses_id)
  GROUP BY account_id, deposit_id HAVING SUM(cents) <> 0
)
"""

_USED_WHERE = """
EXISTS (
  SELECT 1 FROM inventory_entry
  WHERE id = NEW.id OR posting_key = NEW.posting_key
  OR reverses_id = NEW.reverses_id
)
"""

_SEALED_WHERE = "EXISTS (SELECT 1 FROM inventory_entry WHERE id = NEW.entry_id)"

_OF_ENTRY = (
    (UNBALANCED, _UNBALANCED_WHERE),
    (OTHER_BOOK, _OTHER_BOOK_WHERE),
    (LOCKED, _LOCKED_WHERE),
    (NO_MIRROR, _NO_MIRROR_WHERE),
    (USED, _USED_WHERE),
)


def _where(text: str, differs: str) -> str:
    """Return the condition in the words of a database: NULL differs from a value."""
    return text.strip().replace("{differs}", differs)


def _sqlite(name: str, table: str, refusals: tuple[tuple[str, str], ...]) -> str:
    checks = "\n".join(
        f"SELECT RAISE(ABORT, '{words}') WHERE {_where(where, 'IS NOT')};"
        for words, where in refusals
    )
    return f"CREATE TRIGGER {name} BEFORE INSERT ON {table} BEGIN\n{checks}\nEND"


def _function(name: str, refusals: tuple[tuple[str, str], ...]) -> str:
    checks = "\n".join(
        f"IF {_where(where, 'IS DISTINCT FROM')} THEN RAISE EXCEPTION '{words}' "
        "USING ERRCODE = 'integrity_constraint_violation'; END IF;"
        for words, where in refusals
    )
    return (
        f"CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$\n"
        f"BEGIN\n{_HOLD[name]}\n{checks}\nRETURN NEW;\nEND $$"
    )


# The number of the entry, held until the commit, in a space of its own.
_HOLD = {
    "seal_entry": "PERFORM pg_advisory_xact_lock(hashtextextended(NEW.id::text, 71));",
    "sealed_leg": (
        "PERFORM pg_advisory_xact_lock(hashtextextended(NEW.entry_id::text, 71));"
    ),
}

TABLES: Mapping[str, str] = {
    "seal_inventory_entry": "inventory_entry",
    "seal_inventory_leg": "inventory_leg",
}
"""The name of each trigger with its table."""

SQLITE: Mapping[str, str] = {
    "seal_inventory_entry": _sqlite(
        "seal_inventory_entry",
        "inventory_entry",
        (
            (NO_DAY, "date(NEW.effective_on, '+0 days') IS NOT NEW.effective_on"),
            *_OF_ENTRY,
        ),
    ),
    "seal_inventory_leg": _sqlite(
        "seal_inventory_leg",
        "inventory_leg",
        (
            (NOT_WHOLE, "typeof(NEW.cents) <> 'integer'"),
            (LATE, _SEALED_WHERE),
        ),
    ),
}

POSTGRESQL_FUNCTIONS = (
    _function("seal_entry", _OF_ENTRY),
    _function("sealed_leg", ((LATE, _SEALED_WHERE),)),
)

POSTGRESQL: Mapping[str, str] = {
    "seal_inventory_entry": (
        "CREATE TRIGGER seal_inventory_entry BEFORE INSERT ON inventory_entry "
        "FOR EACH ROW EXECUTE FUNCTION seal_entry()"
    ),
    "seal_inventory_leg": (
        "CREATE TRIGGER seal_inventory_leg BEFORE INSERT ON inventory_leg "
        "FOR EACH ROW EXECUTE FUNCTION sealed_leg()"
    ),
}
