"""The shop's scales are kept with the book, and what makes no sense is refused in words."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from builders import mass
from vault.application.book import Book
from vault.application.scales import forget_scale, keep_scale, scale_in_use, scales, use_scale
from vault.bench.scale_lines import Reading
from vault.bench.scale_profiles import Profile
from vault.bench.scale_teaching import teach
from vault.bench.scales import Scale, ScaleNotKept, scale_from_words, scale_to_words

BENCH = Scale(
    name="bench",
    device="/dev/ttyUSB0",
    step=mass("0.01 g"),
    interval=mass("0.1 g"),
    accuracy_class="II",
    maximum=mass("3200 g"),
)


@pytest.fixture
def taught() -> Scale:
    profile = teach("W 12.30 gr", "12.30 g", flag_at=None)
    assert isinstance(profile, Profile)
    return replace(BENCH, name="yard", profile=profile, baud=2400, framing="7E1", unit="kg")


def test_scales_come_back_from_the_book_as_they_were_kept(tmp_path: Path, taught: Scale) -> None:
    path = tmp_path / "shop.shop"
    with Book.create(path, zone="UTC") as book:
        assert scales(book) == ()
        assert scale_in_use(book) is None
        keep_scale(book, taught)
        assert keep_scale(book, BENCH).settings
    with Book.open(path) as book:
        assert scales(book) == (BENCH, taught)
        assert scale_in_use(book) == BENCH
        use_scale(book, "yard")
        assert scale_in_use(book) == taught


def test_a_scale_is_renamed_and_forgotten(tmp_path: Path) -> None:
    with Book.create(tmp_path / "shop.shop", zone="UTC") as book:
        keep_scale(book, BENCH)
        keep_scale(book, replace(BENCH, name=" counter "), was="bench")
        assert [one.name for one in scales(book)] == ["counter"]
        forget_scale(book, "counter")
        assert scales(book) == ()


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"name": " "}, "Give the scale a name"),
        ({"device": ""}, "Choose the port"),
        ({"baud": 1}, "Choose a speed and a framing"),
        ({"framing": "9X9"}, "Choose a speed and a framing"),
        ({"unit": "lb"}, "Choose the unit"),
        ({"accuracy_class": "V"}, "Choose the class"),
        ({"u": mass("0 g")}, "The ± of a scale is above zero"),
        ({"interval": mass("-1 g")}, "The verification interval of a scale is above zero"),
        ({"step": None, "interval": None}, "A class needs the interval e or the step"),
    ],
)
def test_settings_without_sense_are_refused(
    tmp_path: Path, wrong: dict[str, object], words: str
) -> None:
    with Book.create(tmp_path / "shop.shop", zone="UTC") as book:
        with pytest.raises(ScaleNotKept, match=words):
            keep_scale(book, replace(BENCH, **wrong))  # type: ignore[arg-type]  # a table of them
        assert scales(book) == ()


def test_two_scales_do_not_share_a_name(tmp_path: Path) -> None:
    with Book.create(tmp_path / "shop.shop", zone="UTC") as book:
        keep_scale(book, BENCH)
        with pytest.raises(ScaleNotKept, match="There is a scale called Bench already"):
            keep_scale(book, replace(BENCH, name="Bench"))


@pytest.mark.parametrize("kept", ["nonsense", "{}", '[1, {"name": "x"}, {"name": ""}]'])
def test_settings_that_a_hand_has_broken_are_left_out(tmp_path: Path, kept: str) -> None:
    with Book.create(tmp_path / "shop.shop", zone="UTC") as book:
        book.file.change_setting("scales", kept)
        assert scales(book) == ()


def test_words_of_a_scale_are_plain_and_complete(taught: Scale) -> None:
    assert scale_from_words(scale_to_words(taught)) == taught


def test_lines_are_read_as_taught_or_else_by_the_common_shapes(taught: Scale) -> None:
    assert isinstance(taught.read("W 1.20 gr"), Reading)
    assert not isinstance(BENCH.read("W 1.20 gr"), Reading)
    assert isinstance(BENCH.read("ST,GS,+ 1.20 g"), Reading)


def test_the_doubt_follows_from_the_plate_unless_the_owner_knows_better() -> None:
    """0.1 g in service at 200 g of class II with e = 0.1 g: √(0.1²/3 + 0.01²/12) = 0.0578."""
    assert BENCH.doubt_of(mass("200 g")) == mass("0.057807 g")
    assert replace(BENCH, u=mass("0.02 g")).doubt_of(mass("200 g")) == mass("0.02 g")
    assert replace(BENCH, accuracy_class="").doubt_of(mass("200 g")) == mass("0.002887 g")
    assert replace(BENCH, step=None, interval=None).doubt_of(mass("200 g")) is None


def test_the_limit_follows_from_the_class_or_else_from_the_doubt() -> None:
    assert BENCH.limit_of(mass("200 g")) == mass("0.1 g")
    assert BENCH.limit_of(mass("600 g")) == mass("0.2 g")
    assert replace(BENCH, accuracy_class="", u=mass("0.02 g")).limit_of(mass("1 g")) == mass(
        "0.04 g"
    )
    unknown = replace(BENCH, accuracy_class="", step=None, interval=None)
    assert unknown.limit_of(mass("1 g")) is None
