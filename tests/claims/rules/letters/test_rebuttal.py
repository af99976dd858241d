"""The answer to a written denial: a point is offered and quoted where its fact is there."""

from dataclasses import replace
from datetime import date

import pytest

from claims.rules.letters import rebuttal_claim as claim
from claims.rules.letters import rebuttal_delivery as dock
from claims.rules.letters import rebuttal_goods as goods
from claims.rules.letters.rebuttal import (
    POINTS,
    REBUTTAL,
    RebuttalChoices,
    key_of,
    offered,
)
from claims.rules.letters.rebuttal_reasons import REASONS
from claims.rules.packet.working import OURS
from inventory.rules.core.vocabulary import REGIMES
from tests.claims.rules.letters.answering import (
    ANSWER_BY,
    FACTS,
    RECORD,
    with_receipt,
    with_record,
    without_files,
)

LATE = with_record(notices=(replace(RECORD.notices[0], in_time=False),))
NO_NOTICE = with_record(notices=RECORD.notices[1:])

FACTS_TABLE = {
    # fact: (what the letter quotes, the record with it, the record without it)
    dock.exceptions: (
        'Sam Poole signed the delivery receipt with our exceptions, on both copies (Exhibit 6): "Crate 1: corner post split."',
        FACTS,
        with_receipt(words=""),
    ),
    dock.on_your_pod: (
        "proof of delivery of March 10, 2026 shows our exceptions (Exhibit 7)",
        FACTS,
        with_receipt(pod="awaited"),
    ),
    dock.protest: (
        "On March 12, 2026 we wrote to you that your copy does not show",
        FACTS,
        with_record(notices=RECORD.notices[:1]),
    ),
    dock.delivered_photos: (
        "photographed as delivered: 1 photo of March 10, 2026 (Exhibit 5)",
        FACTS,
        without_files("look"),
    ),
    dock.load_photos: (
        "before it was unloaded: 1 photo of March 10, 2026 (Exhibit 4)",
        FACTS,
        without_files("load"),
    ),
    dock.on_trailer: (
        "seen on your trailer 5312",
        FACTS,
        with_receipt(on_trailer=False),
    ),
    dock.driver_unloaded: (
        "Your driver Sam Poole unloaded on March 10, 2026 (forklift)",
        FACTS,
        with_receipt(unloaded_by="us"),
    ),
    dock.seal: (
        "seal 88120 of your trailer 5312 was broken",
        FACTS,
        with_receipt(seal_condition="intact"),
    ),
    dock.counted: (
        "All 4 crates billed were counted at our dock on March 10, 2026",
        FACTS,
        with_receipt(counted=None),
    ),
    dock.your_truck: (
        "Sam Poole with trailer 5312 delivered this freight",
        FACTS,
        with_receipt(driver="", trailer=""),
    ),
    dock.unmarked: (
        "3 other crates of this freight bill",
        FACTS,
        with_record(unmarked=0),
    ),
    goods.crate_marked: (
        "Crate, crushed: Corner post split at side 1 (Exhibit 5).",
        FACTS,
        with_record(findings=RECORD.findings[1:]),
    ),
    goods.indicator: (
        "On March 10, 2026 an indicator had tripped. Tilt indicator, indicator tripped: Window red.",
        FACTS,
        with_record(findings=(RECORD.findings[0], RECORD.findings[2])),
    ),
    goods.hidden: (
        "opened on March 16, 2026. Deck shell, bent: Shell bent 12 mm at the left mount (Exhibit 10).",
        FACTS,
        with_record(findings=RECORD.findings[:2]),
    ),
    goods.by_force: (
        "The damage is this: deck shell, bent.",
        FACTS,
        with_record(findings=(replace(RECORD.findings[2], kind="wet"),)),
    ),
    goods.opening_photos: (
        "The opening of the crate was photographed: 1 photo of March 10, 2026 (Exhibit 8)",
        FACTS,
        without_files("opening"),
    ),
    goods.blocking_photos: (
        "Blocking and bracing were photographed as found: 1 photo of March 10, 2026 (Exhibit 9)",
        FACTS,
        without_files("blocking"),
    ),
    goods.origin: (
        "the shipper's record of it (Exhibit 13)",
        FACTS,
        without_files("origin-condition"),
    ),
    goods.new_machine: (
        "new when it was shipped: TX 48 tiller, serial 10021",
        FACTS,
        with_record(new_machines=()),
    ),
    goods.proof_in_order: (
        "when you took them (Exhibit 13), of their condition when you delivered them (Exhibits 5, 6, 8 and 10)",
        FACTS,
        without_files("origin-condition"),
    ),
    goods.notice_in_time: (
        "On March 17, 2026 we sent you written notice of the damage by email and asked you to inspect; you received it on March 18, 2026 (proof: Reply of L. Parr)",
        FACTS,
        LATE,
    ),
    goods.notice_given: (
        "On March 17, 2026 we sent you written notice",
        LATE,
        NO_NOTICE,
    ),
    goods.notice: ("On March 17, 2026 we sent you written notice", FACTS, NO_NOTICE),
    goods.custody: (
        "Crate 1 (HT-001) was not opened between delivery on March 10, 2026 and March 16, 2026. It was kept here: Bay 2, indoors. It was moved by: Rosa Tellow, forklift.",
        FACTS,
        with_record(custody=()),
    ),
    goods.asked: (
        "We asked you on March 19, 2026 to inspect the packaging",
        FACTS,
        with_record(asked_on=()),
    ),
    goods.waived: (
        "You waived inspection in writing on March 23, 2026: your waiver (Exhibit 12)",
        FACTS,
        replace(
            without_files("inspection-waiver"),
            record=replace(
                without_files("inspection-waiver").record,
                inspections=RECORD.inspections[:1],
            ),
        ),
    ),
    goods.inspected: (
        "You inspected the goods on March 20, 2026: your inspection report (Exhibit 11)",
        FACTS,
        replace(
            without_files("inspection-report"),
            record=replace(
                without_files("inspection-report").record,
                inspections=RECORD.inspections[1:],
            ),
        ),
    ),
    goods.held: (
        "held for your inspection here: Bay 4, weekdays 8 to 4.",
        FACTS,
        with_record(is_held=False),
    ),
    claim.filed: (
        "delivered on March 10, 2026, and you received our written claim on March 25, 2026 (proof: Signed by M. Dorn)",
        FACTS,
        with_record(filed_in_time=False),
    ),
    claim.acknowledged: (
        "On April 2, 2026 you acknowledged the claim",
        FACTS,
        replace(FACTS, acknowledged_on=None),
    ),
    claim.your_papers: (
        "your freight bill (Exhibit 2) and your proof of delivery (Exhibit 7)",
        FACTS,
        without_files("freight-bill", "carrier-image"),
    ),
    claim.bill_of_lading: (
        "The goods moved on this bill of lading (Exhibit 1)",
        FACTS,
        without_files("bill-of-lading"),
    ),
    claim.freight_paid: (
        "The freight was paid: the proof of payment (Exhibit 3)",
        FACTS,
        without_files("freight-paid"),
    ),
    claim.freight_of_others: (
        "the freight is prepaid by the shipper",
        FACTS,
        with_record(freight_payer="collect"),
    ),
    claim.within_limit: (
        "Even were a released value of USD 2.50 a pound to apply, it would come to USD 2,030.00; our claim is USD 962.50.",
        FACTS,
        with_record(limit_cents=96_249),
    ),
    claim.weight: (
        "The article as shipped weighs: TX 48 tiller, 812 lb",
        FACTS,
        with_record(weights=()),
    ),
    claim.salvage_held: (
        "As to salvage: Riverside holds the deck shell.",
        FACTS,
        with_record(salvage=""),
    ),
    claim.salvage_credited: (
        "already takes off USD 50.00",
        FACTS,
        with_record(salvage_cents=0),
    ),
    claim.parts_kept: (
        "tagged and kept here: T-0007, deck shell",
        FACTS,
        with_record(parts_kept=()),
    ),
    claim.refused: (
        "Crate 4 (HT-004) was refused on March 10, 2026",
        FACTS,
        with_record(refused=()),
    ),
}

ROWS = [(reason, point) for reason, points in POINTS.items() for point in points]


def keys(facts):
    return [
        key_of(reason, one)
        for reason, points in offered(facts).items()
        for one in points
    ]


def written(facts, *chosen, own_words=""):
    choices = RebuttalChoices(tuple(chosen), own_words, ANSWER_BY)
    assert REBUTTAL.against_choices(facts, choices) == ()
    return REBUTTAL.write(facts, choices)


@pytest.mark.parametrize("row", ROWS, ids=[key_of(*row) for row in ROWS])
class TestEveryPoint:
    def test_is_offered_and_quoted_where_its_fact_is_there(self, row):
        quote, there, _ = FACTS_TABLE[row[1].fact]
        key = key_of(*row)
        assert key in keys(there)
        assert written(there, key).body.count(quote) == 1

    def test_is_not_offered_without_its_fact(self, row):
        _, _, away = FACTS_TABLE[row[1].fact]
        assert key_of(*row) not in keys(away)

    def test_is_not_offered_without_a_record(self, row):
        assert key_of(*row) not in keys(replace(FACTS, record=None))


def test_every_reason_has_points_and_every_point_a_source():
    assert list(POINTS) == list(REASONS)
    assert len({key_of(*row) for row in ROWS}) == len(ROWS)
    assert all(point.rule.source for _, point in ROWS)
    assert all(point.so or point.rule.law for _, point in ROWS)


def test_a_fact_and_a_rule_are_told_once_and_then_named_by_number():
    body = written(FACTS, *keys(FACTS)).body
    for fact in {point.fact for _, point in ROWS}:
        told = fact(FACTS, RECORD)
        assert body.count(told) == 1 if told else True, told
    for law in {point.rule.law for _, point in ROWS if point.rule.law}:
        assert body.count(law) == 1, law
    assert "See point 1. So the crate was damaged when it was delivered." in body


def test_points_are_numbered_through():
    body = written(FACTS, *keys(FACTS)).body
    lines = [line for line in body.split("\n") if line[:1].isdigit()]
    numbers = [int(line.split(".")[0]) for line in lines]
    assert numbers == list(range(1, len(keys(FACTS)) + 1))


def test_the_letter_asks_to_reopen_and_pay_and_reserves_all_rights():
    letter = written(FACTS, "packaging/unmarked", own_words="Call us\n at any time")
    assert letter.subject == "Claim RIV-2026-0003: request to reopen and pay"
    assert "Your letter of April 27, 2026 declines our claim" in letter.body
    assert "Please reopen the claim and pay USD 962.50." in letter.body
    assert "by June 3, 2026" in letter.body
    assert "All our rights are reserved." in letter.body
    assert "Call us at any time." in letter.body


def test_only_chosen_points_are_in_the_letter():
    body = written(FACTS, "salvage/parts").body
    assert "On salvage:\n1. The parts taken off" in body
    assert "On the packaging" not in body


@pytest.mark.parametrize(
    "regime", [key for key in REGIMES if not key.startswith("us-motor")]
)
def test_no_rule_of_us_motor_carriage_is_cited_under_another_law(regime):
    facts = replace(FACTS, regime=regime)
    body = written(facts, *keys(facts)).body
    for words in ("U.S.C.", "CFR", "NMFC", "GAO"):
        assert words not in body
    assert ("Elmore" in body) == (regime == "us-rail")
    assert "released-value/weight" not in keys(facts)


def test_nothing_of_the_working_file_is_in_the_letter():
    for facts in (FACTS, LATE, with_record(has_shortage=True)):
        said = written(facts, *keys(facts)).text.casefold()
        assert [words for words in OURS if words in said] == []


@pytest.mark.parametrize(
    ("ending", "words"),
    [
        ("handheld", "with your driver Sam Poole, whose handheld took no exceptions"),
        ("refused", "your driver Sam Poole refused to sign (witness: Al Finch)"),
        ("no-wait", "your driver Sam Poole would not wait"),
        ("dropped", "no driver was present"),
        ("unattended", "no driver was present"),
    ],
)
def test_exceptions_are_never_said_to_be_signed_that_were_not(ending, words):
    facts = with_receipt(ending=ending, witness="Al Finch")
    body = written(facts, "clean-receipt/exceptions").body
    assert words in body
    assert "signed the delivery receipt" not in body


def test_a_receipt_signed_without_our_exceptions_makes_no_point():
    assert "clean-receipt/exceptions" not in keys(with_receipt(ending="bare"))


def test_a_short_count_that_the_driver_signed_is_quoted_and_another_is_not():
    short = with_record(
        has_shortage=True, receipts=(replace(RECORD.receipts[0], counted=3),)
    )
    assert (
        "3 of 4 crates billed were counted at our dock on March 10, 2026, and your "
        "driver signed for that count."
    ) in written(short, "load-and-count/counted").body
    unsigned = with_record(
        has_shortage=True,
        receipts=(replace(RECORD.receipts[0], counted=3, ending="refused"),),
    )
    assert "load-and-count/counted" not in keys(unsigned)
    assert "load-and-count/counted" not in keys(with_receipt(counted=3))


def test_what_is_not_an_exhibit_is_named_by_its_day():
    files = tuple(replace(row, exhibit=0) for row in RECORD.files)
    facts = with_record(files=files)
    body = written(facts, "freight-unpaid/paid", "load-and-count/load-photos").body
    assert "the proof of payment, on file here since March 10, 2026." in body
    assert "1 photo of March 10, 2026." in body
    assert "packaging/proof" not in keys(facts)


def test_open_goods_need_no_record_of_packing():
    facts = with_record(
        findings=RECORD.findings[:1],
        files=tuple(row for row in RECORD.files if row.kind != "origin-condition"),
    )
    assert "when you took them (Exhibit 1)" in written(facts, "packaging/proof").body


def test_own_words_end_like_a_sentence_and_may_be_none():
    ended = written(FACTS, "salvage/parts", own_words="Call us.").body
    assert "\n\nCall us.\n\n" in ended
    none = written(FACTS, "salvage/parts").body.split("\n\n")
    assert len(none) == len(ended.split("\n\n")) - 1


def test_a_claim_of_just_the_limit_is_within_it():
    facts = with_record(limit_cents=FACTS.claimed_cents)
    assert "released-value/within" in keys(facts)
    for over in ({"limit_cents": None}, {"released_cents_per_lb": 0}):
        assert "released-value/within" not in keys(with_record(**over))


def test_a_count_is_quoted_only_where_every_truck_was_counted():
    second = replace(RECORD.receipts[0], on=date(2026, 3, 12), counted=None)
    both = (replace(RECORD.receipts[0], counted=4), second)
    for over in ({"pieces": 0}, {"receipts": ()}, {"receipts": both}):
        assert "load-and-count/counted" not in keys(with_record(**over))
    halves = tuple(replace(row, counted=2) for row in both)
    body = written(with_record(receipts=halves), "load-and-count/counted").body
    assert "counted at our dock on March 10, 2026 and March 12, 2026" in body


def test_one_signed_receipt_of_two_is_enough_for_a_short_count():
    first = replace(RECORD.receipts[0], counted=1)
    second = replace(RECORD.receipts[0], counted=2, words="", ending="bare")
    short = with_record(has_shortage=True, receipts=(first, second))
    assert "load-and-count/counted" in keys(short)
    full = with_record(has_shortage=True)
    assert "load-and-count/counted" not in keys(full)


def test_a_driver_or_a_trailer_alone_names_the_truck():
    for over, words in (
        ({"driver": ""}, "your driver with trailer 5312 delivered"),
        ({"trailer": ""}, "your driver Sam Poole delivered"),
    ):
        assert words in written(with_receipt(**over), "wrong-carrier/your-truck").body


def test_one_is_one_and_the_first_day_is_the_first():
    one = written(with_record(unmarked=1), "packaging/unmarked").body
    assert "One other crate of this freight bill showed no damage" in one
    later = (*RECORD.files, replace(RECORD.files[3], on=date(2026, 3, 11), exhibit=20))
    body = written(with_record(files=later), "load-and-count/load-photos").body
    assert "2 photos, the first of March 10, 2026 (Exhibits 4 and 20)" in body
    crates = with_record(refused=("Crate 4", "Crate 5"), pieces=1)
    single = replace(
        crates,
        record=replace(
            crates.record, receipts=(replace(RECORD.receipts[0], counted=1),)
        ),
    )
    body = written(single, "salvage/refused", "load-and-count/counted").body
    assert "Crate 4 and Crate 5 were refused" in body
    assert "The 1 crate billed was counted" in body


def test_the_first_notice_is_quoted_and_a_late_one_still_answers_the_others():
    later = replace(RECORD.notices[0], sent_on=date(2026, 4, 9))
    facts = with_record(notices=(later, *RECORD.notices))
    body = written(facts, "late-notice/in-time").body
    assert "On March 17, 2026 we sent you" in body
    assert "April 9" not in body
    assert "no-inspection/notice" in keys(LATE)


@pytest.mark.parametrize(
    ("name", "kind", "how", "words"),
    [
        ("waived", "inspection-waiver", 1, "waived inspection in writing"),
        ("inspected", "inspection-report", 0, "inspected the goods"),
    ],
)
def test_a_day_or_a_document_is_enough_of_an_inspection(name, kind, how, words):
    key = f"no-inspection/{name}"
    by_day = replace(
        FACTS,
        record=replace(without_files(kind).record, inspections=RECORD.inspections),
    )
    day = "March 23, 2026" if how else "March 20, 2026"
    assert f"You {words} on {day}." in written(by_day, key).body
    by_paper = with_record(inspections=())
    assert f"You {words}: your" in written(by_paper, key).body


def test_two_pieces_are_all_of_two():
    two = with_record(pieces=2, receipts=(replace(RECORD.receipts[0], counted=2),))
    assert "All 2 crates billed were" in written(two, "load-and-count/counted").body


def test_a_crate_opened_on_the_day_of_delivery_has_no_custody_to_tell():
    row = replace(RECORD.custody[0], opened_on=date(2026, 3, 10))
    assert "late-notice/custody" not in keys(with_record(custody=(row,)))
    second = replace(RECORD.receipts[0], on=date(2026, 3, 18))
    both = with_record(receipts=(second, RECORD.receipts[0]))
    assert "delivery on March 10, 2026" in written(both, "late-notice/custody").body


class TestRefusals:
    @pytest.mark.parametrize(
        ("facts", "words"),
        [
            (replace(FACTS, disallowed_on=None), "has not declined"),
            (replace(FACTS, claimant="supplier"), "the supplier's to file"),
            (replace(FACTS, is_over=True), "settled or withdrawn"),
            (replace(FACTS, claimed_cents=0), "no amount"),
            (replace(FACTS, record=None), "No fact on record"),
        ],
    )
    def test_what_is_not_possible_is_said(self, facts, words):
        assert words in " ".join(REBUTTAL.against(facts))

    def test_nothing_is_against_it_otherwise(self):
        assert REBUTTAL.against(FACTS) == ()

    @pytest.mark.parametrize(
        ("choices", "words"),
        [
            (RebuttalChoices((), "", ANSWER_BY), "at least one point"),
            (RebuttalChoices(("salvage/no",), "", ANSWER_BY), "no fact on record"),
            (
                RebuttalChoices(("salvage/parts",), "", date(2026, 5, 4)),
                "not after today",
            ),
        ],
    )
    def test_choices_that_do_not_fit_are_said(self, choices, words):
        assert words in " ".join(REBUTTAL.against_choices(FACTS, choices))

    def test_a_point_whose_fact_is_gone_is_refused(self):
        choices = RebuttalChoices(("salvage/parts",), "", ANSWER_BY)
        away = with_record(parts_kept=())
        assert "no fact on record" in " ".join(REBUTTAL.against_choices(away, choices))
