from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vault.core.errors import TextNotUnderstood
from vault.core.fineness import WHOLE_PPB, Fineness, fineness_from_text, permille_from_text


@given(st.integers(0, WHOLE_PPB))
def test_a_fineness_reads_back_as_it_was_written(ppb: int) -> None:
    fineness = Fineness(ppb)
    assert permille_from_text(fineness.to_text()) == fineness
    assert fineness.permille == Decimal(ppb) / 1_000_000


@pytest.mark.parametrize(
    ("text", "ppb"),
    [
        ("925", 925_000_000),
        ("925 ‰", 925_000_000),
        ("92,5 %", 925_000_000),
        ("18 kt", 750_000_000),
        ("18k", 750_000_000),
        ("14 Karat", 583_333_333),
        ("300 g/t", 300_000),
        ("2 ppm", 2_000),
        ("0", 0),
        ("1000", WHOLE_PPB),
    ],
)
def test_finenesses_are_read_as_people_type_them(text: str, ppb: int) -> None:
    assert fineness_from_text(text) == Fineness(ppb)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is no fineness; type"),
        ("sterling", "is no fineness"),
        ("9 parts", "is no unit of fineness"),
        ("1001", "lies between nothing and pure"),
        ("-1", "lies between nothing and pure"),
        ("25 kt", "lies between nothing and pure"),
    ],
)
def test_what_is_no_fineness_is_refused_in_a_sentence(text: str, words: str) -> None:
    with pytest.raises(TextNotUnderstood, match=words):
        fineness_from_text(text)


@pytest.mark.parametrize(
    ("text", "words"), [("92.5 %", "is no fineness; write ‰"), ("1000.000001", "impossible")]
)
def test_the_strict_form_of_files_is_permille(text: str, words: str) -> None:
    with pytest.raises(TextNotUnderstood, match=words):
        permille_from_text(text)


def test_a_share_is_a_float_for_reckoning() -> None:
    assert Fineness(925_000_000).share == 0.925
