"""The one place that knows every layer: it builds the parts from each other and shows the window.

What is slow to load (SQLAlchemy, scipy, pyqtgraph) is loaded when it is first wanted, most of it
by a reader off the window's thread: the window stands before the database is even imported.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from vault.application.missing_libraries import why_no_window
from vault.screens.later import later
from vault.start.doors import make_doors, scale_questions
from vault.start.forms import make_form_kit
from vault.start.modules import APPLICATION, HOLDS, OPENING, QUERIES
from vault.start.plans import make_plans

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

    from vault.screens.main_window import MainWindow
    from vault.screens.parts import Parts

NO_WINDOW = 1


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
    from vault.screens.settings.room import SendingQuestions, ShopQuestions

    settings = platformdirs.user_config_path(APPLICATION)
    choices = Choices(settings / "settings.ini")
    doors = make_doors(lambda: choices.working_as)
    background, announcer = Background(), Announcer()
    style = HouseStyle(look_named(choices.look_name), choices.numbers)
    scales = ScaleRoom(scale_questions, background, style)
    announcer.changed.connect(scales.heed)
    desk = Desk(doors, background, announcer)
    choosers = Choosers()
    asked = PrintQuestions(
        tag_labels=later(f"{QUERIES}.labels", "tag_labels"),
        receipt_of=later("vault.application.reports.receipt", "receipt_of"),
        residue_record=later("vault.application.reports.residue_record", "residue_record"),
        shipment_papers=later("vault.application.reports.shipment", "shipment_papers"),
        own_estimate=later("vault.application.reports.shipment", "own_estimate"),
        letter_of=later("vault.application.reports.letter", "letter_of"),
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
        drafts=DraftDesk(DraftShelf(settings / "drafts"), later(OPENING, "file_of")),
        scales=scales,
        shop_settings=ShopQuestions(
            hold=later(HOLDS, "hold_of"),
            insist=later(HOLDS, "insist"),
            set_hold=later(HOLDS, "set_hold"),
            prefixes=later("vault.application.tag_prefixes", "tag_prefixes"),
            set_prefixes=later("vault.application.tag_prefixes", "set_tag_prefixes"),
            sending=SendingQuestions(
                known=later("vault.application.circumstances", "circumstances_to_set"),
                keep=later("vault.application.circumstances", "set_circumstances"),
            ),
        ),
        form_kit=make_form_kit,
        papers=PrintDesk(asked, background, choosers, choices, style, lambda: desk.book),
    )


def make_window(parts: Parts) -> MainWindow:
    """Build the window with its screens."""
    from vault.screens.main_window import MainWindow

    return MainWindow(parts, make_plans(parts))


def _begin(window: MainWindow, parts: Parts, path: Path | None, *, demo: bool) -> None:
    """Begin with the book asked for, the one opened last, or the start page."""
    recent = parts.choices.recent
    if demo:
        window.desk.demonstrate()
    elif path is not None:
        window.desk.open(path)
    elif recent:
        window.desk.open(recent[0])
