"""What a page tells a phone: who has it open, what to keep, whose forms may wait."""

from django.http import HttpRequest
from django.urls import reverse

QUEUED = frozenset(
    {
        "add_evidence",
        "log_delivery",
        "add_bill",
        "edit_handover",
        "tailgate",
        "look",
        "sign_receipt",
        "bench",
        "open_crate",
        "inspect_unit",
        "record_finding",
        "begin_setup",
        "read_line",
        "decide_line",
        "record_damage",
        "sign_off_setup",
    }
)
"""Pages whose forms wait on the phone while there is no signal."""

REMEMBERED = {
    "tailgate": "truck_on_phone",
    "delivery": "truck_on_phone",
    "unit": "machine_on_phone",
}
"""Pages of which a phone keeps marks and counts for one shift."""


def phone(request: HttpRequest) -> dict[str, object]:
    """Return what ``parts/phone.html`` says."""
    match = request.resolver_match
    name = match.url_name if match else ""
    keeper = REMEMBERED.get(name or "")
    return {
        "takes_queue": name in QUEUED,
        "remember_url": reverse(keeper, args=[match.kwargs["pk"]])
        if keeper and match
        else "",
    }
