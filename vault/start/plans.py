"""The screens of the window, each built of its questions when it is first shown."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from vault.screens.later import later
from vault.start.modules import OPENING, QUERIES

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from vault.screens.commands import Commands
    from vault.screens.parts import Parts, Plan
    from vault.screens.screen import Screen


def make_plans(parts: Parts) -> list[Plan]:
    """List the screens of the rail, from the top; each is loaded when it is first shown."""
    from vault.screens.parts import Plan

    return [
        Plan("safe", "Safe", lambda commands: make_safe(parts, commands)),
        Plan("lots", "Lots", lambda commands: _make_lots(parts, commands)),
        Plan("work", "Work", lambda _: _make_work(parts)),
        Plan("trace", "Trace", lambda commands: _make_trace(parts, commands)),
        Plan("residues", "Residues", lambda commands: _make_residues(parts, commands)),
        Plan("daybook", "Daybook", lambda commands: _make_daybook(parts, commands)),
        Plan(
            "receive",
            "Receive a lot",
            lambda commands: _make_receive(parts, commands),
            on_rail=False,
        ),
        Plan(
            "shipments",
            "Shipments",
            lambda commands: _make_shipments(parts, commands),
            on_rail=False,
        ),
        Plan("terms", "Terms of refineries", lambda _: _make_terms(parts), on_rail=False),
    ]


def make_safe(parts: Parts, commands: Commands) -> Screen:
    """Build the Safe."""
    from vault.screens.safe.questions import SafeQuestions
    from vault.screens.safe.screen import SafeScreen

    questions = SafeQuestions(
        safe=later(f"{QUERIES}.safe", "safe"),
        item_index=later(f"{QUERIES}.items", "item_index"),
        item_rows=later(f"{QUERIES}.items", "item_rows"),
        item_detail=later(f"{QUERIES}.items", "item_detail"),
        stock_series=later(f"{QUERIES}.safe", "stock_series"),
        today=later(OPENING, "today_of"),
    )
    return SafeScreen(questions, parts.background, parts.style, commands, parts.choices)


def _make_trace(parts: Parts, commands: Commands) -> Screen:
    from vault.screens.trace.screen import TraceQuestions, TraceScreen

    questions = TraceQuestions(
        trace=later(f"{QUERIES}.trace", "trace"),
        foot=later(f"{QUERIES}.trace", "foot"),
    )
    return TraceScreen(questions, parts.background, parts.style, commands)


def _make_lots(parts: Parts, commands: Commands) -> Screen:
    from vault.screens.lots.questions import LotsQuestions
    from vault.screens.lots.screen import LotsScreen

    questions = LotsQuestions(
        lots=later(f"{QUERIES}.lots", "lots"),
        lot_detail=later(f"{QUERIES}.lots", "lot_detail"),
    )
    screen = LotsScreen(questions, parts.background, parts.style, commands, parts.choices)
    screen.receipt_wanted.connect(lambda entry: parts.papers.receipt(screen.book, entry))
    return screen


def _make_work(parts: Parts) -> Screen:
    from vault.application.recipes import scaled
    from vault.screens.work.hands import WorkHands
    from vault.screens.work.questions import WorkQuestions
    from vault.screens.work.screen import WorkScreen

    help_, tags, recipes = f"{QUERIES}.bench_help", f"{QUERIES}.tags", "vault.application.recipes"
    questions = WorkQuestions(
        recent=later(help_, "recent_works"),
        names=later(help_, "known_names"),
        briefs=later(help_, "item_briefs"),
        containers=later(f"{QUERIES}.container_briefs", "container_briefs"),
        containers_like=later(f"{QUERIES}.container_briefs", "containers_like"),
        pick=later(help_, "items_to_pick"),
        read_scan=later(tags, "read_scan"),
        tags=later(tags, "propose_tags"),
        let_tags_go=later(tags, "let_tags_go"),
        recipes=later(recipes, "recipes"),
        keep_recipes=later(recipes, "keep_recipes"),
        scaled=scaled,
        now=later(OPENING, "now_of"),
        preview=later(f"{QUERIES}.work_preview", "preview_work"),
        record=later("vault.application.operations.bench_work", "record_bench_work"),
    )
    hands = WorkHands(
        parts.desk,
        parts.drafts,
        parts.scales.weight_field,
        print_tags=parts.papers.tags,
        scale_box=parts.scales.box,
    )
    return WorkScreen(questions, parts.background, parts.style, hands)


def _make_residues(parts: Parts, commands: Commands) -> Screen:
    from vault.screens.residues.questions import ResiduesQuestions
    from vault.screens.residues.screen import ResiduesScreen

    questions = ResiduesQuestions(
        residues=later(f"{QUERIES}.residues", "residues"),
        residue_series=later(f"{QUERIES}.safe", "residue_series"),
        learning=later(f"{QUERIES}.learning", "learning"),
        next_assay=later(f"{QUERIES}.next_assay", "next_assay"),
        choice=later(f"{QUERIES}.send_out", "choice_of_containers"),
        yearly_record=later(f"{QUERIES}.turnover", "yearly_record"),
    )
    screen = ResiduesScreen(questions, parts.background, parts.style, commands)
    screen.record_wanted.connect(lambda: parts.papers.residue_record(screen.book))
    return screen


def _make_daybook(parts: Parts, commands: Commands) -> Screen:
    from vault.screens.daybook.questions import DaybookQuestions
    from vault.screens.daybook.screen import DaybookScreen

    queries = f"{QUERIES}.daybook"
    questions = DaybookQuestions(
        entry_numbers=later(queries, "entry_numbers"),
        daybook_rows=later(queries, "daybook_rows"),
        entry_detail=later(queries, "entry_detail"),
        chain_proof=later(queries, "chain_proof"),
        findings=later(queries, "findings"),
    )
    screen = DaybookScreen(questions, parts.background, parts.style, commands)
    papers = parts.papers
    screen.pane.papers_wanted.connect(lambda entry: papers.shipment(screen.book, entry))
    screen.pane.own_estimate_wanted.connect(lambda entry: papers.own_estimate(screen.book, entry))
    return screen


def _make_receive(parts: Parts, commands: Commands) -> Screen:
    from vault.screens.receive.questions import ReceiveQuestions
    from vault.screens.receive.screen import Hands, ReceiveScreen

    questions = ReceiveQuestions(
        help=later(f"{QUERIES}.receive_help", "receipt_help"),
        preview=later(f"{QUERIES}.receive_preview", "preview_receipt"),
        propose_tags=later(f"{QUERIES}.tags", "propose_received_tags"),
        let_tags_go=later(f"{QUERIES}.tags", "let_tags_go"),
        receive=later("vault.application.operations.receipts", "receive"),
        new_key=later("vault.application.operations.recording", "new_key"),
    )
    hands = Hands(
        recorder=parts.desk,
        drafts=parts.drafts,
        weights=parts.scales,
        papers=parts.papers,
        choose_picture=lambda over: _choose_picture(parts, over),
        may_work=True,
    )
    return ReceiveScreen(questions, parts.background, parts.style, commands, hands)


def _make_shipments(parts: Parts, commands: Commands) -> Screen:
    from vault.screens.shipments.questions import ShipmentsQuestions
    from vault.screens.shipments.screen import ShipmentsScreen

    questions = ShipmentsQuestions(
        shipments=later(f"{QUERIES}.shipments", "shipments"),
        sent_without_number=later(f"{QUERIES}.shipments", "sent_without_number"),
        shipment_detail=later(f"{QUERIES}.shipments", "shipment_detail"),
    )
    screen = ShipmentsScreen(questions, parts.background, parts.style, commands)
    papers = parts.papers
    screen.papers_wanted.connect(lambda entry: papers.shipment(screen.book, entry))
    screen.own_estimate_wanted.connect(lambda entry: papers.own_estimate(screen.book, entry))
    return screen


def _make_terms(parts: Parts) -> Screen:
    from vault.screens.terms_sheets.questions import TermsHands, TermsQuestions
    from vault.screens.terms_sheets.screen import TermsScreen

    kept, asked = "vault.application.terms_sheets", f"{QUERIES}.terms_sheets"
    questions = TermsQuestions(
        known=later(asked, "known_terms"),
        interest=later("vault.application.circumstances", "interest"),
        example=later(asked, "example_return"),
        keep=later(kept, "keep_sheet"),
        take_away=later(kept, "take_away"),
        write_out=later(kept, "write_sheets"),
        read_in=later(kept, "read_sheets"),
    )
    hands = TermsHands(parts.desk, parts.drafts, parts.choosers)
    return TermsScreen(questions, parts.background, parts.style, hands)


def _choose_picture(parts: Parts, over: QWidget) -> Path | None:
    """Ask for a picture, beginning in the folder of the last one."""
    file = parts.choosers.picture_to_attach(
        over, Path(parts.choices.text("photo_folder") or Path.home())
    )
    if file is not None:
        parts.choices.remember_text("photo_folder", str(file.parent))
    return file
