"""Every table of the house is sealed, or is said here not to be, and why."""

from django.apps import apps

from inventory.models.keys import KeyField
from inventory.models.sealed import Sealed

NOT_SEALED = {
    "inventory.event": "the chain itself",
    "inventory.once": "which answer a form was given; the row it names is sealed",
    "inventory.lanebeat": "the pulse of the working program, no fact of the trade",
    "inventory.upkeeprun": "how the machine is kept, no fact of the trade",
    "inventory.openwork": "derived, and recomputed by verify",
    "inventory.opensum": "derived, and recomputed by verify",
    "inventory.accountmonth": "derived, and recomputed by verify",
    "inventory.searchkey": "derived, and recomputed by verify",
    "inventory.treetile": "derived, and recomputed by verify",
    "claims.countedbill": "derived, and recomputed by verify",
    "inventory.eventsubject": "held by the event's own sealed record",
}


def test_every_table_is_sealed_or_is_named_here():
    ours = [
        model
        for label in ("inventory", "claims")
        for model in apps.get_app_config(label).get_models()
    ]
    loose = {m._meta.label_lower for m in ours if not issubclass(m, Sealed)}

    assert loose == set(NOT_SEALED)


def test_no_two_tables_share_the_noun_that_events_use():
    nouns = [m._meta.model_name for m in apps.get_models() if issubclass(m, Sealed)]

    assert sorted(nouns) == sorted(set(nouns))


TRIES = ("due_from", "leased_by", "leased_until", "next_try_at", "tries", "trouble")
"""How often a mail was tried and when: its end is sealed, with its reason."""


def test_only_sign_ins_tries_and_derived_keys_are_left_out_of_the_images():
    left_out = {
        f"{model._meta.model_name}.{name}"
        for model in apps.get_models()
        for name in getattr(model, "UNSEALED", ())
        if not isinstance(model._meta.get_field(name), KeyField)
    }

    tries = {f"outgoingmail.{name}" for name in TRIES}
    factors = {"secondfactor.last_step", "passkey.count", "passkey.used_at"}
    looks = {"morningmail.last_day"}  # the day of the last look; the mail is sealed
    assert left_out == {"user.last_login"} | tries | looks | factors
