"""The bar at the top of every page: the person and the desks."""

from django.http import HttpRequest
from django.urls import reverse

from claims.rules.deadlines.morning import HANDS_OF_ROLE
from inventory.models import Assignment, User
from inventory.rules.core.roles import ACTS, ROLES

DESKS = (
    ("dock", "Dock", "see"),
    ("bench", "Bench", "see"),
    ("claims", "Claims", "see-claims"),
    ("crates", "Crates", "see"),
    ("deposits", "Deposits", "see-deposits"),
    ("carriers", "Carriers", "keep-partners"),
    ("suppliers", "Suppliers", "keep-partners"),
)


def nav(request: HttpRequest) -> dict[str, object]:
    """Return the context of header and footer: no desks for someone signed out."""
    person = getattr(request, "user", None)
    if not isinstance(person, User):
        return {"nav": [], "person": None, "cautions_url": reverse("cautions")}
    rows = list(
        Assignment.objects.filter(person=person)
        .select_related("location")
        .order_by("pk")
    )
    held = {row.role for row in rows}
    desks = [(name, label) for name, label, act in DESKS if held & ACTS[act]]
    if person.is_administrator:
        desks += [("people", "People"), ("locations", "Locations")]
    ways = [(reverse(name), label) for name, label in desks]
    return {
        "person": person,
        "search_url": reverse("search"),
        "cautions_url": reverse("cautions"),
        "reminders_url": reverse("reminders") if held & set(HANDS_OF_ROLE) else "",
        "outbox_url": reverse("outbox") if held & ACTS["see-mail"] else "",
        "location_names": sorted({row.location.name for row in rows}),
        "role_names": [ROLES[role] for role in ROLES if role in held],
        "nav": [
            {
                "url": address,
                "label": label,
                "current": request.path.startswith(address),
            }
            for address, label in ways
        ],
    }
