"""Pages of a long list: a page out of range is the last one, never an error."""

from collections.abc import Sequence
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import HttpRequest

PAGE_SIZE = 25


def page_of(
    request: HttpRequest, rows: "QuerySet[Any] | Sequence[Any]", size: int = PAGE_SIZE
) -> "Page[Any]":
    """Return the page that ``?page=`` asks for."""
    text = request.GET.get("page", "1")
    # int() would read any script's digits, and any length of them.
    asked = int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 1
    return Paginator(rows, size).get_page(asked)
