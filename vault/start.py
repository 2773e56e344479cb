"""The one place that knows every layer: it builds the parts from each other and shows the window.

What is slow to load (SQLAlchemy, scipy, pyqtgraph) is loaded when it is first wanted, most of it
by a reader off the window's thread: the window stands before the database is even imported.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from vault.application.missing_libraries import why_no_window
from vault.screens.later import later

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication, QWidget

    from vault.screens.commands import Commands
    from vault.screens.doors import Doors
    from vault.screens.forms.kit import FormActs, FormKit, FormQuestions
    from vault.screens.main_window import MainWindow
    from vault.screens.parts import Parts, Plan
    from vault.screens.scale.questions import ScaleQuestions
    from vault.screens.screen import Screen

NO_WINDOW = 1
APPLICATION = "metal-on-hand"
_OPENING = "vault.application.opening"
_HOLDS = "vault.application.holds"
_QUERIES = "vault.application.queries"


def open_window(
    path: Path | None,
    *,
    demo: bool = False,
    self_test: bool = False,
    pictures: Path | None = None,
) -> int:
    """Open the window and give the exit status once it is closed.

    Args:
        path: the book to open; None for the one opened last, or the start page.
        demo: open a fresh demonstration shop instead.
        self_test: draw every screen of the demonstration shop, then end.
        pictures: a folder for pictures of those screens.
    """
    if self_test and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    trouble = why_no_window()
    if trouble:
        print(trouble, file=sys.stderr)  # noqa: T201  there is no window to say it in
        return NO_WINDOW
    # Qt loads only now that it can.
    from PySide6.QtWidgets import QApplication

    from vault.screens.garbage import CycleCollector
    from vault.screens.scanner import Scanner
    from vault.screens.self_test import SelfTest

    application = make_application()
    parts = make_parts()
    collector = CycleCollector(parts.background)
    scanner = Scanner(application, lambda: parts.choices.scanner_prefix)
    hook, sys.excepthook = sys.excepthook, parts.failures.hook
    try:
        window = make_window(parts)
        window.listen_to(scanner)
        window.show()
        if self_test:
            return SelfTest(window, parts, pictures).run()
        _begin(window, parts, path, demo=demo)
        return QApplication.exec()
    finally:
        sys.excepthook = hook
        scanner.close()
        collector.close()


def make_application() -> QApplication:
    """Give the Qt application, with the program's own face."""
    from PySide6.QtWidgets import QApplication

    from vault.screens.look import face, load_face
    from vault.screens.words import PROGRAM

    running = QApplication.instance()
    application = running if isinstance(running, QApplication) else QApplication(sys.argv[:1])
    application.setApplicationName(PROGRAM)
    application.setStyle("fusion")
    load_face()
    application.setFont(face())
    return application


def make_parts() -> Parts:
    """Build what the window is built of."""
    import platformdirs

    from vault.application.drafts import DraftShelf
    from vault.screens.announcer import Announcer
    from vault.screens.background import Background
    from vault.screens.choosers import Choosers
    from vault.screens.desk import Desk
    from vault.screens.drafts import DraftDesk
    from vault.screens.failures import Failures
    from vault.screens.house_style import HouseStyle
    from vault.screens.look import look_named
    from vault.screens.parts import Parts
    from vault.screens.printing.desk import PrintDesk, PrintQuestions
    from vault.screens.scale.room import ScaleRoom
    from vault.screens.settings.choices import Choices
    from vault.screens.settings.room import ShopQuestions

    settings = platformdirs.user_config_path(APPLICATION)
    choices = Choices(settings / "settings.ini")
    doors = make_doors(lambda: choices.working_as)
    background, announcer = Background(), Announcer()
    style = HouseStyle(look_named(choices.look_name), choices.numbers)
    scales = ScaleRoom(_scale_questions, background, style)
    # A check that was recorded or struck makes another last check.
    announcer.changed.connect(scales.look_again)
    desk = Desk(doors, background, announcer)
    choosers = Choosers()
    asked = PrintQuestions(
        tag_labels=later(f"{_QUERIES}.labels", "tag_labels"),
        receipt_of=later("vault.application.reports.receipt", "receipt_of"),
        residue_record=later("vault.application.reports.residue_record", "residue_record"),
    )
    return Parts(
        doors=doors,
        background=background,
        announcer=announcer,
        desk=desk,
        failures=Failures(),
        style=style,
        choices=choices,
        choosers=choosers,
        drafts=DraftDesk(DraftShelf(settings / "drafts"), later(_OPENING, "file_of")),
        scales=scales,
        shop_settings=ShopQuestions(
            hold=later(_HOLDS, "hold_of"),
            insist=later(_HOLDS, "insist"),
            set_hold=later(_HOLDS, "set_hold"),
            prefixes=later("vault.application.tag_prefixes", "tag_prefixes"),
            set_prefixes=later("vault.application.tag_prefixes", "set_tag_prefixes"),
        ),
        form_kit=make_form_kit,
        papers=PrintDesk(asked, background, choosers, choices, style, lambda: desk.book),
    )


def make_window(parts: Parts) -> MainWindow:
    """Build the window with its screens."""
    from vault.screens.main_window import MainWindow

    return MainWindow(parts, make_plans(parts))


def make_plans(parts: Parts) -> list[Plan]:
    """List the screens of the rail, from the top; each is loaded when it is first shown."""
    from vault.screens.parts import Plan

    return [
        Plan("safe", "Safe", lambda commands: _make_safe(parts, commands)),
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
        Plan("terms", "Terms of refineries", lambda _: _make_terms(parts), on_rail=False),
    ]


def make_doors(working_as: Callable[[], str]) -> Doors:
    """Give the window its ways in and out of books."""
    import platformdirs

    from vault.screens.doors import Doors

    folder = platformdirs.user_data_path(APPLICATION)
    open_book = later(_OPENING, "open_for_window")
    make_book = later(_OPENING, "make_for_window")
    make_demonstration = later(_OPENING, "make_demonstration")
    sign = later(_OPENING, "sign")
    return Doors(
        open_book=lambda path: open_book(path, working_as()),
        make_book=lambda path: make_book(path, working_as()),
        make_demonstration=lambda *words: make_demonstration(folder, *words),
        close_book=later(_OPENING, "close"),
        sign=lambda book: sign(book, working_as()),
        read_in=later("vault.application.operations.read_in", "read_into"),
        is_due=later(_OPENING, "needs_reckoning"),
        work_out=later(_OPENING, "bring_up_to_date"),
        take_in=later("vault.application.taking_in", "take_in"),
        settle=later("vault.application.figures", "settle_figures"),
        look_back=later(_OPENING, "look_back"),
        write_out=later("vault.application.exchange.write_out", "write_out_open"),
        back_up=later("vault.application.checks", "back_up_open"),
        check=later("vault.application.checks", "check_open"),
        find=later("vault.application.queries.items", "find"),
        read_scan=later(f"{_QUERIES}.tags", "read_scan"),
        shop_name=later(_OPENING, "shop_name"),
        limits=later(_OPENING, "limits_of"),
    )


def _scale_questions() -> ScaleQuestions:
    from vault.screens.scale.questions import ScaleQuestions

    kept = "vault.application.scales"
    return ScaleQuestions(
        scales=later(kept, "scales"),
        scale_in_use=later(kept, "scale_in_use"),
        keep=later(kept, "keep_scale"),
        forget=later(kept, "forget_scale"),
        use=later(kept, "use_scale"),
        last_checks=later(f"{_QUERIES}.scales", "last_checks"),
        today=later(_OPENING, "today_of"),
        check=later(kept, "record_check"),
        ports=later("vault.bench.scale_port", "ports"),
    )


def make_form_kit(parts: Parts, book: object) -> FormKit:
    """Give a small form all that it is built of, over the open book."""
    from vault.screens.forms.kit import FormKit

    return FormKit(
        book=book,
        questions=_form_questions(),
        acts=_form_acts(),
        recorder=parts.desk,
        background=parts.background,
        announcer=parts.announcer,
        drafts=parts.drafts,
        style=parts.style,
        choices=parts.choices,
        choosers=parts.choosers,
        weight_field=parts.scales.weight_field,
        take_weight=parts.scales.take,
    )


def _form_questions() -> FormQuestions:
    from vault.screens.forms.kit import FormQuestions

    asked = f"{_QUERIES}.forms"
    return FormQuestions(
        item=later(asked, "item_facts"),
        container=later(asked, "container_facts"),
        briefs=later(f"{_QUERIES}.bench_help", "item_briefs"),
        names=later(f"{_QUERIES}.bench_help", "known_names"),
        read_scan=later(f"{_QUERIES}.tags", "read_scan"),
        tags=later(f"{_QUERIES}.tags", "propose_tags"),
        let_tags_go=later(f"{_QUERIES}.tags", "let_tags_go"),
        now=later(_OPENING, "now_of"),
        entry=later(f"{_QUERIES}.daybook", "entry_detail"),
        known=later(asked, "contents_known"),
        compare=later(asked, "compare_weights"),
        rest=later(asked, "rest_of_divide"),
        learnt=later(asked, "learnt"),
        prices=later(f"{_QUERIES}.prices", "prices_set"),
        worth_sending=later(f"{_QUERIES}.send_out", "choice_of_items"),
        price_doubts=later(f"{_QUERIES}.prices", "price_doubts"),
    )


def _form_acts() -> FormActs:
    from vault.screens.forms.kit import FormActs

    acts = "vault.application.operations.acts"
    bench = "vault.application.operations.bench_acts"
    return FormActs(
        assay=later(bench, "assay_items"),
        weigh=later(acts, "weigh"),
        move=later(bench, "move_things"),
        divide=later(bench, "divide"),
        send=later(acts, "send"),
        return_=later(acts, "return_"),
        sell=later(acts, "sell"),
        strike=later(acts, "strike_entry"),
        seal=later(acts, "seal"),
        set_prices=later(acts, "set_prices"),
        photograph=later("vault.application.operations.photos", "attach_photo"),
    )


def _make_safe(parts: Parts, commands: Commands) -> Screen:
    from vault.screens.safe.questions import SafeQuestions
    from vault.screens.safe.screen import SafeScreen

    questions = SafeQuestions(
        safe=later(f"{_QUERIES}.safe", "safe"),
        item_index=later(f"{_QUERIES}.items", "item_index"),
        item_rows=later(f"{_QUERIES}.items", "item_rows"),
        item_detail=later(f"{_QUERIES}.items", "item_detail"),
        stock_series=later(f"{_QUERIES}.safe", "stock_series"),
        today=later(_OPENING, "today_of"),
    )
    return SafeScreen(questions, parts.background, parts.style, commands, parts.choices)


def _make_trace(parts: Parts, commands: Commands) -> Screen:
    from vault.screens.trace.screen import TraceQuestions, TraceScreen

    questions = TraceQuestions(
        trace=later(f"{_QUERIES}.trace", "trace"),
        foot=later(f"{_QUERIES}.trace", "foot"),
    )
    return TraceScreen(questions, parts.background, parts.style, commands)


def _make_lots(parts: Parts, commands: Commands) -> Screen:
    from vault.screens.lots.questions import LotsQuestions
    from vault.screens.lots.screen import LotsScreen

    questions = LotsQuestions(
        lots=later(f"{_QUERIES}.lots", "lots"),
        lot_detail=later(f"{_QUERIES}.lots", "lot_detail"),
    )
    screen = LotsScreen(questions, parts.background, parts.style, commands, parts.choices)
    screen.receipt_wanted.connect(lambda entry: parts.papers.receipt(screen.book, entry))
    return screen


def _make_work(parts: Parts) -> Screen:
    from vault.application.recipes import scaled
    from vault.screens.work.hands import WorkHands
    from vault.screens.work.questions import WorkQuestions
    from vault.screens.work.screen import WorkScreen

    help_, tags, recipes = f"{_QUERIES}.bench_help", f"{_QUERIES}.tags", "vault.application.recipes"
    questions = WorkQuestions(
        recent=later(help_, "recent_works"),
        names=later(help_, "known_names"),
        briefs=later(help_, "item_briefs"),
        pick=later(help_, "items_to_pick"),
        read_scan=later(tags, "read_scan"),
        tags=later(tags, "propose_tags"),
        let_tags_go=later(tags, "let_tags_go"),
        recipes=later(recipes, "recipes"),
        keep_recipes=later(recipes, "keep_recipes"),
        scaled=scaled,
        now=later(_OPENING, "now_of"),
        preview=later(f"{_QUERIES}.work_preview", "preview_work"),
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
        residues=later(f"{_QUERIES}.residues", "residues"),
        residue_series=later(f"{_QUERIES}.safe", "residue_series"),
        next_assay=later(f"{_QUERIES}.next_assay", "next_assay"),
        choice=later(f"{_QUERIES}.send_out", "choice_of_containers"),
        yearly_record=later(f"{_QUERIES}.turnover", "yearly_record"),
    )
    screen = ResiduesScreen(questions, parts.background, parts.style, commands)
    screen.record_wanted.connect(lambda: parts.papers.residue_record(screen.book))
    return screen


def _make_daybook(parts: Parts, commands: Commands) -> Screen:
    from vault.screens.daybook.questions import DaybookQuestions
    from vault.screens.daybook.screen import DaybookScreen

    queries = f"{_QUERIES}.daybook"
    questions = DaybookQuestions(
        entry_numbers=later(queries, "entry_numbers"),
        daybook_rows=later(queries, "daybook_rows"),
        entry_detail=later(queries, "entry_detail"),
        chain_proof=later(queries, "chain_proof"),
        findings=later(queries, "findings"),
    )
    return DaybookScreen(questions, parts.background, parts.style, commands)


def _make_receive(parts: Parts, commands: Commands) -> Screen:
    from vault.screens.receive.questions import ReceiveQuestions
    from vault.screens.receive.screen import Hands, ReceiveScreen

    questions = ReceiveQuestions(
        help=later(f"{_QUERIES}.receive_help", "receipt_help"),
        preview=later(f"{_QUERIES}.receive_preview", "preview_receipt"),
        propose_tags=later(f"{_QUERIES}.tags", "propose_received_tags"),
        let_tags_go=later(f"{_QUERIES}.tags", "let_tags_go"),
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


def _make_terms(parts: Parts) -> Screen:
    from vault.screens.terms_sheets.questions import TermsHands, TermsQuestions
    from vault.screens.terms_sheets.screen import TermsScreen

    kept, asked = "vault.application.terms_sheets", f"{_QUERIES}.terms_sheets"
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


def _begin(window: MainWindow, parts: Parts, path: Path | None, *, demo: bool) -> None:
    """Begin with the book asked for, the one opened last, or the start page."""
    recent = parts.choices.recent
    if demo:
        window.desk.demonstrate()
    elif path is not None:
        window.desk.open(path)
    elif recent:
        window.desk.open(recent[0])
