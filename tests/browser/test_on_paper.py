"""A page that is printed keeps its head apart from its first words."""

import pytest

pytestmark = pytest.mark.browser

_GAP = """() => {
  const head = document.querySelector(".masthead").getBoundingClientRect();
  const shown = [...document.querySelectorAll("main *")].find((one) => one.getBoundingClientRect().height);
  return shown.getBoundingClientRect().top - head.bottom;
}"""
LEAST = 10
"""Pixels: less, and the rule strikes the small capitals below it."""


@pytest.mark.parametrize("path", ["/deposits/", "/books/", "/claims/"])
def test_the_first_words_stand_clear_of_the_head(desk, path):
    desk.sign_in("mina", then=path)
    desk.page.emulate_media(media="print")

    assert desk.page.evaluate(_GAP) >= LEAST, path
