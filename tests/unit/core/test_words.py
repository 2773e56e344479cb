from __future__ import annotations

import pytest

from vault.core.words import LONGEST_NAME, LONGEST_NOTE, spelling_of, tidied, trouble_with


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("B-0001", "B-0001"),
        ("  bar  one ", "bar one"),
        ("Mu\u0308ller", "M\u00fcller"),
        ("M\u00fcller\u00a0&\u2009Co", "M\u00fcller & Co"),
        ("\u00a0", ""),
        ("", ""),
    ],
)
def test_a_typed_name_is_kept_in_one_form(typed: str, kept: str) -> None:
    assert tidied(typed) == kept


def test_a_note_keeps_its_lines_and_loses_what_hangs_over() -> None:
    assert tidied(" one \r\n\ttwo  three\r\rfour\n\n", is_note=True) == "one\ntwo three\n\nfour"


@pytest.mark.parametrize(
    "word",
    [
        "",
        "B-0001",
        "Pennant Bench School",
        "Møller & Søn",
        "'t Hoekje",
        "陳記",
        "\u0646\u200c\u06cc",
    ],
)
def test_a_plain_name_gives_no_trouble(word: str) -> None:
    assert trouble_with(word) is None


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("=1", "would run as a formula"),
        ("+1", "would run as a formula"),
        ("-", "would run as a formula"),
        ("@x", "would run as a formula"),
        ("\uff20x", "would run as a formula"),
        ("a\nb", "U+000A"),
        ("a\x7f", "U+007F"),
        ("a\ufeff", "U+FEFF"),
        ("a\ud800", "U+D800"),
        ("a\u2028b", "U+2028"),
        (" a", "spaces around it"),
        ("a  b", "double spaces"),
        ("e\u0301", "letters composed of parts"),
        ("x" * (LONGEST_NAME + 1), "201 characters long; at most 200"),
    ],
)
def test_a_name_that_could_be_taken_for_another_is_refused(word: str, said: str) -> None:
    sentence = trouble_with(word)
    assert sentence is not None
    assert said in sentence
    # The sentence itself can be shown and sent anywhere.
    assert sentence.encode()
    assert "\n" not in sentence


def test_a_note_may_be_long_have_lines_and_begin_with_any_sign() -> None:
    assert trouble_with("=1\n" + "x" * 9_000, is_note=True) is None
    assert "10001 characters" in (trouble_with("x" * (LONGEST_NOTE + 1), is_note=True) or "")
    assert "U+000D" in (trouble_with("a\r\nb", is_note=True) or "")


def test_a_letter_newer_than_this_program_is_a_letter() -> None:
    assert trouble_with("\U0003fff0") is None


def test_two_spellings_of_one_name_are_told_alike() -> None:
    assert spelling_of("Pennant Bench School") == spelling_of("PENNANT bénch-school")
    assert spelling_of("Pennant Bench School") != spelling_of("Pennant Beach School")
    assert spelling_of("鈴木") != spelling_of("佐藤")
