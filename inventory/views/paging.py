"""Pages of a long list: a page out of range is the last one, never an error."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import HttpRequest

PAGE_SIZE = 25
Row = TypeVar("Row")


@dataclass(frozen=True)
class Paged(Generic[Row]):
    """One page of rows, and the query strings of the pages before and after it."""

    rows: list[Row]
    number: int
    of: int
    total: int
    previous: str
    following: str


def page_of(
    request: HttpRequest, rows: "QuerySet[Any] | Sequence[Any]", size: int = PAGE_SIZE
) -> Paged[Any]:
    """Return the page that ``?page=`` asks for, keeping the other parameters."""
    pages: Paginator[Any] = Paginator(rows, size)
    page: Page[Any] = pages.get_page(_asked(request))
    return Paged(
        rows=list(page.object_list),
        number=page.number,
        of=pages.num_pages,
        total=pages.count,
        previous=_link(request, page.number - 1) if page.has_previous() else "",
        following=_link(request, page.number + 1) if page.has_next() else "",
    )


def _asked(request: HttpRequest) -> int:
    text = request.GET.get("page", "1")
    if text.isascii() and text.isdigit() and len(text) < 9:
        return int(text)
    return 1


def _link(request: HttpRequest, number: int) -> str:
    query = request.GET.copy()
    query["page"] = str(number)
    return f"?{query.urlencode()}"
