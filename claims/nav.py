"""The bar at the top of every page: the person and the desks."""

from django.http import HttpRequest
from django.urls import reverse

from claims.queries.desk.first_day import is_all_done
from claims.rules.deadlines.morning import HANDS_OF_ROLE
from inventory.models import Assignment, User
from inventory.rules.core.roles import ACTS, ADMINISTRATOR, ROLES
from inventory.views.core.ways import is_by_pin

DESKS = (
    ("dock", "Dock", "see"),
    ("bench", "Bench", "see"),
    ("claims", "Claims", "see-claims"),
    ("crates", "Crates", "see"),
    ("deposits", "Deposits", "see-deposits"),
    ("books", "Books", "see-deposits"),
    ("carriers", "Carriers", "keep-partners"),
    ("suppliers", "Suppliers", "keep-partners"),
)

BEHIND = {
    "dock": ("deliveries", "expected", "handovers", "shipments"),
    "bench": (
        *("findings", "holds", "minutes", "part-tags", "setup-lists", "sign-offs"),
        "units",
    ),
    "claims": (
        *("deadlines", "letters", "lighter-files", "lines", "notices", "packets"),
        *("payments", "supplements"),
    ),
    "crates": ("packaging-holds",),
    "deposits": (
        *("entries", "memo-lines", "memos", "return-lines", "returns"),
        *("short-credits", "statements", "suspense"),
    ),
    "books": ("carried-checks", "month-end", "remittances"),
}
"""The first words of the addresses that a desk leads to, beside its own name."""


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
    if person.is_administrator:
        held.add(ADMINISTRATOR)
    desks = [(name, label) for name, label, act in DESKS if held & ACTS[act]]
    if person.is_administrator:
        desks += [
            ("people", "People"),
            ("locations", "Locations"),
            ("upkeep", "Upkeep"),
        ]
        if not is_all_done():
            desks.insert(0, ("welcome", "Welcome"))
    if is_by_pin(request):
        desks = [one for one in desks if one[0] == "dock"]
    has_mail = set() if is_by_pin(request) else held
    word = request.path.split("/", maxsplit=2)[1]
    return {
        "person": person,
        "is_by_pin": is_by_pin(request),
        "search_url": reverse("search"),
        "cautions_url": reverse("cautions"),
        "reminders_url": reverse("reminders") if has_mail & set(HANDS_OF_ROLE) else "",
        "outbox_url": reverse("outbox") if has_mail & ACTS["see-mail"] else "",
        "location_names": sorted({row.location.name for row in rows}),
        "role_names": [ROLES[role] for role in ROLES if role in held],
        "nav": [
            {
                "url": reverse(name),
                "label": label,
                "current": word in (name, *BEHIND.get(name, ())),
            }
            for name, label in desks
        ],
    }
