"""A scale of the shop: how it is reached, how its lines are read, and how well it weighs."""

from __future__ import annotations

from dataclasses import dataclass, fields

from vault.bench.scale_lines import Reading, Unreadable, read_line
from vault.bench.scale_port import BAUDS, FRAMINGS, PortSettings
from vault.bench.scale_profiles import Profile, from_words, to_words
from vault.core.errors import VaultError
from vault.core.masses import MICROGRAMS_PER_UNIT, Mass, grams_from_text
from vault.core.scale_limits import CLASSES, doubt_of_a_weight, limit_in_service

# The port of the scale that is none.
SIMULATED = "simulated"
# Of the scale's own ±, so many are taken for its limit where it has no class.
_DOUBTS_TO_A_LIMIT = 2


@dataclass(frozen=True, slots=True)
class Scale:
    """What the shop knows of one scale.

    Attributes:
        name: by which it is called, in the daybook as well.
        device, baud, framing, ask_with: its port; see `PortSettings`.
        sends_on_print: whether it sends only when its print key is pressed.
        unit: the unit meant where its lines name none.
        profile: the pattern taught for its lines; None where the common shapes do.
        step: what its last digit is worth; None where nobody said.
        interval: its verification interval e; None where nobody said.
        accuracy_class: I, II, III or IIII by OIML R 76; empty where it has none.
        maximum: the most that it weighs; None where nobody said.
        u: one standard uncertainty of its weights, where the owner knows better.
        takes_itself: whether a new steady weight is taken without a key.
    """

    name: str
    device: str
    baud: int = 9600
    framing: str = "8N1"
    ask_with: str = ""
    sends_on_print: bool = False
    unit: str = "g"
    profile: Profile | None = None
    step: Mass | None = None
    interval: Mass | None = None
    accuracy_class: str = ""
    maximum: Mass | None = None
    u: Mass | None = None
    takes_itself: bool = False

    @property
    def port(self) -> PortSettings:
        """How it is reached."""
        return PortSettings(self.device, self.baud, self.framing, self.ask_with)

    @property
    def is_simulated(self) -> bool:
        """Whether it is the scale that is none."""
        return self.device == SIMULATED

    def read(self, line: str) -> Reading | Unreadable:
        """Read a line of it."""
        if self.profile is not None:
            return self.profile.read(line)
        return read_line(line, unit=self.unit)

    def doubt_of(self, mass: Mass) -> Mass | None:
        """Give one standard uncertainty of a weight on it; None where nobody said."""
        if self.u is not None:
            return self.u
        step = self.step if self.step is not None else self.interval
        if step is None:
            return None
        return doubt_of_a_weight(step=step, limit=self._class_limit(mass))

    def limit_of(self, load: Mass) -> Mass | None:
        """Give how far it may be off at a load; None where nothing says.

        Without a class that is twice its own ±, the usual bound for a single reading.
        """
        if self.accuracy_class:
            return self._class_limit(load)
        u = self.doubt_of(load)
        return None if u is None else Mass(_DOUBTS_TO_A_LIMIT * u.micrograms)

    def _class_limit(self, load: Mass) -> Mass | None:
        interval = self.step if self.interval is None else self.interval
        if not self.accuracy_class or interval is None:
            return None
        return limit_in_service(load, interval=interval, accuracy_class=self.accuracy_class)


class ScaleNotKept(VaultError):
    """Something of a scale's settings makes no sense; the sentence says what."""


_MASSES = ("step", "interval", "maximum", "u")


def scale_to_words(scale: Scale) -> dict[str, object]:
    """Give a scale as plain words and numbers, for a settings file."""
    words: dict[str, object] = {}
    for one in fields(Scale):
        value = getattr(scale, one.name)
        if one.name in _MASSES:
            words[one.name] = "" if value is None else value.to_text()
        elif one.name == "profile":
            words[one.name] = None if value is None else to_words(value)
        else:
            words[one.name] = value
    return words


def scale_from_words(words: object) -> Scale | None:
    """Give the scale that `scale_to_words` wrote down; None where it makes no sense."""
    if not isinstance(words, dict):
        return None
    masses: dict[str, Mass | None] = {}
    try:
        for name in _MASSES:
            text = str(words.get(name) or "")
            masses[name] = grams_from_text(text) if text else None
        made = Scale(
            name=str(words["name"]),
            device=str(words["device"]),
            baud=int(words.get("baud", 9600)),
            framing=str(words.get("framing", "8N1")),
            ask_with=str(words.get("ask_with", "")),
            sends_on_print=bool(words.get("sends_on_print")),
            unit=str(words.get("unit", "g")),
            profile=from_words(words.get("profile")),
            accuracy_class=str(words.get("accuracy_class", "")),
            takes_itself=bool(words.get("takes_itself")),
            **masses,
        )
        insist_on_sense(made)
    except (KeyError, TypeError, ValueError, VaultError):
        return None
    return made


def insist_on_sense(scale: Scale) -> None:
    """Refuse settings that make no sense.

    Raises:
        ScaleNotKept: with the sentence that says what and what to do.
    """
    if not scale.name.strip():
        raise ScaleNotKept("Give the scale a name, such as “bench”; the daybook calls it so.")
    if not scale.device.strip():
        raise ScaleNotKept("Choose the port on which the scale sends.")
    if scale.baud not in BAUDS or scale.framing not in FRAMINGS:
        raise ScaleNotKept("Choose a speed and a framing from the lists.")
    if scale.unit not in MICROGRAMS_PER_UNIT:
        raise ScaleNotKept("Choose the unit that the scale means where it names none.")
    if scale.accuracy_class and scale.accuracy_class not in CLASSES:
        raise ScaleNotKept("Choose the class that stands on the scale's plate, or none.")
    for name, mass in (
        ("step", scale.step),
        ("verification interval", scale.interval),
        ("maximum", scale.maximum),
        ("±", scale.u),
    ):
        if mass is not None and mass.micrograms <= 0:
            raise ScaleNotKept(f"The {name} of a scale is above zero; leave it empty if unknown.")
    if scale.accuracy_class and scale.interval is None and scale.step is None:
        raise ScaleNotKept("A class needs the interval e or the step; both stand on the plate.")
