"""The rows that an import made, and what uses one of them first."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db.models import Model

from inventory.models import (
    Assignment,
    CratePart,
    DepositRate,
    ImportedRow,
    Leg,
    ListImport,
    OpenSum,
    RetiredTerms,
    TermsStep,
    User,
)
from inventory.rules.core.registry import Registry

MADE_WITH: Registry[str, tuple[type[Model], ...]] = Registry(
    "rows made with a row of a list",
    {
        "user": (Assignment,),
        "deposit": (Leg, OpenSum),
        "cratetype": (CratePart,),
        "crateterms": (TermsStep, DepositRate, RetiredTerms),
    },
)
"""Tables whose rows were made with the row itself, and are no use of it."""

_WORDS = {
    "Assignment": "role",
    "CrateReturn": "return",
    "CrateTerms": "crate terms",
    "ExpectedDelivery": "expected bill",
    "Delivery": "truck",
    "DepositRate": "crate terms with",
    "Shipment": "freight bill",
    "Unit": "machine",
}
"""What people call a table whose name in the code differs."""


@dataclass(frozen=True)
class Made:
    """A row that an import made; ``now`` is the row as it is, None where it is gone."""

    link: ImportedRow
    now: Model | None

    def __str__(self) -> str:
        return f"Row {self.link.row}, {self.link.name},"


def made_by(list_import: ListImport, *, locked: bool = False) -> list[Made]:
    """Return what an import made, in the order of its file.

    Rows that are ``locked`` stay as they are until the transaction ends. Others may
    name them meanwhile, until the caller holds the chain.
    """
    links = list(list_import.rows.order_by("pk"))
    found: dict[tuple[str, str], Model] = {}
    for noun in {link.noun for link in links}:
        model = _table(noun)
        keys = [link.key for link in links if link.noun == noun]
        rows = model._base_manager.filter(pk__in=keys).order_by("pk")  # noqa: SLF001
        for row in rows.select_for_update(no_key=True) if locked else rows:
            found[noun, str(row.pk)] = row
    return [Made(link, found.get((link.noun, link.key))) for link in links]


def _table(noun: str) -> type[Model]:
    """Return the table of a noun, on whichever floor it is."""
    return next(one for one in apps.get_models() if one._meta.model_name == noun)


def first_use(made: Sequence[Made]) -> str:
    """Return the sentence that names the first use of one of the rows, or "".

    Each table that can name them is asked once, however many the rows are.
    """
    for noun in sorted({one.link.noun for one in made}):
        rows = {one.now.pk: one for one in made if one.link.noun == noun and one.now}
        for name, model in _namers(noun):
            used = model._base_manager.filter(**{f"{name}__in": list(rows)})  # noqa: SLF001
            first = used.order_by("pk").first()
            if first is not None:
                key = first.serializable_value(name)
                word = _WORDS.get(model.__name__, model._meta.verbose_name)
                return f"{rows[key]} is used by {word} “{first}”."
    return first_change(made)


def first_change(made: Iterable[Made]) -> str:
    """Return the sentence that names a row changed since it was made, or ""."""
    for one in made:
        if one.now is None:
            return f"{one} is gone already. Ask your administrator."
        if isinstance(one.now, User) and one.now.last_login is not None:
            return f"{one} has signed in already. Disable the person instead."
        if getattr(one.now, "version", 1) != 1:
            return f"{one} was changed since."
    return ""


def _namers(noun: str) -> Iterator[tuple[str, type[Model]]]:
    """Yield every table that can name a row of this noun, with its field."""
    own = MADE_WITH.get(noun, ())
    fields: Any = _table(noun)._meta.get_fields(include_hidden=True)
    for one in fields:
        names = one.auto_created and (one.one_to_many or one.one_to_one)
        if names and one.related_model not in own:
            yield one.field.name, one.related_model
