"""A list as a file: the same rows and totals as the page, as CSV or as a workbook.

``?as=csv`` or ``?as=xlsx`` on the list's own address answers the whole list, so that
a file can never hold what the page would not show this person.
"""

from collections.abc import Callable
from datetime import date

from django.http import HttpRequest, HttpResponse

from inventory.documents.core.sheet_files import csv_bytes, xlsx_bytes
from inventory.rules.core.sheets import Sheet

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def asked_as_file(
    request: HttpRequest, make: Callable[[], Sheet], *, stem: str, today: date
) -> HttpResponse | None:
    """Answer the list as the file that was asked for; None where a page was.

    ``make`` is called only for a file. ``stem`` begins the file's name.
    """
    form = request.GET.get("as")
    if form == "csv":
        data, media_type = csv_bytes(make()), "text/csv; charset=utf-8"
    elif form == "xlsx":
        data, media_type = xlsx_bytes(make(), made_on=today), XLSX
    else:
        return None
    answer = HttpResponse(data, content_type=media_type)
    answer["Content-Disposition"] = f'attachment; filename="{stem}-{today}.{form}"'
    answer["Cache-Control"] = "no-store"
    return answer
