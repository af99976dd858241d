"""Pages of a long list: a page out of range is the last one, never an error."""

from collections.abc import Sequence
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils.functional import cached_property

PAGE_SIZE = 25
PAGES_AHEAD = 3
"""How many pages after this one are counted: a count of all would read all."""


class LongList(Paginator):  # type: ignore[type-arg]
    """The pages of a list that is counted only some pages ahead of the one asked for.

    The keys of these pages are read in the list's order, then the rows of one page by
    their keys: what a row joins and counts is read of no row that is only sorted.
    """

    def __init__(self, rows: "QuerySet[Any]", size: int, asked: int) -> None:
        """Count up to ``PAGES_AHEAD`` pages after the one that is asked for."""
        super().__init__(rows, size)
        self.rows = rows
        self.first = max(asked - 1, 0) * size
        self.limit = (asked + PAGES_AHEAD) * size

    @cached_property
    def _keys(self) -> list[Any]:
        """Return the keys from the page that is asked for to the last one counted."""
        return self._keys_of(self.first, self.limit + 1)

    def _keys_of(self, first: int, last: int) -> list[Any]:
        return list(self.rows.values_list("pk", flat=True)[first:last])

    @cached_property
    def _counted(self) -> int:
        if self._keys or not self.first:
            return self.first + len(self._keys)
        return self.rows.order_by().values("pk")[: self.limit + 1].count()

    @cached_property
    def count(self) -> int:
        """Return how many rows there are, as far as they are counted."""
        return min(self._counted, self.limit)

    def page(self, number: int | str) -> "Page[Any]":
        """Return the rows of a page by their keys, in the list's order."""
        number = self.validate_number(number)
        first = (number - 1) * self.per_page
        last = first + self.per_page
        keys = (
            self._keys[: self.per_page]
            if first == self.first
            else self._keys_of(first, last)
        )
        found = {row.pk: row for row in self.rows.filter(pk__in=keys).order_by()}
        return Page([found[key] for key in keys if key in found], number, self)

    @property
    def is_more(self) -> bool:
        """Return whether there are more rows than are counted."""
        return self._counted > self.limit


def page_of(
    request: HttpRequest,
    rows: "QuerySet[Any] | Sequence[Any]",
    size: int = PAGE_SIZE,
    *,
    name: str = "page",
) -> "Page[Any]":
    """Return the page that ``?page=`` asks for, or another ``name`` of a second list."""
    text = request.GET.get(name, "1")
    # int() would read any script's digits, and any length of them.
    asked = int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 1
    if isinstance(rows, QuerySet):
        return LongList(rows, size, asked).get_page(asked)
    return Paginator(rows, size).get_page(asked)
