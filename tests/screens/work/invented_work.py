"""A bench with invented items, names and figures, asked as the Work screen asks a book."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

from builders import mass, said
from vault.application.changes import Changes
from vault.application.operations.work_draft import WorkDraft
from vault.application.queries.answers.bench import (
    ContainerBrief,
    ItemBrief,
    KnownNames,
    KnownThing,
    RecentWork,
)
from vault.application.queries.answers.work import (
    Aid,
    BetterKnown,
    Caution,
    Gravity,
    MadeMetal,
    MetalPreview,
    Side,
    WeightLine,
    WeightPreview,
    WorkFinding,
    WorkPreview,
)
from vault.application.recipes import Part, Recipe, scaled
from vault.core.daybook import Process
from vault.core.items import State
from vault.core.knowledge import Figure, How
from vault.core.tags import Scan, next_tags, tag_of_scan
from vault.screens.numbers import Numbers
from vault.screens.work.questions import WorkQuestions

LONG_PLACE = "the long shelf at the back of the workshop, second tray of the buttons from the left"
NOW = datetime(2031, 3, 14, 15, 20, tzinfo=UTC)


def figure(grams: str, u: str = "0.2", how: How = How.WORKED_OUT) -> Figure:
    return Figure(mass(grams).micrograms, mass(u).micrograms, how)


def brief(
    tag: str, form: str, gross: str, says: Mapping[str, Figure] | None = None, **more: object
) -> ItemBrief:
    facts: dict[str, object] = {
        "lots": ("L-124",),
        "more_lots": 0,
        "party": "Pennant Bench School",
        "place": "tray of buttons",
        "state": State.ON_HAND,
        "made_on": date(2031, 3, 12),
        "is_residue": False,
        **more,
    }
    return ItemBrief(
        tag,
        form,
        mass(gross).micrograms if gross else None,
        None,
        says or {},
        **facts,  # type: ignore[arg-type]  # words for fields, as a test writes them
    )


ITEMS = {
    one.tag: one
    for one in (
        brief("K-0212", "button", "236.40", {"Ag": figure("151.5", "2.9")}),
        brief("K-0210", "bead", "63.15", {"Ag": figure("62.7")}, lots=("L-123",)),
        brief("K-0207", "bead", "47.82", {"Ag": figure("47.3", "0.4", How.DECLARED)}),
        brief("R-0101", "sweeps", "412.30", {"Ag": figure("90", "20", How.DECLARED)}),
        brief("R-0102", "filings", "", place=LONG_PLACE, lots=("L-123", "L-121"), more_lots=2),
        brief(
            "C-0100",
            "spent cupel",
            "402.10",
            state=State.SENT,
            trouble="C-0100 is not on hand: it was sent away.",
        ),
    )
}

KNOWN = KnownNames(
    parties=("Pennant Bench School", "Saltmarsh Camera Club"),
    places=("tray of buttons", "drum C", "bench", LONG_PLACE),
    forms=("button", "bead", "spent cupel", "slag", "bar", "filings", "sweeps", "sample"),
    added=(
        KnownThing("new cupel, magnesia", 41, mass("386.2").micrograms),
        KnownThing("lead", 30, None, said("Ag 0.02 ± 0.005"), "declared"),
        KnownThing("borax, anhydrous", 20),
        KnownThing("soda ash", 12),
    ),
    place_of={"bead": "tray of buttons", "spent cupel": "drum C", "button": "tray of buttons"},
)

RECIPES = (
    Recipe(
        "flux for sweeps",
        Process.SMELT,
        (Part("borax, anhydrous", Decimal(20)), Part("soda ash", Decimal(10))),
    ),
    Recipe("a little borax", Process.REMELT, (Part("borax, anhydrous", Decimal(2)),)),
)

CUPELLED = RecentWork(
    number=942,
    day=date(2031, 3, 13),
    at=datetime(2031, 3, 13, 10, 10, tzinfo=UTC),
    by="Tove",
    process=Process.CUPEL,
    used=("K-0211",),
    added=("lead", "new cupel, magnesia"),
    made=(("K-0213", "bead"), ("C-0164", "spent cupel")),
    in_ug=mass("742.6").micrograms,
    out_ug=mass("753.25").micrograms,
    not_weighed=0,
    lost={"Ag": figure("0.2")},
)
SORTED = RecentWork(
    number=931,
    day=date(2031, 3, 9),
    at=None,
    by="Imke",
    process=Process.SORT,
    used=("R-0090", "R-0091", "R-0092", "R-0093"),
    added=(),
    made=(("R-0094", "filings"), ("R-0095", "iron with filings")),
    in_ug=mass("1013.56").micrograms,
    out_ug=0,
    not_weighed=2,
    lost={},
)

LEAD_AID = Aid(
    "Lead",
    "About 85 g of base metal is to be carried off; with 120 g a second pass is likely.",
    "C. & J. J. Beringer, A Text-book of Assaying, 1904, p. 105",
)
LEAD_FUME = Caution(
    "Lead fume",
    "Run the hood; no food at the bench; wash hands. Cupels are lead waste until a licensed "
    "refiner takes them. Follow the rules where you work.",
)


def finding(
    gravity: Gravity, side: Side, sentence: str, line: int | None = None, field: str = ""
) -> WorkFinding:
    return WorkFinding(gravity, side, line, field, sentence)


def nothing_yet(work: WorkDraft) -> WorkPreview:
    """What is told of a work in which nothing goes in or comes out."""
    return WorkPreview(
        (), WeightPreview((), None, ""), "", None, (), (), tuple(_lacking(work)), 942, ""
    )


def _lacking(work: WorkDraft) -> list[WorkFinding]:
    lacking = []
    if work.process is None:
        lacking.append(finding(Gravity.LACKS, Side.WHOLE, "Choose what was done."))
    if not work.used:
        lacking.append(finding(Gravity.LACKS, Side.USED, "Nothing went in yet; scan its tag."))
    if not work.made:
        lacking.append(finding(Gravity.LACKS, Side.MADE, "Nothing came out yet."))
    lacking += [
        finding(Gravity.LACKS, Side.MADE, "Say what it is.", at, "form")
        for at, one in enumerate(work.made)
        if not one.form
    ]
    return lacking


def a_preview(work: WorkDraft) -> WorkPreview:
    """Invented figures in the form that real ones have."""
    if not work.used or not work.made:
        return nothing_yet(work)
    findings = _lacking(work)
    made = [
        MadeMetal(
            one.tag,
            one.form,
            figure("149.6", "0.8") if at == 0 else figure("2.4", "0.8"),
            is_residue=at > 0,
        )
        for at, one in enumerate(work.made)
    ]
    heavy = [one for one in work.made if one.gross is not None and one.gross > mass("5 kg")]
    findings += [
        finding(
            Gravity.REFUSES,
            Side.MADE,
            f"{one.tag} is heavier than all that went in; check the weight.",
            work.made.index(one),
            "gross",
        )
        for one in heavy
    ]
    if any(one.gross is not None and one.gross < mass("1 g") for one in work.made):
        findings.append(
            finding(Gravity.WARNS, Side.MADE, "Far less came out than usual; look again.", 0)
        )
    better = BetterKnown(
        work.used[0].tag,
        "button",
        figure("151.5", "2.9"),
        figure("152.2", "1.1"),
        "the button is now known better",
    )
    silver = MetalPreview(
        "Ag",
        figure("151.5", "2.9"),
        tuple(made),
        figure("0.2"),
        (better,),
        closes=True,
        sentence="",
    )
    weight = WeightPreview(
        (
            WeightLine("metal that left the button, with the lead", 205_600_000, 205_600_000),
            WeightLine("the same as oxides", 226_000_000, 236_000_000),
            WeightLine("the cupel gained", 216_200_000, 216_200_000),
            WeightLine("missing: fume and handling", 9_000_000, 20_000_000, is_result=True),
        ),
        closes=True,
        sentence="",
    )
    return WorkPreview(
        metals=(silver,),
        weight=weight,
        sentence="Both balances close.",
        closes=True,
        aids=(LEAD_AID,),
        cautions=(LEAD_FUME,) if work.process is Process.CUPEL else (),
        findings=tuple(findings),
        figures_of=942,
        stale="",
    )


DRUM_C = ContainerBrief(
    brief(
        "drum C",
        "spent cupel",
        "21700",
        {"Ag": figure("312", "17")},
        place="drum C",
        is_residue=True,
        more_lots=12,
    ),
    tuple(f"C-{at:04d}" for at in range(101, 165)),
    0,
)
DRUMS: Mapping[str, tuple[ContainerBrief, ...]] = {
    "drum C": (DRUM_C,),
    "tub 2": (
        ContainerBrief(
            replace(brief("tub 2", "slag", "6100", place="tub 2", is_residue=True), gross_ug=None),
            ("S-0001", "S-0002", "S-0003"),
            1,
        ),
        ContainerBrief(
            brief("tub 2", "spent cupel", "900", place="tub 2", is_residue=True), ("C-0001",), 0
        ),
    ),
}


class InventedBench:
    """Answers as a book would; what it was asked and told is kept."""

    def __init__(self) -> None:
        self.works: tuple[RecentWork, ...] = (CUPELLED, SORTED)
        self.items = dict(ITEMS)
        self.drums = dict(DRUMS)
        self.recipes: tuple[Recipe, ...] = RECIPES
        self.previewed: list[WorkDraft] = []
        self.recorded: list[tuple[WorkDraft, str]] = []
        self.let_go: list[str] = []
        self.last = {"K": 212, "C": 164, "S": 40, "B": 31, "R": 110, "A": 8}
        self.trouble: BaseException | None = None
        self.before_preview: Callable[[], None] = lambda: None
        self.before_briefs: Callable[[], None] = lambda: None

    def questions(self) -> WorkQuestions:
        return WorkQuestions(
            recent=lambda _book: self.works,
            names=lambda _book: KNOWN,
            briefs=self.briefs,
            containers=lambda _book, name: self.drums.get(name, ()),
            containers_like=self.containers_like,
            pick=self.pick,
            read_scan=self.read_scan,
            tags=self.tags,
            let_tags_go=lambda _book, owner: self.let_go.append(owner),
            recipes=lambda _book: self.recipes,
            keep_recipes=self.keep_recipes,
            scaled=scaled,
            now=lambda _book: NOW,
            preview=self.preview,
            record=self.record,
        )

    def briefs(self, _book: object, tags: Sequence[str]) -> Mapping[str, ItemBrief]:
        self.before_briefs()
        return {tag: self.items[tag] for tag in tags if tag in self.items}

    def containers_like(self, _book: object, text: str) -> Sequence[ContainerBrief]:
        begun = text.casefold()
        return [
            one
            for name, held in self.drums.items()
            for one in held
            if begun and name.startswith(begun)
        ]

    def pick(self, _book: object, text: str) -> Sequence[ItemBrief]:
        here = [one for one in self.items.values() if not one.trouble]
        word = text.lower()
        return [one for one in here if word in f"{one.tag} {one.form}".lower()]

    def read_scan(self, _book: object, text: str) -> Scan:
        return tag_of_scan(text, self.items.__contains__)

    def tags(self, _book: object, _owner: str, forms: Sequence[str]) -> Sequence[str]:
        return next_tags(forms, self.last)

    def keep_recipes(self, _book: object, recipes: Sequence[Recipe]) -> Changes:
        self.recipes = tuple(recipes)
        return Changes(settings=True)

    def preview(self, _book: object, work: WorkDraft, _style: Numbers) -> WorkPreview:
        self.before_preview()
        self.previewed.append(work)
        return a_preview(work)

    def record(self, _book: object, work: WorkDraft, key: str) -> Changes:
        if self.trouble is not None:
            raise self.trouble
        self.recorded.append((work, key))
        return Changes(entries=(943,))
