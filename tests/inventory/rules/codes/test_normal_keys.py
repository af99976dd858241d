"""The key of a number: any part of a mark finds it, with separators or without."""

from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.codes.normal_keys import normal_key

MARKS = st.text(alphabet="ABZ019 -/._#", min_size=1, max_size=20)


def test_case_and_separators_do_not_count():
    # From memory: how clerks type a mark that is painted with a slash or dashes.
    for typed in ("2F0416/6", "2f0416-6", " 2F 0416.6 ", "２Ｆ０４１６／６"):
        assert normal_key(typed) == "2f04166"
    assert normal_key(" -/.") == ""


@given(MARKS, st.data())
def test_any_part_typed_with_or_without_separators_is_in_the_key(mark, data):
    start = data.draw(st.integers(0, len(mark)))
    end = data.draw(st.integers(start, len(mark)))
    part = mark[start:end]

    assert normal_key(part) in normal_key(mark)
    assert normal_key(part.replace("-", "").replace("/", "")) in normal_key(mark)
    assert normal_key(" ".join(part).lower()) in normal_key(mark)
