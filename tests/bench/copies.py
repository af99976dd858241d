"""Many copies of a few rows, made inside the database in one statement a table.

The rows are those written since a mark was set. Copy ``k`` of a row has its key moved
by ``k`` times the block's length, and so have its links to other rows of the block, so
that each copy is a story of its own. What must be unique gets ``k`` appended; days go
back in time. The triggers are dropped for it and made again. The events of the copies
are in no chain: ``verify`` refuses such a house, and nothing but a look is taken at it.
"""

from contextlib import contextmanager
from dataclasses import dataclass, field

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection, models, transaction
from django.db.models import Max

from claims.counted_bills import fill_counted
from claims.models import CountedBill
from inventory.derived import OPEN_KINDS, fill, fill_sums
from inventory.models import (
    AccountMonth,
    Event,
    EventSubject,
    OpenSum,
    OpenWork,
    SearchKey,
    TreeTile,
)
from inventory.searched import fill_search
from inventory.triggers import drop_triggers, make_triggers

DERIVED = (AccountMonth, CountedBill, OpenSum, OpenWork, SearchKey, TreeTile)
APPS = ("inventory", "claims")
NUMBERED = {
    "inventory.Shipment": ("pro_number", "pro_key"),
    "inventory.Crate": ("mark", "mark_key"),
    "inventory.Unit": ("serial", "serial_key"),
    "inventory.Deposit": ("invoice_number", "mark"),
    "inventory.Entry": ("posting_key",),
    "inventory.CrateReturn": ("number",),
    "inventory.CreditMemo": ("number",),
    "inventory.ExpectedDelivery": ("pro_number",),
    "inventory.OutgoingMail": ("message_id",),
    "claims.Claim": ("number", "carrier_claim_number"),
}
"""The texts that are one row's own: the number of the copy is appended."""

HASHES = {"inventory.Event": ("previous_hash", "hash")}
"""Columns of 64 hexadecimal digits whose last ones name the copy."""

WAY_BACK = 3000
"""Over how many days the copies are spread."""


def tables():
    """Return the models of both floors that may be copied."""
    return [
        model
        for label in APPS
        for model in apps.get_app_config(label).get_models(include_auto_created=True)
        if model._meta.managed and not model._meta.proxy and model not in DERIVED
    ]


def _is_numbered(model):
    return isinstance(model._meta.pk, models.AutoField | models.PositiveBigIntegerField)


@dataclass
class Block:
    """The rows written since ``marked``: by table, the keys before and their number."""

    before: dict = field(default_factory=dict)
    length: dict = field(default_factory=dict)

    @classmethod
    def begin(cls):
        return cls({model: _last(model) for model in tables()})

    def end(self):
        """Note how many keys each table has had since."""
        for model, before in self.before.items():
            last = _last(model)
            # A key that is no number belongs to the block where it was not there.
            self.length[model] = (
                last - before if _is_numbered(model) else last - before or set()
            )
        return self

    def copy(self, numbers, *, in_past=True):
        """Write the copies of these numbers, a range that begins above 0."""
        with transaction.atomic(), _no_triggers():
            for model in self.before:
                if self.length[model] and model is not EventSubject:
                    _copy(self, model, numbers, in_past)
            if self.length[EventSubject]:
                _copy_subjects(self, numbers)
            fill_sums(connection)
            fill(connection, *OPEN_KINDS)
            fill_search(connection)
            fill_counted(connection)
        _mend_sequences()


def _last(model):
    rows = model._base_manager.all()
    if _is_numbered(model):
        return rows.aggregate(last=Max("pk"))["last"] or 0
    return set(rows.values_list("pk", flat=True))


@contextmanager
def _no_triggers():
    _check_links("IMMEDIATE")  # what waits would forbid to change a table
    drop_triggers(connection)
    _check_links("DEFERRED")
    yield
    _check_links("IMMEDIATE")
    make_triggers(connection)
    _check_links("DEFERRED")


def _check_links(when):
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(f"SET CONSTRAINTS ALL {when}")


def _series(numbers):
    first, last = numbers[0], numbers[-1]
    if connection.vendor == "postgresql":
        return f"(SELECT generate_series({first}, {last}) AS k)"
    return (
        f"(WITH RECURSIVE n(k) AS (SELECT {first} UNION ALL "
        f"SELECT k + 1 FROM n WHERE k < {last}) SELECT k FROM n)"
    )


def _hex(digits):
    if connection.vendor == "postgresql":
        return f"lpad(to_hex(s.k), {digits}, '0')"
    return f"printf('%0{digits}x', s.k)"


def _id_of(column):
    """Return another UUID for the copy: its last twelve digits are the number's."""
    if connection.vendor == "postgresql":
        return f"(left({column}::text, 24) || {_hex(12)})::uuid"
    return f"substr({column}, 1, 20) || {_hex(12)}"


def _moved(block, model, column):
    """Return the expression of a key of this model in the copy."""
    if isinstance(model._meta.pk, models.OneToOneField | models.ForeignKey):
        model = model._meta.pk.related_model
    length = block.length.get(model)
    if not length:
        return column
    if isinstance(model._meta.pk, models.UUIDField):
        return _only_of_block(length, column, _id_of(column))
    if not _is_numbered(model):  # an original, by its hash
        return _only_of_block(length, column, f"substr({column}, 1, 48) || {_hex(16)}")
    before = block.before[model]
    moved = f"{column} + s.k * {length}"
    return f"CASE WHEN {column} > {before} THEN {moved} ELSE {column} END"


def _only_of_block(keys, column, moved):
    told = ", ".join(f"'{getattr(key, 'hex', key)}'" for key in keys)
    return f"CASE WHEN {column} IN ({told}) THEN {moved} ELSE {column} END"


def _back(column, kind):
    days = f"(30 + s.k * 7919 % {WAY_BACK})"
    if connection.vendor == "postgresql":
        moved = f"{column} - {days} * interval '1 day'"
        return f"({moved})::date" if kind == "date" else moved
    form = "%Y-%m-%d" if kind == "date" else "%Y-%m-%d %H:%M:%S"
    return f"strftime('{form}', {column}, '-' || {days} || ' days')"


def _value(block, model, column, in_past):
    """Return the SQL of this column in a copy."""
    name, target = f't."{column.column}"', column.related_model
    label = model._meta.label
    if column.primary_key and target is None:
        return _moved(block, model, name)
    if target is not None:
        return _moved(block, target, name)
    if column.name in NUMBERED.get(label, ()):
        return f"CASE WHEN {name} = '' THEN {name} ELSE {name} || s.k END"
    if column.name in HASHES.get(label, ()):
        # The first event of a block follows the last copy of the block before.
        return f"substr({name}, 1, 40) || '{block.before[Event]:08x}' || {_hex(16)}"
    if isinstance(column, models.UUIDField):
        return _id_of(name)
    if in_past and isinstance(column, models.DateTimeField):
        return _back(name, "moment")
    if in_past and isinstance(column, models.DateField):
        return _back(name, "date")
    return name


def _of_block(block, model):
    key = f't."{model._meta.pk.column}"'
    if _is_numbered(model):
        first = block.before[model] + 1
        return f"{key} BETWEEN {first} AND {first + block.length[model] - 1}"
    told = ", ".join(f"'{getattr(one, 'hex', one)}'" for one in block.length[model])
    return f"{key} IN ({told})"


def _copy(block, model, numbers, in_past):
    columns = model._meta.concrete_fields
    names = ", ".join(f'"{one.column}"' for one in columns)
    values = ", ".join(_value(block, model, one, in_past) for one in columns)
    _insert(model, (names, values), _of_block(block, model), numbers)


def _insert(model, columns, where, numbers):
    names, values = columns
    table = model._meta.db_table
    with connection.cursor() as cursor:
        cursor.execute(
            f'INSERT INTO "{table}" ({names}) SELECT {values} '
            f'FROM {_series(numbers)} s CROSS JOIN "{table}" t WHERE {where}'
        )


def _copy_subjects(block, numbers):
    """Copy what the events are about, one kind of row at a time."""
    of_block = _of_block(block, EventSubject)
    rows = EventSubject.objects.filter(pk__gt=block.before[EventSubject])
    for noun in rows.order_by().values_list("noun", flat=True).distinct():
        model = _model_of(noun)
        key = "t.key"
        if model is not None and _is_numbered(model):
            moved = _moved(block, model, "CAST(t.key AS bigint)")
            key = f"CAST({moved} AS text)"
        elif model is not None and isinstance(model._meta.pk, models.UUIDField):
            key = f"substr(t.key, 1, 24) || {_hex(12)}"
        values = (
            _moved(block, EventSubject, "t.id"),
            _moved(block, Event, "t.event_id"),
            "t.noun",
            key,
        )
        where = f"{of_block} AND t.noun = '{noun}'"
        _insert(
            EventSubject,
            ('"id", "event_id", "noun", "key"', ", ".join(values)),
            where,
            numbers,
        )


def _model_of(noun):
    return next((one for one in tables() if one._meta.model_name == noun), None)


def _mend_sequences():
    with connection.cursor() as cursor:
        for sql in connection.ops.sequence_reset_sql(no_style(), tables()):
            cursor.execute(sql)
