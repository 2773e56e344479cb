from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vault.core.errors import TextNotUnderstood, TextUnclear
from vault.core.fineness import (
    WHOLE_PPB,
    Fineness,
    fineness_from_text,
    permille_from_text,
    typed_fineness,
    typed_part,
)


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


@given(st.integers(0, WHOLE_PPB), st.none() | st.integers(0, WHOLE_PPB), st.sampled_from(".,"))
def test_a_typed_fineness_with_its_doubt_reads_back_in_either_number_style(
    ppb: int, u_ppb: int | None, mark: str
) -> None:
    text = f"{Fineness(ppb).to_text()} ‰".replace(".", mark)
    if u_ppb is not None:
        text += f" ± {Fineness(u_ppb).to_text()} ‰".replace(".", mark)
    try:
        value, u = typed_fineness(text, decimal_mark=mark)
    except TextNotUnderstood as error:
        pytest.fail(f"{text}: {error}")
    assert value == Fineness(ppb)
    assert u == (None if u_ppb is None else Fineness(u_ppb))


@pytest.mark.parametrize(
    ("text", "ppb", "u_ppb"),
    [
        ("925", 925_000_000, None),
        ("0", 0, None),
        ("925 ± 0.5", 925_000_000, 500_000),
        ("92.5 ± 0.1 %", 925_000_000, 1_000_000),
        ("18 kt ± 2 ‰", 750_000_000, 2_000_000),
        ("4.6 g/kg +- .2", 4_600_000, 200_000),
        ("4.6 o/oo +/- 0.2", 4_600_000, 200_000),
        ("300 g/t", 300_000, None),
    ],
)
def test_a_fineness_and_its_doubt_are_read_as_people_type_them(
    text: str, ppb: int, u_ppb: int | None
) -> None:
    value, u = typed_fineness(text)
    assert value.ppb == ppb
    assert (None if u is None else u.ppb) == u_ppb


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("18", ("18 ‰", "18 %", "18 kt")),
        ("92.5", ("92.5 ‰", "92.5 %")),
        ("7", ("7 ‰", "7 %")),
        ("100", ("100 ‰", "100 %")),
        ("18 ± 0.5", ("18 ± 0.5 ‰", "18 ± 0.5 %", "18 ± 0.5 kt")),
    ],
)
def test_a_bare_number_of_several_units_is_asked_about(text: str, meant: tuple[str, ...]) -> None:
    with pytest.raises(TextUnclear, match=r"^Is .* meant as .*\?$") as caught:
        typed_fineness(text)
    assert caught.value.meant == meant
    for one in meant:
        typed_fineness(one)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("925 ±", "type it like 925 ± 0.5 ‰"),
        ("± 2", "type it like"),
        ("1 ± 2 ± 3", "type it like"),
        ("sterling", "is no fineness"),
        ("12 spoons", "is no unit of fineness"),
        ("1001 ‰", "between nothing and pure"),
        ("1,234 ‰", "could mean two numbers"),
        ("5 ± 0.10.02", "“0.10.02” is no number."),
    ],
)
def test_what_is_no_fineness_with_its_doubt_is_refused_in_a_sentence(text: str, words: str) -> None:
    with pytest.raises(TextNotUnderstood, match=words):
        typed_fineness(text)


@pytest.mark.parametrize(
    ("text", "ppb"),
    [("85 %", 850_000_000), ("2 ‰", 2_000_000), ("30 g/t", 30_000), ("925", 925_000_000)],
)
def test_a_part_of_terms_is_exact(text: str, ppb: int) -> None:
    assert typed_part(text) == Fineness(ppb)


def test_a_bare_part_of_terms_is_never_karat() -> None:
    with pytest.raises(TextUnclear, match=r"Is 18 meant as 18 ‰ or 18 %\?") as unclear:
        typed_part(" 18 ")
    assert unclear.value.meant == ("18 ‰", "18 %")


def test_a_part_of_terms_has_no_doubt() -> None:
    with pytest.raises(TextNotUnderstood, match="has a ±; terms are exact"):
        typed_part("85 ± 1 %")
