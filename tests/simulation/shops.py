"""Random shops whose truth is known: daybook entries as a shop would write them, and what is so.

Everything that the reckoning takes for granted is drawn from just what it claims: errors of scale
and assay, losses, what slag and cupels keep, how unevenly a lot divides. Doubts of what residues
keep are drawn normal, as the balance takes them, from a shop's own figures of ± a third, which are
seldom drawn below zero (and then drawn again). The handbook's guesses are as wide as their share,
so no normal draw can stand for them: the skewed scenarios take those, from gamma and lognormal
distributions of the claimed mean and standard deviation, with their long tails.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import sqrt

import numpy as np

from builders import entry, shop_of
from vault.core.daybook import Act, Entry, Line, Process, Role, Said
from vault.core.fineness import Fineness
from vault.core.flow import Flow, flow_of
from vault.core.items import State
from vault.core.masses import Mass
from vault.reckoning.cupels import silver_share_kept
from vault.reckoning.guesses import (
    DEFAULT,
    Guesses,
    OwnKeep,
    fineness_u,
    loss_of,
    sampling_constant,
)

LOTS = 15
SCALE_U = 0.01
_FORMS = ("sweeps", "filings", "scrap")
# What a shop that keeps its own figures knows of its residues: the doubt about its mean and the
# scatter from one work to the next, relative to the share.
_OWN_DOUBTS = {
    "slag of smelting": (1.0 / 3.0, 1.0 / 3.0),
    "slag of poor feed": (1.0 / 3.0, 1.0 / 3.0),
    "slag of remelting": (0.375, 0.375),
    "spent cupel": (0.3, 0.25),
}
OWN = {
    (kind, metal): OwnKeep(DEFAULT.keep(kind, metal).share, house, batch)
    for kind, (house, batch) in _OWN_DOUBTS.items()
    for metal in ("Ag", "Au")
}


@dataclass(frozen=True)
class Scenario:
    """What kind of shop is drawn, and with which guesses it is reckoned.

    Attributes:
        open_share: share of the lots that are left unfinished, at a random stage.
        reprocess: whether residues of many lots are merged, smelted again and sent.
        wholes: whether drums of cupels and of slag are sent, and settled each in one figure.
        skewed: whether what residues keep is drawn with long tails.
    """

    name: str
    metals: tuple[str, ...] = ("Ag",)
    open_share: float = 0.0
    reprocess: bool = False
    wholes: bool = False
    skewed: bool = False
    guesses: Guesses = Guesses(own=OWN)  # noqa: RUF009  # frozen


SETTLED_AS_A_WHOLE = Scenario("drums settled as a whole", wholes=True)
SCENARIOS = (
    Scenario("finished lots"),
    Scenario("half the lots still open", open_share=0.5),
    Scenario("two metals", metals=("Ag", "Au")),
    Scenario("residues merged, reprocessed", reprocess=True),
    Scenario("skewed, the handbook's guesses", skewed=True, guesses=DEFAULT),
    Scenario("skewed, residues reprocessed", reprocess=True, skewed=True, guesses=DEFAULT),
    SETTLED_AS_A_WHOLE,
)
COMMON_FACTOR_LEFT_OUT = Scenario("common factor left out", guesses=Guesses(own=OWN, learned=False))


@dataclass
class Thing:
    """One item as it truly is."""

    tag: str
    form: str
    gross_g: float
    fine: dict[str, float]


@dataclass
class Shop:
    """A shop's daybook, and the truth behind it."""

    entries: list[Entry]
    flow: Flow
    truth: dict[str, dict[str, float]]
    kinds: dict[str, str]
    factors: dict[tuple[str, str], float]

    def locked_up(self) -> list[str]:
        """Give the tags of residues on hand."""
        return [
            tag
            for tag, item in self.flow.items.items()
            if item.is_residue and item.state is State.ON_HAND
        ]


@dataclass
class _Maker:
    """Draws one shop, entry by entry."""

    scenario: Scenario
    random: np.random.Generator
    entries: list[Entry] = field(default_factory=list)
    truth: dict[str, dict[str, float]] = field(default_factory=dict)
    kinds: dict[str, str] = field(default_factory=dict)
    factors: dict[tuple[str, str], float] = field(default_factory=dict)
    tags: int = 0

    def thing(self, form: str, kind: str, gross_g: float, fine: dict[str, float]) -> Thing:
        self.tags += 1
        tag = f"{kind[0].upper()}{self.tags:04d}"
        self.truth[tag] = fine
        self.kinds[tag] = kind
        return Thing(tag, form, gross_g, fine)

    def write(self, act: Act, lines: Iterable[Line], process: Process | None = None) -> None:
        self.entries.append(entry(len(self.entries) + 1, act, *lines, process=process))

    def weighed(self, one: Thing, role: Role, *, weighed: bool = True, lot: str = "") -> Line:
        reading = max(one.gross_g + self.random.normal(0.0, SCALE_U), 0.001)
        return Line(
            role,
            tag=one.tag,
            form=one.form,
            lot=lot,
            terms="own" if lot else "",
            gross=Mass(round(reading * 1e6)) if weighed else None,
            gross_u=Mass(round(SCALE_U * 1e6)) if weighed else None,
        )

    def said(self, one: Thing, how: str, u: float | None = None) -> tuple[Said, ...]:
        """Say the contents with an error drawn from the stated or the default doubt."""
        found = []
        for metal, grams in one.fine.items():
            share = grams / one.gross_g
            spread = fineness_u(how, one.form, share) if u is None else u
            read = min(max(share + self.random.normal(0.0, spread), 0.0), 1.0)
            said_u = None if u is None else Fineness(round(u * 1e9))
            found.append(Said(metal, Fineness(round(read * 1e9)), said_u))
        return tuple(found)

    def assay(self, one: Thing, how: str, u: float | None = None) -> None:
        line = Line(Role.OF, tag=one.tag, contents=self.said(one, how, u), how=how)
        self.write(Act.ASSAY, [line])

    def work(
        self,
        process: Process,
        used: Sequence[Thing],
        made: Sequence[Line],
        added: Sequence[Line] = (),
    ) -> None:
        uses = [Line(Role.USED, tag=one.tag) for one in used]
        self.write(Act.WORK, [*uses, *added, *made], process)

    def added(self, form: str, grams: float) -> Line:
        return Line(Role.ADDED, form=form, gross=Mass(round(grams * 1e6)))

    def batch(self, mean: float, sd: float) -> float:
        """Draw what one residue keeps, beside its first guess, never below zero."""
        if self.scenario.skewed:
            variance = np.log1p((sd / mean) ** 2)
            return float(self.random.lognormal(np.log(mean) - variance / 2.0, sqrt(variance)))
        return self.normal_above_zero(mean, sd)

    def house(self, kind: str, metal: str) -> float:
        """Give the house's own factor of a kind, relative to its first guess."""
        if (kind, metal) not in self.factors:
            sd = self.scenario.guesses.keep(kind, metal).house
            drawn = (
                float(self.random.gamma(1.0 / sd**2, sd**2))
                if self.scenario.skewed
                else self.normal_above_zero(1.0, sd)
            )
            self.factors[kind, metal] = drawn
        return self.factors[kind, metal]

    def normal_above_zero(self, mean: float, sd: float) -> float:
        while (drawn := float(self.random.normal(mean, sd))) <= 0.0:
            pass
        return drawn

    def kept(
        self, kind: str, feed: dict[str, float], lead: float, gross: float
    ) -> dict[str, float]:
        """Draw what a residue keeps of each metal."""
        found = {}
        for metal, grams in feed.items():
            keep = self.scenario.guesses.keep(kind, metal)
            share = keep.share
            if kind == "spent cupel" and metal == "Ag":
                each = [np.array([one]) for one in (grams, lead, gross)]
                share = float(silver_share_kept(*each)[0])
            relative = self.batch(max(self.house(kind, metal), 1e-3), keep.batch)
            found[metal] = min(share * relative, 0.5) * grams
        return found

    def lost(self, process: Process, feed: dict[str, float]) -> dict[str, float]:
        """Draw what a work loses; the claim l ± s is taken as it stands, gains included."""
        found = {}
        for metal, grams in feed.items():
            share, u = loss_of(process, metal)
            found[metal] = grams * self.random.normal(share, u)
        return found

    def parts(
        self, whole: dict[str, float], fractions: Sequence[float], h: float
    ) -> list[dict[str, float]]:
        """Share a whole out, Cov = h²X²(diag f − f f')."""
        found: list[dict[str, float]] = [{} for _ in fractions]
        for metal, grams in whole.items():
            rest, upto = grams, 0.0
            for at, f in enumerate(fractions[:-1]):
                left = 1.0 - upto
                upto += f
                spread = h * grams * sqrt(f * (1.0 - upto) / left)
                found[at][metal] = rest * f / left + self.random.normal(0.0, spread)
                rest -= found[at][metal]
            found[-1][metal] = rest
        return found


def simulated(scenario: Scenario, seed: int) -> Shop:
    """Draw one shop."""
    maker = _Maker(scenario, np.random.default_rng(seed))
    residues: list[Thing] = []
    for lot in range(LOTS):
        residues += _lot(maker, f"L{lot + 1}")
    if scenario.reprocess:
        _reprocess(maker, residues)
    else:
        if scenario.wholes:
            residues = _settled_as_wholes(maker, residues)
        for one in residues:
            if maker.random.random() < 0.05:
                maker.assay(one, "ICP", 0.05 * sum(one.fine.values()) / one.gross_g)
    flow = flow_of(shop_of(*maker.entries))
    return Shop(maker.entries, flow, maker.truth, maker.kinds, maker.factors)


def _lot(maker: _Maker, name: str) -> list[Thing]:
    """Receive a lot and work it up, as far as it gets; give its residues."""
    random = maker.random
    stage = int(random.integers(0, 4)) if random.random() < maker.scenario.open_share else 9
    form = str(random.choice(_FORMS))
    gross = float(random.uniform(300.0, 1500.0))
    share = float(random.uniform(0.25, 0.65))
    fine = dict.fromkeys(maker.scenario.metals, gross * share)
    if "Au" in fine:
        gold = float(random.uniform(0.02, 0.3))
        fine = {"Ag": fine["Ag"] * (1.0 - gold), "Au": fine["Ag"] * gold}
    lot = maker.thing(form, "lot", gross, fine)
    line = maker.weighed(lot, Role.IN, lot=name)
    if random.random() < 0.7:
        line = Line(
            **{
                **{key: getattr(line, key) for key in Line.__slots__},
                "contents": maker.said(lot, "declared"),
                "how": "declared",
            }
        )
    maker.write(Act.RECEIVE, [line])
    if random.random() < 0.4 or not line.contents:
        maker.assay(lot, *random.choice(np.array(["fire assay", "XRF"]), 1))
    if stage == 0:
        return []
    return _worked_up(maker, lot, stage)


def _worked_up(maker: _Maker, lot: Thing, stage: int) -> list[Thing]:
    bags = _divided(maker, lot)
    residues: list[Thing] = []
    buttons = []
    for bag in bags if stage > 1 else ():
        button, slag = _smelted(maker, [bag], "slag of smelting")
        buttons.append(button)
        residues.append(slag)
    beads = []
    for button in buttons if stage > 2 else ():
        bead, cupel = _cupelled(maker, button)
        beads.append(bead)
        residues.append(cupel)
    if beads and stage > 3:
        residues += _poured(maker, beads)
    return residues


def _divided(maker: _Maker, lot: Thing) -> list[Thing]:
    count = int(maker.random.integers(2, 5))
    fractions = maker.random.dirichlet(np.full(count, 6.0))
    fractions = (0.5 / count + 0.5 * fractions) if fractions.min() < 0.05 else fractions
    h = sqrt(sampling_constant(lot.form) / lot.gross_g)
    lost = maker.lost(Process.DIVIDE, lot.fine)
    whole = {metal: grams - lost[metal] for metal, grams in lot.fine.items()}
    bags = [
        maker.thing(lot.form, "bag", lot.gross_g * f * 0.9995, fine)
        for f, fine in zip(fractions, maker.parts(whole, list(fractions), h), strict=True)
    ]
    maker.work(Process.DIVIDE, [lot], [maker.weighed(bag, Role.MADE) for bag in bags])
    return bags


def _left(fine: dict[str, float], *gone: dict[str, float]) -> dict[str, float]:
    return {metal: grams - sum(one[metal] for one in gone) for metal, grams in fine.items()}


def _sum_of(things: Iterable[Thing]) -> dict[str, float]:
    total: dict[str, float] = {}
    for one in things:
        for metal, grams in one.fine.items():
            total[metal] = total.get(metal, 0.0) + grams
    return total


def _smelted(maker: _Maker, bags: list[Thing], kind: str) -> tuple[Thing, Thing]:
    feed, gross = _sum_of(bags), sum(bag.gross_g for bag in bags)
    flux = 0.6 * gross
    kept = maker.kept(kind, feed, 0.0, gross)
    metal = _left(feed, kept, maker.lost(Process.SMELT, feed))
    button = maker.thing("button", "button", min(sum(metal.values()) / 0.85, 0.97 * gross), metal)
    slag = maker.thing("slag", "slag", gross - button.gross_g + flux, kept)
    maker.work(
        Process.SMELT,
        bags,
        [
            maker.weighed(button, Role.MADE),
            maker.weighed(slag, Role.MADE, weighed=maker.random.random() < 0.7),
        ],
        [maker.added("borax, anhydrous", flux)],
    )
    return button, slag


def _cupelled(maker: _Maker, button: Thing) -> tuple[Thing, Thing]:
    lead = round(button.gross_g * float(maker.random.uniform(0.5, 2.0)), 1)
    kept = maker.kept("spent cupel", button.fine, lead, button.gross_g)
    metal = _left(button.fine, kept, maker.lost(Process.CUPEL, button.fine))
    bead = maker.thing("bead", "bead", sum(metal.values()) / 0.97, metal)
    oxide = 1.08 * lead + 1.1 * (button.gross_g - bead.gross_g)
    cupel = maker.thing("spent cupel", "cupel", 2.0 * lead + oxide, kept)
    maker.work(
        Process.CUPEL,
        [button],
        [maker.weighed(bead, Role.MADE), maker.weighed(cupel, Role.MADE)],
        [maker.added("lead", lead), maker.added("new cupel", 2.0 * lead)],
    )
    if maker.random.random() < 0.3:
        maker.assay(bead, "fire assay", 0.0008)
    return bead, cupel


def _poured(maker: _Maker, beads: list[Thing]) -> list[Thing]:
    feed = _sum_of(beads)
    gross = sum(bead.gross_g for bead in beads)
    kept = maker.kept("slag of remelting", feed, 0.0, gross)
    metal = _left(feed, kept, maker.lost(Process.REMELT, feed))
    slag = maker.thing("slag", "slag of remelting", 0.02 * gross + 10.0, kept)
    two = maker.random.random() < 0.3
    fractions = [0.6, 0.4] if two else [1.0]
    h = sqrt(sampling_constant("molten") / gross)
    bars = [
        maker.thing("bar", "bar", f * 0.997 * gross, fine)
        for f, fine in zip(fractions, maker.parts(metal, fractions, h), strict=True)
    ]
    made = [maker.weighed(one, Role.MADE) for one in [*bars, slag]]
    flux = maker.added("borax, anhydrous", 0.02 * gross + 10.0)
    maker.work(Process.REMELT, beads, made, [flux])
    for bar in bars:
        if maker.random.random() < 0.6:
            _shipped(maker, bar, f"V{bar.tag}", 0.0008)
        elif maker.random.random() < 0.5:
            maker.assay(bar, "fire assay")
    return [slag]


def _shipped(maker: _Maker, one: Thing, ref: str, u: float) -> None:
    maker.write(Act.SEND, [Line(Role.OUT, tag=one.tag, party="Lowland", ref=ref)])
    contents = maker.said(one, "settlement", u)
    line = Line(Role.LINE, tag=one.tag, ref=ref, contents=contents, how="settlement")
    maker.write(Act.SETTLE, [line])


def _settled_as_wholes(maker: _Maker, residues: list[Thing]) -> list[Thing]:
    """Send a drum of cupels and one of slag, each settled in one figure; give what stays."""
    maker.random.shuffle(residues)
    stay = list(residues)
    for form in ("spent cupel", "slag"):
        drum = [one for one in residues if one.form == form][:20]
        gross, ref = sum(one.gross_g for one in drum), f"V-{form}"
        out = [Line(Role.OUT, tag=one.tag, party="Lowland", ref=ref) for one in drum]
        maker.write(Act.SEND, out)
        whole = Thing("", form, gross, _sum_of(drum))
        contents = maker.said(whole, "settlement", 0.02 * sum(whole.fine.values()) / gross)
        reading = gross + maker.random.normal(0.0, 1e-4 * gross)
        agreed = Line(
            Role.LINE,
            ref=ref,
            gross=Mass(round(reading * 1e6)),
            contents=contents,
            how="settlement",
        )
        maker.write(Act.SETTLE, [agreed])
        stay = [one for one in stay if one not in drum]
    return stay


def _reprocess(maker: _Maker, residues: list[Thing]) -> None:
    """Blend cupels of many lots and smelt slags of many lots again; send what that gives."""
    slags = [one for one in residues if maker.kinds[one.tag] == "slag"]
    cupels = [one for one in residues if one.form == "spent cupel"]
    maker.random.shuffle(slags)
    maker.random.shuffle(cupels)
    for batch in (slags[:8], slags[8:28]):
        button, _ = _smelted(maker, batch, "slag of poor feed")
        if maker.random.random() < 0.7:
            maker.assay(button, "XRF")
    drum = cupels[:20]
    feed = _sum_of(drum)
    gross = sum(one.gross_g for one in drum)
    metal = _left(feed, maker.lost(Process.BLEND, feed))
    blend = maker.thing("spent cupel", "drum", 0.999 * gross, metal)
    maker.work(Process.BLEND, drum, [maker.weighed(blend, Role.MADE)])
    _shipped(maker, blend, "V-drum", 0.03 * sum(metal.values()) / gross)
