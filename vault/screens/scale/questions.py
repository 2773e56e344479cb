"""What the scale's part of the window may ask and have done; each takes the book first."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

# These take their time to load; a reader loads them with its first answer.
if TYPE_CHECKING:
    from datetime import date

    from vault.application.queries.answers.scales import CheckVerdict
    from vault.bench.scale_port import PortOffered
    from vault.bench.scales import Scale
    from vault.core.masses import Mass


@dataclass(frozen=True, slots=True)
class ScaleQuestions:
    """Plain functions of a book.

    Attributes:
        scales: the shop's scales by name.
        scale_in_use: the scale to listen to, or None.
        keep: keep a scale, in place of the one of an older name; refuses with a sentence.
        forget: forget a scale of a name.
        use: listen to the scale of a name from now on.
        last_checks: how each scale was last checked, by its name.
        today: the day by the shop's calendar.
        check: record what a scale showed under a test weight: book, scale, weight, shown, key.
        ports: the serial ports of this computer; takes no book.
    """

    scales: Callable[[Any], Sequence[Scale]]
    scale_in_use: Callable[[Any], Scale | None]
    keep: Callable[[Any, Scale, str], object]
    forget: Callable[[Any, str], object]
    use: Callable[[Any, str], object]
    last_checks: Callable[[Any], Mapping[str, CheckVerdict]]
    today: Callable[[Any], date]
    check: Callable[[Any, str, Mass, Mass, str], object]
    ports: Callable[[], Sequence[PortOffered]]
