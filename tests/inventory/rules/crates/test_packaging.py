"""What ends a packaging hold, and what is still missing for it."""

import pytest

from inventory.rules.crates.packaging import (
    NEEDED,
    ReleaseFacts,
    photo_checks,
    why_not_release,
)

ALL = {need.kind: need.count for need in NEEDED}


def against(how, **over):
    return why_not_release(ReleaseFacts(**{"how": how, "reason": "Seen.", **over}))


@pytest.mark.parametrize(
    ("how", "paper"), [("inspected", "inspection report"), ("waived", "written waiver")]
)
def test_the_carriers_way_needs_the_carriers_paper(how, paper):
    assert paper in against(how)
    assert against(how, has_proof=True) == ""


def test_photos_do_not_stand_for_the_carriers_paper():
    assert against("waived", pictures=ALL)


def test_the_managers_way_needs_every_photo_and_no_paper():
    assert against("manager", pictures=ALL) == ""
    for need in NEEDED:
        one_short = ALL | {need.kind: need.count - 1}
        assert need.words.lower() in against("manager", pictures=one_short)
    assert against("manager", has_proof=True)


@pytest.mark.parametrize("how", ["inspected", "waived", "manager"])
def test_every_way_needs_a_reason(how):
    sentence = against(how, reason=" \n", has_proof=True, pictures=ALL)
    assert sentence.startswith("Enter the reason")
    assert sentence.endswith("The hold was not released.")


def test_an_unknown_way_is_a_mistake():
    with pytest.raises(KeyError):
        against("shouting")


def test_the_list_says_what_is_kept_of_what_is_needed():
    checks = photo_checks({"face": 4, "inside": 2, "other": 9})
    assert [(row.needed.kind, row.kept, row.is_met) for row in checks] == [
        ("face", 4, False),
        ("inside", 2, True),
        ("blocking", 0, False),
        ("label", 0, False),
    ]
