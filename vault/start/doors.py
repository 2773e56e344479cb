"""The ways in and out of books, and what the scale's corner asks of them."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from vault.screens.later import later
from vault.start.modules import APPLICATION, OPENING, QUERIES

if TYPE_CHECKING:
    from vault.screens.doors import Doors
    from vault.screens.scale.questions import ScaleQuestions


def make_doors(working_as: Callable[[], str]) -> Doors:
    """Give the window its ways in and out of books."""
    import platformdirs

    from vault.screens.doors import Doors

    folder = platformdirs.user_data_path(APPLICATION)
    open_book = later(OPENING, "open_for_window")
    make_book = later(OPENING, "make_for_window")
    make_demonstration = later(OPENING, "make_demonstration")
    sign = later(OPENING, "sign")
    return Doors(
        open_book=lambda path: open_book(path, working_as()),
        make_book=lambda path: make_book(path, working_as()),
        make_demonstration=lambda *words: make_demonstration(folder, *words),
        close_book=later(OPENING, "close"),
        sign=lambda book: sign(book, working_as()),
        read_in=later("vault.application.operations.read_in", "read_into"),
        is_due=later(OPENING, "needs_reckoning"),
        work_out=later(OPENING, "bring_up_to_date"),
        take_in=later("vault.application.taking_in", "take_in"),
        settle=later("vault.application.figures", "settle_figures"),
        look_back=later(OPENING, "look_back"),
        write_out=later("vault.application.exchange.write_out", "write_out_open"),
        back_up=later("vault.application.checks", "back_up_open"),
        check=later("vault.application.checks", "check_open"),
        find=later("vault.application.queries.items", "find"),
        read_scan=later(f"{QUERIES}.tags", "read_scan"),
        shop_name=later(OPENING, "shop_name"),
        limits=later(OPENING, "limits_of"),
    )


def scale_questions() -> ScaleQuestions:
    """Give what the scale's corner asks of a book, and has done in it."""
    from vault.screens.scale.questions import ScaleQuestions

    kept = "vault.application.scales"
    return ScaleQuestions(
        scales=later(kept, "scales"),
        scale_in_use=later(kept, "scale_in_use"),
        keep=later(kept, "keep_scale"),
        forget=later(kept, "forget_scale"),
        use=later(kept, "use_scale"),
        last_checks=later(f"{QUERIES}.scales", "last_checks"),
        today=later(OPENING, "today_of"),
        check=later(kept, "record_check"),
        ports=later("vault.bench.scale_port", "ports"),
    )
