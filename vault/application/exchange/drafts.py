"""Rows of the daybook file gathered into drafts of entries, as far as they can be understood."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from vault.application.exchange.columns import Layout
from vault.application.exchange.faults import RowFault
from vault.application.exchange.lines import LineReader, Words
from vault.application.exchange.moments import Moments
from vault.core.daybook import Act, Line, Process, When
from vault.core.errors import TextNotUnderstood
from vault.core.numerals import shortened

_NUMBER = re.compile(r"[0-9]{1,9}\Z", re.ASCII)
_ACTS = {act.value: act for act in Act}
_PROCESSES = {process.value: process for process in Process}
_ACT_NAMES = ", ".join(_ACTS)
_PROCESS_NAMES = ", ".join(_PROCESSES)

# The places in `PLAIN_COLUMNS` of what stands once for an entry, and of the tag.
_ENTRY_WIDE = ("when", "by", "act", "process")
_TAG = 6


@dataclass(slots=True)
class Draft:
    """An entry as far as its rows can be understood; whole when it has no faults.

    Attributes:
        said: the cells entry, when, by, act and process of its first row, as written.
        first_row: number of that row.
        number, when, act, process: None where missing or not understood.
        by: who recorded it.
        lines: its lines, those left out whose role is not understood.
        rows: row number of each line.
        height: how many rows it has.
        lost_tags: tags on rows that gave no line.
        faults: what is wrong so far.
    """

    said: tuple[str, ...]
    first_row: int
    number: int | None = None
    when: When | None = None
    by: str = ""
    act: Act | None = None
    process: Process | None = None
    lines: list[Line] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)
    height: int = 0
    lost_tags: list[str] = field(default_factory=list)
    faults: list[RowFault] = field(default_factory=list)

    def has_fault_in(self, column: str) -> bool:
        """Tell whether a fault was found in one of its cells of this column."""
        return any(fault.column == column for fault in self.faults)


class DraftReader:
    """Gathers the rows of one file into drafts."""

    def __init__(self, layout: Layout, moments: Moments) -> None:
        self._layout = layout
        self._moments = moments
        self._words = Words()
        self._lines = LineReader(layout.metals, self._words)

    def drafts_of(self, rows: Iterable[tuple[int, list[str]]]) -> Iterator[Draft]:
        """Give the drafts of numbered rows; rows of one entry follow each other."""
        cells_of, contents_of = self._layout.cells_of, self._layout.contents_of
        draft: Draft | None = None
        for row, written in rows:
            fitted = self._layout.fitted(written)
            cells = cells_of(fitted)
            if not cells[0].strip() and not any(cell.strip() for cell in written):
                continue
            said = cells[:5]
            if draft is None or (said != draft.said and not self._goes_on(draft, row, said)):
                if draft is not None:
                    yield draft
                draft = self._begun(row, said)
            draft.height += 1
            self._tell_strays(draft, row, written)
            line = self._lines.line_of(row, cells[5:], contents_of(fitted), draft.faults)
            if line is not None:
                draft.lines.append(line)
                draft.rows.append(row)
            elif cells[_TAG]:
                draft.lost_tags.append(self._words[cells[_TAG]])
        if draft is not None:
            yield draft

    def _tell_strays(self, draft: Draft, row: int, written: list[str]) -> None:
        layout = self._layout
        if len(written) <= layout.width and not layout.unnamed:
            return
        strays = layout.strays_of(written)
        if strays:
            draft.faults.append(
                RowFault(
                    row,
                    "",
                    f"“{shortened(strays[0])}” stands under no column name; a cell with a comma in "
                    "it needs quotation marks around it.",
                )
            )

    def _goes_on(self, draft: Draft, row: int, said: tuple[str, ...]) -> bool:
        """Tell whether a row belongs to the draft, and what it says differently."""
        words = self._words
        number = words[said[0]]
        if not number:
            draft.faults.append(
                RowFault(row, "entry", "The number of the entry is empty; every row needs it.")
            )
            return True
        if number != words[draft.said[0]] and _number_of(number) != draft.number:
            return False
        for column, here, there in zip(_ENTRY_WIDE, said[1:], draft.said[1:], strict=True):
            if not self._same(column, words[here], words[there]):
                draft.faults.append(_disagreement(row, column, words[here], draft))
        return True

    def _same(self, column: str, here: str, there: str) -> bool:
        if here == there:
            return True
        if column != "when":
            return False
        try:
            return self._moments.from_text(here) == self._moments.from_text(there)
        except TextNotUnderstood:
            return False

    def _begun(self, row: int, said: tuple[str, ...]) -> Draft:
        entry, when, by, act, process = (self._words[cell] for cell in said)
        draft = Draft(said, row, number=_number_of(entry), by=by)
        if draft.number is None:
            draft.faults.append(RowFault(row, "entry", _no_number(entry)))
        try:
            draft.when = self._moments.from_text(when)
        except TextNotUnderstood as trouble:
            sentence = str(trouble) if when else "The date is empty; every entry has its day."
            draft.faults.append(RowFault(row, "when", sentence))
        draft.act = _ACTS.get(act)
        if draft.act is None:
            sentence = f"“{shortened(act)}” is no act; write one of {_ACT_NAMES}."
            draft.faults.append(RowFault(row, "act", sentence))
        if process:
            draft.process = _PROCESSES.get(process)
            if draft.process is None:
                sentence = f"“{shortened(process)}” is no process; write one of {_PROCESS_NAMES}."
                draft.faults.append(RowFault(row, "process", sentence))
        return draft


def _number_of(text: str) -> int | None:
    number = int(text) if _NUMBER.match(text) else 0
    return number or None


def _no_number(text: str) -> str:
    if not text:
        return "The number of the entry is empty; every row needs it."
    return (
        f"“{shortened(text)}” is no entry number; write a whole number from 1 upwards, of at most "
        "nine digits."
    )


def _disagreement(row: int, column: str, here: str, draft: Draft) -> RowFault:
    there = draft.said[1 + _ENTRY_WIDE.index(column)].strip()
    says = f"“{shortened(here)}”" if here else "nothing"
    said = f"“{shortened(there)}”" if there else "nothing"
    return RowFault(
        row,
        column,
        f"This row says {says}, the first row of the same entry (row {draft.first_row}) says "
        f"{said}; all rows of an entry agree.",
    )
