"""What the window is built of, and the plan of each screen of its rail."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from vault.screens.announcer import Announcer
from vault.screens.background import Background
from vault.screens.choosers import Choosers
from vault.screens.commands import Commands
from vault.screens.desk import Desk
from vault.screens.doors import Doors
from vault.screens.drafts import DraftDesk
from vault.screens.failures import Failures
from vault.screens.house_style import HouseStyle
from vault.screens.printing.desk import PrintDesk
from vault.screens.scale.room import ScaleRoom
from vault.screens.screen import Screen
from vault.screens.settings.choices import Choices
from vault.screens.settings.room import ShopQuestions

if TYPE_CHECKING:
    from vault.screens.forms.kit import FormKit


@dataclass(frozen=True, slots=True)
class Plan:
    """A screen, made only when it is first wanted; forms are opened by commands, not the rail."""

    name: str
    words: str
    make: Callable[[Commands], Screen]
    on_rail: bool = True


@dataclass(frozen=True, slots=True)
class Parts:
    """What the window is built of.

    Attributes:
        form_kit: gives all that a small form is handed, from these parts and the open book.
    """

    doors: Doors
    background: Background
    announcer: Announcer
    desk: Desk
    failures: Failures
    style: HouseStyle
    choices: Choices
    choosers: Choosers
    drafts: DraftDesk
    scales: ScaleRoom
    papers: PrintDesk
    form_kit: Callable[[Parts, object], FormKit]
    shop_settings: ShopQuestions | None = None
