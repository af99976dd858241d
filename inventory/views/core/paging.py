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
    """The pages of a list that is counted only some pages ahead of the one asked for."""

    def __init__(self, rows: "QuerySet[Any]", size: int, asked: int) -> None:
        """Count up to ``PAGES_AHEAD`` pages after the one that is asked for."""
        super().__init__(rows, size)
        self.limit = (asked + PAGES_AHEAD) * size

    @cached_property
    def _counted(self) -> int:
        rows: QuerySet[Any] = self.object_list  # type: ignore[assignment]
        return rows.order_by().values("pk")[: self.limit + 1].count()

    @cached_property
    def count(self) -> int:
        """Return how many rows there are, as far as they are counted."""
        return min(self._counted, self.limit)

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
