"""The records are whole, and their pages are what the records say now."""

import pytest

from claims.management.commands.print_regimes import PAGES
from claims.rules.deadlines.starts import TRIGGER_WORDS
from claims.rules.regimes import REGIMES, VERSION
from claims.rules.regimes.printing import page_for
from claims.rules.regimes.records import ALL_LOSSES, TRIGGERS

RECORDS = [(key, each) for key, regime in REGIMES.items() for each in regime.records]


@pytest.mark.parametrize("key", sorted(REGIMES))
def test_the_printed_page_is_what_the_records_say(key):
    printed = (PAGES / f"{key}.md").read_text(encoding="utf-8")
    assert printed == page_for(REGIMES[key], VERSION)


def test_no_page_is_left_over():
    assert {path.stem for path in PAGES.iterdir()} == set(REGIMES)


@pytest.mark.parametrize(("regime", "record"), RECORDS)
def test_a_page_names_the_records_key_paragraph_and_certainty(regime, record):
    page = page_for(REGIMES[regime], VERSION)
    for words in (record.key, record.authority, record.confidence, record.effect):
        assert words in page


@pytest.mark.parametrize(("regime", "record"), RECORDS)
def test_a_record_has_an_authority_a_start_and_a_loss(regime, record):
    assert record.authority
    assert record.starts
    assert record.losses
    assert record.count is None or record.count >= 0


@pytest.mark.parametrize("regime", sorted(REGIMES))
def test_record_keys_are_unique_within_a_regime(regime):
    keys = [record.key for record in REGIMES[regime].records]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize("regime", sorted(REGIMES))
def test_no_loss_has_two_records_of_one_duty_at_one_time(regime):
    seen = set()
    for record in REGIMES[regime].records:
        for loss in record.losses:
            key = (record.duty, loss, record.effective_from)
            assert key not in seen
            seen.add(key)


@pytest.mark.parametrize(
    "regime", sorted(set(REGIMES) - {"parcel", "private", "us-intrastate"})
)
def test_every_loss_has_a_suit_or_a_claim(regime):
    covered = {
        loss
        for record in REGIMES[regime].records
        if record.duty in {"suit", "claim"}
        for loss in record.losses
    }
    assert covered == set(ALL_LOSSES)


def test_every_trigger_has_its_words():
    assert set(TRIGGERS) | {"disposition"} == set(TRIGGER_WORDS)
