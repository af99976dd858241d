"""A run in its small form still meets every form, and every test of a form."""

from collections import Counter
from types import SimpleNamespace

from tests.drawing import left_out

TESTS = [f"test_{letter}" for letter in "abcdefg"]
FORMS = [f"form {number}" for number in range(15)]


class Item:
    def __init__(self, test, form=None, one_in=3, path="test_forms.py"):
        self.originalname, self.path, self.one_in = test, path, one_in
        self.marks = []
        if form:
            self.callspec = SimpleNamespace(id=form)

    def get_closest_marker(self, name):
        return SimpleNamespace(args=[self.one_in]) if self.one_in else None

    def add_marker(self, mark):
        self.marks.append(mark.name)


def items():
    return [Item(test, form) for test in TESTS for form in FORMS]


def taken(those):
    rest = left_out(those, every=False)
    return [one for one in those if one not in rest]


def names(those):
    return {(one.originalname, one.callspec.id) for one in those}


def test_every_form_meets_some_tests_and_every_test_some_forms():
    few = taken(items())
    assert Counter(one.originalname for one in few) == dict.fromkeys(TESTS, 5)
    by_form = Counter(one.callspec.id for one in few)
    assert set(by_form) == set(FORMS)
    assert set(by_form.values()) == {2, 3}


def test_it_is_the_same_draw_in_every_order_of_the_tests():
    assert names(taken(items())) == names(taken(items()[::-1]))


def test_the_whole_form_leaves_out_nothing_and_all_are_marked():
    those = items()
    assert left_out(those, every=True) == set()
    assert {tuple(one.marks) for one in those} == {("slow",)}


def test_a_test_without_cases_or_without_the_mark_is_always_taken():
    those = [Item("test_alone"), Item("test_plain", "form 1", one_in=None)]
    assert left_out(those, every=False) == set()
    assert [one.marks for one in those] == [[], []]
