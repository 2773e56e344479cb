"""What residues are made of beside precious metal: read as it is typed, refused with a sentence."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builders import fineness
from vault.core.errors import TextNotUnderstood
from vault.core.fineness import Fineness
from vault.core.makeup import Makeup, makeup_from_text, makeup_to_text

ELEMENTS = ("Pb", "As", "Cd", "chlorine", "zinc oxide", "Hg")


@pytest.mark.parametrize(
    ("text", "mark", "dry", "shares"),
    [
        ("", ".", None, {}),
        ("dry 98 %", ".", "980 ‰", {}),
        ("Dry 98%, Pb 55%", ".", "980 ‰", {"Pb": "550 ‰"}),
        ("Pb 55 %; As 0,1 %", ",", None, {"Pb": "550 ‰", "As": "1 ‰"}),
        ("Pb 55,5 %, As 200 g/t,", ",", None, {"Pb": "555 ‰", "As": "0.2 ‰"}),
        ("zinc oxide 3 ‰", ".", None, {"zinc oxide": "3 ‰"}),
    ],
)
def test_it_is_read_as_it_is_typed(
    text: str, mark: str, dry: str | None, shares: dict[str, str]
) -> None:
    assert makeup_from_text(text, decimal_mark=mark) == Makeup(
        None if dry is None else fineness(dry), {one: fineness(it) for one, it in shares.items()}
    )


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Pb", "“Pb” is no part of it; type name, number and unit"),
        ("dry 98 %, lots of lead", "“lots of lead” is no part of it"),
        ("Pb 55", "“Pb 55” is no part of it"),
        ("55 % Pb", "is no part of it"),
        ("Pb 55 %, pb 3 %", "pb stands there twice"),
        ("Pb 60 %, Cd 41 %", "Pb and Cd together are more than all of it"),
        ("dry 0 %", "nothing but water"),
        ("dry 130 %", "impossible"),
        ("Pb 3 ounces", "no unit of fineness"),
        ("Ag 3 %", "How much silver is in it the program works out"),
        ("Gold 1 ‰", "How much gold is in it the program works out"),
        ("Pb 50 ± 2 %", "is no part of it"),
    ],
)
def test_what_cannot_be_read_or_cannot_be_is_refused_with_a_sentence(text: str, told: str) -> None:
    with pytest.raises(TextNotUnderstood, match=told):
        makeup_from_text(text)


@given(
    dry=st.none() | st.integers(1, 10**9),
    shares=st.dictionaries(st.sampled_from(ELEMENTS), st.integers(0, 10**8), max_size=4),
    mark=st.sampled_from([".", ","]),
)
def test_written_and_read_again_it_is_the_same(
    dry: int | None, shares: dict[str, int], mark: str
) -> None:
    made = Makeup(
        None if dry is None else Fineness(dry), {one: Fineness(it) for one, it in shares.items()}
    )
    assert makeup_from_text(makeup_to_text(made, decimal_mark=mark), decimal_mark=mark) == made
