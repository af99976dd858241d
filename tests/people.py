"""The cast: who works where. Made once, without password hashing (force_login)."""

from types import SimpleNamespace

from inventory.models import Assignment, Location, User


def make_location(code="RIV", **over):
    """Make a dock at Riverside, unless told otherwise."""
    values = {
        "code": code,
        "name": "Riverside" if code == "RIV" else f"Location {code}",
        "address": "1200 Levee Road\nRiverside, IA 52327",
        "time_zone": "America/Chicago",
        "country": "US",
        "subdivision": "IA",
        "shop_rate_cents": 12_500,
        "shop_rate_source": "Rate sheet of 2026, shop wall",
    }
    return Location.objects.create(**{**values, **over})


def make_person(username, full_name, *assignments, **over):
    """Make a person with (location, role) pairs."""
    person = User(username=username, full_name=full_name, **over)
    person.set_unusable_password()
    person.save()
    for location, role in assignments:
        Assignment.objects.create(person=person, location=location, role=role)
    return person


def cast():
    """Make two locations and everybody: one role each, and the stranger Nell."""
    riverside = make_location("RIV", name="Riverside")
    hillcrest = make_location("HIL", name="Hillcrest", time_zone="America/Denver")
    return SimpleNamespace(
        riverside=riverside,
        hillcrest=hillcrest,
        rosa=make_person("rosa", "Rosa Field", (riverside, "clerk")),
        tomas=make_person("tomas", "Tomas Brandt", (riverside, "technician")),
        mina=make_person("mina", "Mina Okoro", (riverside, "manager")),
        abel=make_person("abel", "Abel Strand", (riverside, "accounting")),
        nell=make_person("nell", "Nell Harrow", (hillcrest, "manager")),
        ada=make_person("ada", "Ada Quist", is_administrator=True),
    )
