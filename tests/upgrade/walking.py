"""Walk every address of a house with GET, as a person of each role.

Run in a house's own process; prints ``{"answers": {name: {person: [statuses]}},
"broken": [...]}``. The rows are chosen so that between them they show every state,
kind and flag that the table holds, and every field both empty and filled.
"""

import json
import sys
from contextlib import suppress

PEOPLE = ("mina", "rosa", "tomas", "abel", "nell", "ada")
STRANGERS = ("nell", "ada")
"""Those who do not work at the location whose rows are opened."""

FITTING = {200, 302, 403, 405}
"""What an address answers with: its page, another page, a reason, or "only POST"."""

WITHOUT_SUPPLIER = {"ask_supplier", "supplier_asked", "supplier_letter"}
"""Not found where a crate is one-way, and so no supplier waits for it."""

BEFORE_SETUP = {
    "read_line",
    "decide_line",
    "record_damage",
    "sign_off_setup",
    "setup_sheet",
    "signed_sheet",
}
"""Not found where no setup was begun by a list: machines of before have none."""

NO_PAYMENT = {"reverse_payment", "decide_payment"}
"""Not found for what reverses a payment: it is a row of the table, and none itself."""

WITHOUT_TOKEN = {"calendar"}
"""Not found for whoever has not the token, which is stored nowhere."""

WITHOUT_MACHINE = {"tag_part"}
"""Not found for a finding on no machine: no part of it is replaced."""

MOST_ROWS = 6
"""The most rows of one address for the manager, unless told; the others get one."""

ONE_EACH = 0
"""Asked for instead: the rows of each address until one of them has opened."""

OPENED = {200, 302, 405}

TABLES = {
    "calendar": "claims.CalendarFeed",
    "carried-checks": "inventory.CarriedCheck",
    "carriers": "inventory.Carrier",
    "claims": "claims.Claim",
    "crates": "inventory.Crate",
    "deadlines": "claims.Deadline",
    "deliveries": "inventory.Delivery",
    "deposits": "inventory.Deposit",
    "dock-phones": "inventory.DockPhone",
    "entries": "inventory.Entry",
    "evidence": "inventory.Evidence",
    "expected": "inventory.ExpectedDelivery",
    "findings": "claims.Finding",
    "handovers": "inventory.Handover",
    "holds": "inventory.Hold",
    "letters": "claims.ClaimLetter",
    "lighter-files": "claims.LighterFile",
    "lines": "claims.ClaimLine",
    "lists": "inventory.ListImport",
    "locations": "inventory.Location",
    "memo-lines": "inventory.MemoLine",
    "memos": "inventory.CreditMemo",
    "minutes": "claims.BookedMinutes",
    "notices": "claims.Notice",
    "outbox": "inventory.OutgoingMail",
    "packaging-holds": "inventory.PackagingHold",
    "packets": "claims.Packet",
    "part-tags": "claims.PartTag",
    "payments": "claims.ClaimPayment",
    "people": "inventory.User",
    "remittances": "claims.Remittance",
    "setup-lists": "claims.SetupList",
    "return-lines": "inventory.ReturnLine",
    "returns": "inventory.CrateReturn",
    "shipments": "inventory.Shipment",
    "sign-offs": "claims.SignOff",
    "short-credits": "inventory.ShortCredit",
    "suppliers": "inventory.Supplier",
    "suspense": "inventory.SuspenseLine",
    "supplements": "claims.Supplement",
    "undo": "inventory.Event",
    "units": "inventory.Unit",
    "upkeep": "inventory.LegalHold",
}
"""The table whose rows an address is about, by the address's first word."""

BY_NAME = {"end_dock_phone": "dock-phones"}
"""The same by an address's name, where its first word is another table's."""

YOUNGER = {
    "calendar",
    "carried-checks",
    "dock-phones",
    "expected",
    "letters",
    "lighter-files",
    "lists",
    "minutes",
    "outbox",
    "part-tags",
    "payments",
    "remittances",
    "setup-lists",
    "sign-offs",
    "suspense",
    "upkeep",
}
"""Tables that the first kept databases do not have."""

WORDS = {
    "stage": "uncrating",
    "paper": "freight-paid",
    "kind": "concealed",
    "letter": "documents",
    "size": 320,
    "line": "tires",
    "machine": "tractor",
    "token": "guessed",
}


def main():
    """Walk, and print what was answered."""
    from django.conf import settings
    from django.test import Client

    from inventory.models import User

    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    most = int(sys.argv[1]) if len(sys.argv) > 1 else MOST_ROWS
    addresses = {name: urls_of(name, route) for name, route in routes()}
    answers, broken = {}, []
    for person in PEOPLE:
        client = Client(raise_request_exception=False, headers={"host": "127.0.0.1"})
        client.force_login(
            User.objects.get(username=person),
            "django.contrib.auth.backends.ModelBackend",
        )
        for name, urls in addresses.items():
            for url in urls[: most or MOST_ROWS] if person == "mina" else urls[:1]:
                if most == ONE_EACH and _is_open(answers.get(name, {})):
                    break
                status = _get(client, url)
                answers.setdefault(name, {}).setdefault(person, []).append(status)
                if status not in FITTING and not _is_right(person, name, status):
                    broken.append(f"{person} {url}: {status}")
    json.dump({"answers": answers, "broken": broken}, sys.stdout)


def _is_open(by_person):
    return any(OPENED & set(given) for given in by_person.values())


def _is_right(person, name, status):
    """Return whether another status is right here, for this person or this address."""
    if status == 422:
        return name == "crate_labels_pdf"  # no crate of the bill has a mark
    may_lack = (
        WITHOUT_SUPPLIER | BEFORE_SETUP | WITHOUT_MACHINE | NO_PAYMENT | WITHOUT_TOKEN
    )
    return status == 404 and (person in STRANGERS or name in may_lack)


def _get(client, url):
    answer = client.get(url)
    if answer.streaming:
        b"".join(answer.streaming_content)
    return answer.status_code


def routes():
    """Yield name and route of every address of ours."""
    from django.urls import URLPattern, get_resolver

    pending = [("", one) for one in get_resolver().url_patterns]
    while pending:
        before, one = pending.pop(0)
        route = before + str(one.pattern)
        if not isinstance(one, URLPattern):
            if getattr(one, "app_name", None) != "admin":
                pending += [(route, inner) for inner in one.url_patterns]
        elif one.callback.__module__.startswith(("claims.", "inventory.")):
            yield one.name, one


def urls_of(name, pattern):
    """Return the addresses of this name: one a row, or the one that there is."""
    from django.urls import reverse

    converters = pattern.pattern.converters
    if not converters:
        return [_asked(name, reverse(name))]
    word = str(pattern.pattern).split("/", maxsplit=1)[0]
    rows = chosen_rows(BY_NAME.get(name, word))
    return [
        _asked(name, reverse(name, kwargs=_keys(name, row, converters))) for row in rows
    ]


def _keys(name, row, converters):
    from inventory.models import CrateType, Location

    keys = {key: WORDS[key] for key in converters if key in WORDS}
    if name == "set_return_costs" or "place" in converters:
        from inventory.models import Supplier

        keys["place"] = Location.objects.order_by("pk")[0].pk
        row = row if isinstance(row, Supplier) else Supplier.objects.order_by("pk")[0]
    if "key" in converters:
        kind = CrateType.objects.order_by("pk")[0]
        keys["key"], row = kind.pk, kind.supplier
    return keys | ({"pk": row.pk} if "pk" in converters else {})


def _asked(name, url):
    """Add the words after the address that a page cannot do without."""
    from inventory.models import Crate, Delivery

    if name == "crate_labels_pdf":
        crates = Crate.objects.filter(shipment=int(url.split("/")[2]))
        marked = crates.exclude(mark="").order_by("pk").first()
        return f"{url}?crate={marked.pk if marked else 0}"
    if name == "add_evidence":
        return f"{url}?delivery={Delivery.objects.order_by('pk')[0].pk}"
    if name == "record_finding":
        key = int(url.split("/")[2])
        crate = Crate.objects.filter(shipment=key).order_by("pk").first()
        return f"{url}?stage=uncrating" + (f"&crate={crate.pk}" if crate else "")
    return url


def chosen_rows(word):
    """Return rows of a table that between them show every state, kind and flag."""
    from django.apps import apps

    from inventory.access import scoped
    from inventory.models import User

    model = apps.get_model(TABLES[word])
    rows = model._default_manager.order_by("pk")
    with suppress(KeyError):  # a table that belongs to no location
        rows = scoped(rows, User.objects.get(username="mina"))
    shown, chosen = set(), []
    for row in rows:
        new = {("any", True), *_signs(row)} - shown
        if new and len(chosen) < MOST_ROWS:
            chosen.append(row)
            shown |= new
    if not chosen and word not in YOUNGER:
        raise AssertionError(f"There is no {word} to open.")
    return chosen


def _signs(row):
    for field in row._meta.concrete_fields:
        value = getattr(row, field.attname)
        if field.choices or isinstance(value, bool):
            yield field.name, value
        elif field.null:
            yield field.name, value is None


if __name__ == "__main__":
    import django

    django.setup()
    main()
