"""A column that holds another column's text as it is searched."""

from collections.abc import Mapping
from typing import Any

from django.db import models

from inventory.rules.codes.normal_keys import normal_key

_ALWAYS: dict[str, Any] = {
    "max_length": 200,
    "blank": True,
    "default": "",
    "editable": False,
}


class KeyField(models.CharField):  # type: ignore[type-arg]
    """The key of the column named ``of``. It follows that column, and nobody sets it.

    It is derived, so it is named in ``UNSEALED`` and no event holds it.
    """

    def __init__(self, *args: Any, of: str, **options: Any) -> None:  # noqa: ANN401
        self.of = of
        options = {**_ALWAYS, **options}
        super().__init__(*args, **options)

    def deconstruct(self) -> Any:  # noqa: ANN401 - Django's own signature
        """Name the column it follows."""
        name, path, args, options = super().deconstruct()
        return name, path, args, options | {"of": self.of}

    def key_of(self, text: str) -> str:
        """Return the key of this text, cut to the column."""
        return normal_key(text)[: self.max_length]

    def pre_save(self, model_instance: models.Model, add: bool) -> str:  # noqa: FBT001
        """Take the key of the text that is being saved."""
        key = self.key_of(getattr(model_instance, self.of))
        setattr(model_instance, self.attname, key)
        return key


def with_keys(
    model: type[models.Model], changes: Mapping[str, Any]
) -> Mapping[str, Any]:
    """Return the changes with the keys of the texts among them."""
    keys = {
        column.attname: column.key_of(changes[column.of])
        for column in model._meta.concrete_fields
        if isinstance(column, KeyField) and column.of in changes
    }
    return {**changes, **keys}
