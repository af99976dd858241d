"""Passwords that are guessed first are refused; good ones of any kind are not.

NIST SP 800-63B-4, 3.1.1.2: compare with commonly used, expected or compromised
passwords, and impose no other rules of composition.
"""

import pytest
from django.contrib.auth.password_validation import CommonPasswordValidator

from inventory.rules.core.passwords import weakness_of, words_of_place

LISTED = CommonPasswordValidator().passwords
PLACE = words_of_place(["Riverside", "Rosa Field", "rosa", "dock.fieldworks.example"])

WEAK = {
    "a common password": [
        "Password1234567",
        "iloveyou!!!!!!!",
        "p a s s w o r d",
        "Riverside2026!!",
    ],
    "repeats": [
        "aaaaaaaaaaaaaaaa",
        "passwordpassword",
        "PasswordPassword",
        "iloveyouiloveyou",
        "password-password",
        "abcabcabcabcabcabc",
        "passwordpasswordpass",
        "riversideriverside",
        "tarefoldtarefold",
    ],
    "a row": ["abcdefghijklmnop", "zyxwvutsrqponml"],
    "little more than a name": [
        "rosafieldrosa12345",
        "Tarefold-Rosa-2026",
        "fieldworks-password",
    ],
}
GOOD = [
    "seven brown crates",
    "kraft-and-stencil",
    "correct horse battery staple",
    "the crates of Rosa smell of pine",
    "x9#Lq2!vB7$wN4@k",
    "\u0441\u0435\u043c\u044c \u043a\u043e\u0440\u0438\u0447\u043d\u0435\u0432\u044b\u0445",
]


@pytest.mark.parametrize(
    ("reason", "password"), [(why, one) for why, some in WEAK.items() for one in some]
)
def test_what_is_guessed_first_is_refused_with_the_reason(reason, password):
    assert reason in weakness_of(password, listed=LISTED, place=PLACE)


@pytest.mark.parametrize("password", GOOD)
def test_good_ones_need_no_figures_and_no_capitals(password):
    assert weakness_of(password, listed=LISTED, place=PLACE) == ""
