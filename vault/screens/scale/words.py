"""What the scale is doing, in plain words."""

from __future__ import annotations

from vault.bench.scale_watch import Live, ScaleState
from vault.screens.numbers import Numbers

TAKEN_BEFORE = (
    "This weight was taken for the field before. Put the next thing on, or type its weight."
)
TOO_OLD = "The weight is some seconds old; it is taken when the scale sends it again."
_SHORT = {
    ScaleState.WAITING: ("waiting", "soft"),
    ScaleState.STEADY: ("steady", "fine"),
    ScaleState.SETTLING: ("settling …", "soft"),
    ScaleState.ZERO: ("zero", "soft"),
    ScaleState.OVERLOAD: ("too much on it", "attention"),
    ScaleState.BELOW_ZERO: ("below zero", "attention"),
    ScaleState.UNPLUGGED: ("not connected", "attention"),
    ScaleState.UNREADABLE: ("cannot be read", "attention"),
}
_WHY_NOT = {
    ScaleState.WAITING: "The scale has sent nothing yet; press its print key, or type the weight.",
    ScaleState.SETTLING: "The weight is not steady yet; wait a moment.",
    ScaleState.ZERO: "The scale shows zero; put the thing on it, or type the weight.",
    ScaleState.OVERLOAD: "There is too much on the scale; take some off.",
    ScaleState.BELOW_ZERO: "The scale is below zero; empty it and press its zero key.",
    ScaleState.STEADY: TOO_OLD,
}


def state_in_words(live: Live) -> tuple[str, str]:
    """Give a word or two for what the scale is doing, and the kind of label they make."""
    if live.state is ScaleState.SILENT:
        return f"silent for {live.silent_s:.0f} s", "attention"
    return _SHORT[live.state]


def why_not_taken(live: Live) -> str:
    """Say why the weight that is shown cannot be taken, and what to do."""
    if live.state is ScaleState.SILENT:
        return (
            f"The scale has sent nothing for {live.silent_s:.0f} s; see whether it is on, or type "
            "the weight."
        )
    return _WHY_NOT.get(live.state) or f"{live.reason} Or type the weight."


def weight_as_shown(live: Live, numbers: Numbers) -> str:
    """Write the weight with the scale's own digits and unit; empty where it shows none."""
    reading = live.reading
    if reading is None or reading.mass is None or live.state in _WITHOUT_WEIGHT:
        return ""
    said = reading.said
    text = numbers.plain(said)
    return f"{text} {reading.unit}"


# What was shown last says nothing any more in these.
_WITHOUT_WEIGHT = frozenset(
    {
        ScaleState.WAITING,
        ScaleState.SILENT,
        ScaleState.UNPLUGGED,
        ScaleState.UNREADABLE,
        ScaleState.OVERLOAD,
    }
)
