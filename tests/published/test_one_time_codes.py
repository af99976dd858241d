"""One-time codes against the published values of their standards.

RFC 6238, Appendix B (all eighteen rows) and RFC 4226, Appendix D.
"""

import pytest

from inventory.rules.core.one_time_codes import (
    STEP,
    address_of_secret,
    code_at,
    letters_of,
    matching_step,
    step_at,
)

DIGITS = b"1234567890"
SEEDS = {  # RFC 6238, Appendix A: as many bytes as the hash gives
    "sha1": (DIGITS * 2)[:20],
    "sha256": (DIGITS * 4)[:32],
    "sha512": (DIGITS * 7)[:64],
}
APPENDIX_B = [
    (59, "94287082", "46119246", "90693936"),
    (1111111109, "07081804", "68084774", "25091201"),
    (1111111111, "14050471", "67062674", "99943326"),
    (1234567890, "89005924", "91819424", "93441116"),
    (2000000000, "69279037", "90698825", "38618901"),
    (20000000000, "65353130", "77737706", "47863826"),
]
APPENDIX_D = [
    *("755224", "287082", "359152", "969429", "338314"),
    *("254676", "287922", "162583", "399871", "520489"),
]


@pytest.mark.parametrize("row", APPENDIX_B)
def test_codes_are_those_of_rfc_6238(row):
    seconds, *codes = row
    for (algorithm, seed), code in zip(SEEDS.items(), codes, strict=True):
        step = step_at(seconds)
        assert code_at(seed, step, digits=8, algorithm=algorithm) == code


def test_codes_are_those_of_rfc_4226():
    assert [code_at(SEEDS["sha1"], n) for n in range(10)] == APPENDIX_D


def test_a_code_counts_for_its_step_and_one_either_way_and_once():
    seed, code = SEEDS["sha1"], code_at(SEEDS["sha1"], 1000)
    for seconds, found in [
        (998 * STEP + 29, None),
        (999 * STEP, 1000),
        (1000 * STEP + 29, 1000),
        (1001 * STEP + 29, 1000),
        (1002 * STEP, None),
    ]:
        assert matching_step(seed, code, seconds=seconds, after=0) == found
    assert matching_step(seed, code, seconds=1000 * STEP, after=1000) is None
    for wrong in ("", "12345", "1234567", "\u0661\u0662\u0663\u0664\u0665\u0666"):
        assert matching_step(seed, wrong, seconds=1000 * STEP, after=0) is None


def test_the_address_for_an_app_names_secret_and_issuer():
    # RFC 4648, 10: Base32 of "foobar" is MZXW6YTBOI======.
    assert letters_of(b"foobar") == "MZXW6YTBOI"
    assert address_of_secret(b"foobar", name="rosa", issuer="Tarefold") == (
        "otpauth://totp/Tarefold%3Arosa?secret=MZXW6YTBOI&issuer=Tarefold"
    )
