"""No amount turns to zero in silence, and none takes a currency for granted."""

import ast
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[2]

CODE = sorted(
    path
    for room in ("inventory", "claims", "config")
    for path in (ROOT / room).rglob("*.py")
    if "migrations" not in path.parts
)

ALLOWED_LOOKS = {
    # file: what may be missing there, and is no amount
    "claims/nav.py": {"user"},
    "config/errors.py": {"sqlstate", "errno"},
    "config/middleware.py": {"login_required"},  # Django's own, on a view
    "config/security.py": {"user"},
    "config/phone.py": {"manifest_hash"},
    "claims/queries/core/payments.py": {"_prefetched_objects_cache"},  # Django's own
    "inventory/evidence/pictures/decode.py": {"is_animated"},
    "inventory/models/sealed.py": {"UNSEALED", "VEILED"},
    "inventory/forms/imports/readers.py": {"choices"},  # a field may have none
    "inventory/queries/imports/uses.py": {"version"},
    "inventory/security_log.py": {"facts", "status_code"},  # another's log record
    "inventory/templatetags/house.py": {"name"},  # any thing, as a template looks it up
    "inventory/views/core/act_view.py": {"version"},
}

ALLOWED_CODES = {
    # The location's own setting: what a new one begins with.
    "inventory/models/people.py": 1,
    "inventory/views/people/people.py": 1,
    "claims/forms/desk/first_day.py": 2,
    # How dollars are typed and shown: with their sign.
    "inventory/rules/reckoning/money.py": 3,
    # A limit that the law itself states in dollars.
    "claims/rules/damages/limits_records.py": 2,
    # The example row of a template, and what the page of terms begins with.
    "inventory/rules/imports/kinds.py": 1,
    "inventory/forms/imports/terms.py": 1,
    # Asked by hand without a database or a location; kept for those who ask so.
    "inventory/rules/reckon/credit.py": 1,
}


@cache
def nodes_of(source):
    """Return every node of the source, which is read once for all tests."""
    return list(ast.walk(ast.parse(source)))


def silent_looks(source):
    """Return the names looked up with a default for the case that they are missing."""
    return [
        _name(node.args[1])
        for node in nodes_of(source)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id == "getattr"
        and len(node.args) == 3
    ]


def _name(node):
    return node.value if isinstance(node, ast.Constant) else ast.unparse(node)


def named_codes(source):
    """Return how often the code of a currency stands in the source, beyond its words."""
    return sum(
        isinstance(node, ast.Constant) and node.value in {"USD", "EUR", "CAD"}
        for node in nodes_of(source)
    )


def sources():
    """Yield each file's name and text."""
    for path in CODE:
        yield str(path.relative_to(ROOT)), path.read_text(encoding="utf-8")


def test_nothing_a_query_joins_is_read_with_a_default():
    found = {
        name: looks
        for name, text in sources()
        if (looks := set(silent_looks(text)) - ALLOWED_LOOKS.get(name, set()))
    }
    assert found == {}


def test_no_code_names_a_currency_of_its_own():
    found = {
        name: count
        for name, text in sources()
        if (count := named_codes(text)) > ALLOWED_CODES.get(name, 0)
    }
    assert found == {}


def test_what_is_allowed_is_still_there():
    for name, looks in ALLOWED_LOOKS.items():
        source = (ROOT / name).read_text(encoding="utf-8")
        assert set(silent_looks(source)) == looks, name
    for name in ALLOWED_CODES:
        assert named_codes((ROOT / name).read_text(encoding="utf-8")), name


def test_such_code_is_found():
    assert silent_looks('int(getattr(row, "expected", 0))') == ["expected"]
    assert silent_looks("getattr(row, name)") == []
    assert named_codes('def f(cents, currency="USD"): ...') == 1
    assert named_codes('code = asked or "USD"') == 1
    assert named_codes('"An amount, like USD 5.00"') == 0
