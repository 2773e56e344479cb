"""What a scale shows: steady only when it stands still, and each load counted once."""

from __future__ import annotations

from builders import mass
from vault.bench.scale_lines import read_line
from vault.bench.scale_port import Gone, Line, Noise, Opened, Silent
from vault.bench.scale_watch import Live, ScaleState, ScaleWatch


class Watched:
    """A watch that is told lines a tenth of a second apart."""

    def __init__(self, *, sends_on_print: bool = False) -> None:
        self.watch = ScaleWatch(read_line, sends_on_print=sends_on_print)
        self.watch.hear(Opened())
        self.at_s = 100.0

    def __call__(self, *lines: str, every_s: float = 0.1) -> Live:
        for line in lines:
            self.at_s += every_s
            self.watch.hear(Line(line, self.at_s))
        return self.watch.live

    def takes(self, *, later_s: float = 0.0) -> str:
        found = self.watch.live.mass_to_take(self.at_s + later_s)
        return "" if found is None else f"{found.to_text()} g"


def test_a_flagged_weight_is_steady_at_the_second_equal_line() -> None:
    told = Watched()
    assert told("ST,GS,+ 10.00 g").state is ScaleState.SETTLING
    assert told("ST,GS,+ 10.00 g").state is ScaleState.STEADY
    assert told.takes() == "10 g"


def test_a_line_that_lost_a_digit_on_the_way_is_never_taken() -> None:
    told = Watched()
    told("ST,GS,+ 10.00 g", "ST,GS,+ 10.00 g", "ST,GS,+ 1.00 g")
    assert told.takes() == ""


def test_a_weight_without_a_flag_is_steady_after_three_equals_over_a_second() -> None:
    told = Watched()
    for _ in range(10):
        assert told("10.00 g").state is ScaleState.SETTLING
    assert told("10.00 g").state is ScaleState.STEADY
    slow = Watched()
    slow("10.00 g", "10.00 g", every_s=2.0)
    assert slow.takes() == ""
    slow("10.00 g", every_s=2.0)
    assert slow.takes() == "10 g"


def test_one_other_weight_begins_the_second_anew() -> None:
    told = Watched()
    told(*["10.00 g"] * 8, "10.01 g", *["10.00 g"] * 10)
    assert told.takes() == ""
    assert told("10.00 g").state is ScaleState.STEADY


def test_a_line_without_its_unit_is_a_moving_weight_once_units_were_seen() -> None:
    told = Watched()
    told("+ 10.00 g", *["+ 12.00"] * 30)
    assert told.takes() == ""
    only_numbers = Watched()
    only_numbers(*["12.00"] * 12)
    assert only_numbers.takes() == "12 g"


def test_unsteady_negative_zero_and_overload_are_never_taken() -> None:
    for line, state in (
        ("US,GS,+ 10.00 g", ScaleState.SETTLING),
        ("ST,GS,- 10.00 g", ScaleState.BELOW_ZERO),
        ("ST,GS,+ 0.00 g", ScaleState.ZERO),
        ("OL,GS,+9999999 g", ScaleState.OVERLOAD),
        ("UL", ScaleState.BELOW_ZERO),
    ):
        told = Watched()
        assert told(*[line] * 30).state is state
        assert told.takes() == ""


def test_overload_and_an_unreadable_line_end_a_steady_weight() -> None:
    for line in ("OL", "12.0 lb"):
        told = Watched()
        told(*["ST,GS,+ 10.00 g"] * 5, line)
        assert told.takes() == ""
        assert told("ST,GS,+ 10.00 g").state is ScaleState.SETTLING


def test_one_bad_line_is_noise_and_three_are_told() -> None:
    told = Watched()
    told(*["ST,GS,+ 10.00 g"] * 5)
    assert told("12.0 lb").state is ScaleState.SETTLING
    live = told("12.0 lb", "12.0 lb")
    assert live.state is ScaleState.UNREADABLE
    assert "“lb” is no unit known here" in live.reason


def test_a_weight_is_not_taken_when_it_is_old() -> None:
    told = Watched()
    told(*["ST,GS,+ 10.00 g"] * 5)
    assert told.takes(later_s=0.9) == "10 g"
    assert told.takes(later_s=1.1) == ""


def test_silence_unplugging_and_noise_are_told_and_end_a_steady_weight() -> None:
    for event, state in (
        (Silent(2.0), ScaleState.SILENT),
        (Gone("gone"), ScaleState.UNPLUGGED),
        (Noise("noise"), ScaleState.UNREADABLE),
    ):
        told = Watched()
        told(*["ST,GS,+ 10.00 g"] * 5)
        assert told.watch.hear(event).state is state
        assert told.takes() == ""
        told("ST,GS,+ 10.00 g")
        assert told.takes() == ""
        told("ST,GS,+ 10.00 g")
        assert told.takes() == "10 g"


def test_a_scale_with_a_print_key_is_taken_at_its_word_at_once() -> None:
    told = Watched(sends_on_print=True)
    assert told("10.00 g").state is ScaleState.STEADY
    assert told.watch.hear(Silent(2.0)).state is ScaleState.WAITING
    assert told("US,GS,+ 10.00 g").state is ScaleState.SETTLING
    assert told("10.0 lb").state is ScaleState.UNREADABLE


def test_a_print_key_pressed_twice_is_one_load_and_pressed_again_later_another() -> None:
    told = Watched(sends_on_print=True)
    assert told("10.00 g").load == 1
    assert told("10.00 g", every_s=0.5).load == 1
    assert told("10.00 g", every_s=2.5).load == 2
    assert told("12.00 g", every_s=0.5).load == 3


def steady(weight: str) -> list[str]:
    return [f"ST,GS,+ {weight} g"] * 3


def test_the_same_load_is_counted_once_however_the_bench_shakes() -> None:
    told = Watched()
    assert told(*steady("10.00")).load == 1
    assert told("US,GS,+ 10.31 g", *steady("10.00"), *steady("10.02")).load == 1


def test_another_load_is_counted_and_so_is_the_same_one_put_on_again() -> None:
    told = Watched()
    told(*steady("10.00"))
    assert told("US,GS,+ 11.31 g", *steady("12.00")).load == 2
    assert told("US,GS,+ 0.10 g", *steady("12.00")).load == 3
    assert told(*steady("0.00"), *steady("12.00")).load == 4


def test_crumbs_are_taken_by_hand_only() -> None:
    told = Watched()
    live = told(*steady("0.00"), *steady("0.15"))
    assert (live.state, live.may_take_itself) == (ScaleState.STEADY, False)
    assert told.takes() == "0.15 g"
    assert told(*steady("10.00")).may_take_itself


def test_a_tare_that_the_scale_tells_is_kept_beside_the_weight() -> None:
    told = Watched()
    live = told(*steady("10.00"), "TR,+ 3.00 g")
    assert (live.tare, live.tares, live.state) == (mass("3 g"), 1, ScaleState.STEADY)
