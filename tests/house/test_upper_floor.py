"""Inventory never asks claims: no name of the upper floor is written below it.

What the ground floor shows of the upper one is registered, once, as Django starts.
"""

import ast
import re
from dataclasses import replace

import pytest
from django.apps import apps

from claims.registration import FLOOR
from inventory import access, addresses, triggers, upper_floor
from inventory.rules.core import event_kinds, roles
from inventory.rules.core.registry import RegistrationError
from tests.house.running import ROOT

SOURCES = sorted(
    path
    for path in (ROOT / "inventory").rglob("*.py")
    if "migrations" not in path.parts
)
TEMPLATES = sorted(
    path
    for folder in ("inventory", "parts")
    for path in (ROOT / "templates" / folder).rglob("*.html")
)
GATES = {
    "decide",
    "locations_of",
    "may",
    "obtain",
    "require",
    "require_somewhere",
    "scoped",
}


def mentions(words, paths):
    """Return "path: word" for each of the words that stands whole in a file."""
    wanted = re.compile(rf"(?<![\w.])(?:{'|'.join(map(re.escape, words))})(?![\w-])")
    return [
        f"{path.relative_to(ROOT)}: {found}"
        for path in paths
        for found in wanted.findall(path.read_text(encoding="utf-8"))
    ]


def acts_asked(source):
    """Return every word handed to a gate, and every ``permission`` of a view."""
    found = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant):
            names = {getattr(target, "id", "") for target in node.targets}
            found |= {node.value.value} if "permission" in names else set()
        if isinstance(node, ast.Call):
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            given = [*node.args, *(each.value for each in node.keywords)]
            found |= {
                each.value
                for each in given
                if name in GATES
                and isinstance(each, ast.Constant)
                and isinstance(each.value, str)
            }
    return found


class TestNothingIsNamed:
    def test_no_table_or_model_of_claims(self):
        models = list(apps.get_app_config("claims").get_models())
        words = [
            word
            for model in models
            for word in (
                model._meta.db_table,
                model._meta.label,
                model._meta.label_lower,
            )
        ]

        assert "claims_packet" in words
        assert mentions(words, [*SOURCES, *TEMPLATES]) == []

    def test_no_kind_of_event_of_claims(self):
        kinds = [*FLOOR.sentences, *FLOOR.tones]

        assert "claim.made" in kinds
        assert mentions(kinds, [*SOURCES, *TEMPLATES]) == []

    def test_no_act_of_claims_is_asked_of_a_gate(self):
        asked = {
            path.name: acts_asked(path.read_text(encoding="utf-8")) & set(FLOOR.acts)
            for path in SOURCES
        }

        assert {name: acts for name, acts in asked.items() if acts} == {}

    def test_no_act_of_claims_stands_elsewhere(self):
        # "price" is a cause of a difference too, so only what cannot be another word.
        acts = [act for act in FLOOR.acts if "-" in act]

        assert mentions(acts, [*SOURCES, *TEMPLATES]) == []

    def test_each_act_of_the_ground_floor_is_asked_there(self):
        asked = set()
        for path in SOURCES:
            asked |= acts_asked(path.read_text(encoding="utf-8"))

        assert set(roles.ACTS) - set(FLOOR.acts) <= asked


class TestRegistration:
    def test_every_table_is_complete(self):
        tables = {model._meta.db_table for model in FLOOR.append_only}

        assert set(FLOOR.pages) <= set(addresses.pages)
        assert set(FLOOR.places) <= set(addresses.places)
        assert set(FLOOR.location_paths) <= set(access.location_paths)
        assert tables <= set(triggers.APPEND_ONLY)
        fixed = triggers.fixed_columns(FLOOR.fixed)
        assert fixed.items() <= dict(triggers.FIXED).items()
        assert set(FLOOR.acts) <= set(roles.ACTS)
        assert set(FLOOR.sentences) <= set(event_kinds.sentences)
        assert set(FLOOR.tones) <= set(event_kinds.tones)

    def test_it_is_refused_once_django_has_started(self):
        late = replace(FLOOR, acts={"borrow-forklift": frozenset({roles.CLERK})})

        with pytest.raises(RegistrationError, match="has started"):
            upper_floor.register(late)

        assert "borrow-forklift" not in roles.ACTS

    def test_a_second_one_is_refused_while_it_starts(self, monkeypatch):
        monkeypatch.setattr(apps, "ready", False)

        with pytest.raises(RegistrationError, match="registered already"):
            upper_floor.register(FLOOR)

    @pytest.mark.parametrize(
        "table",
        [
            addresses.pages,
            addresses.places,
            access.location_paths,
            triggers.APPEND_ONLY,
            triggers.FIXED,
            roles.ACTS,
            event_kinds.sentences,
            event_kinds.tones,
        ],
    )
    def test_no_table_can_be_completed_past_the_door(self, table):
        with pytest.raises(RegistrationError):
            table.complete({})
