"""A list as a file: the same rows and totals as the page, as CSV or as a workbook."""

from datetime import date

from django.http import Http404, HttpResponse

from inventory.documents.sheet_files import csv_bytes, xlsx_bytes
from inventory.rules.sheets import Sheet

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def answer_sheet(sheet: Sheet, *, stem: str, form: str, today: date) -> HttpResponse:
    """Answer the sheet as an attachment; ``form`` is csv or xlsx, else Http404."""
    if form == "csv":
        data, media_type = csv_bytes(sheet), "text/csv; charset=utf-8"
    elif form == "xlsx":
        data, media_type = xlsx_bytes(sheet, made_on=today), XLSX
    else:
        raise Http404
    answer = HttpResponse(data, content_type=media_type)
    answer["Content-Disposition"] = f'attachment; filename="{stem}-{today}.{form}"'
    answer["Cache-Control"] = "no-store"
    return answer
