"""What the Work screen works with besides asking: it records, keeps drafts, weighs and prints."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtWidgets import QWidget

from vault.screens.drafts import DraftDesk
from vault.screens.recorder import Recorder
from vault.screens.work.rows import WeightFactory


@dataclass(frozen=True, slots=True)
class WorkHands:
    """All of it.

    Attributes:
        recorder: records.
        drafts: keep what is typed over a crash.
        weights: gives a field for a weight.
        print_tags: prints the tags of an open book's items; None where nothing can be printed.
        scale_box: makes the box of the scale on the bench; None where there is none.
    """

    recorder: Recorder
    drafts: DraftDesk
    weights: WeightFactory
    print_tags: Callable[[object, Sequence[str]], None] | None = None
    scale_box: Callable[[], QWidget] | None = None
