"""The rows of the balance in words, for budgets and findings."""

from __future__ import annotations

from vault.reckoning.facts import KINDS, PROCESSES, SETTLED, WORD
from vault.reckoning.row_pile import Ground, RowKind, Rows

_SAYING = {SETTLED: "settlement of", WORD: "what was declared of"}
_SAYINGS = {SETTLED: "settlements", WORD: "what was declared"}
_SORTS = {
    RowKind.SILENT: "what may be there without being named",
    RowKind.FEED: "metal added to works",
    RowKind.SUM: "sums of works",
    RowKind.WHOLE: "settlements of whole shipments",
}
_DOING = {
    "sort": "sorting",
    "divide": "dividing",
    "burn off": "burning off",
    "smelt": "smelting",
    "cupel": "cupelling",
    "remelt": "remelting",
    "pour": "pouring",
    "crush": "crushing",
    "blend": "blending",
    "sample": "sampling",
    "other": "the work",
}


def record_words(ground: Ground, rows: Rows, row: int) -> tuple[str, int | None, str]:
    """Give what a row records in words, the entry that says it, and the tag it is about."""
    kind, subject = RowKind(int(rows.kind[row])), int(rows.subject[row])
    facts = ground.facts
    if kind is RowKind.SAID:
        tag = facts.tags[facts.sayings.item[subject]]
        source = int(facts.sayings.source[subject])
        return (
            f"{_SAYING.get(source, 'assay of')} {tag}",
            int(facts.sayings.entry[subject]),
            tag,
        )
    if kind is RowKind.WHOLE:
        wholes = facts.wholes
        return f"settlement of shipment {wholes.refs[subject]}", int(wholes.entry[subject]), ""
    if kind is RowKind.SILENT:
        tag = facts.tags[subject]
        return f"what may be in {tag} without being named", None, tag
    if kind is RowKind.SPLIT:
        tag = facts.tags[subject]
        entry = int(facts.works.number[facts.maker[subject]])
        return f"how evenly {_doing(ground, facts.maker[subject])} shared it out", entry, tag
    return _of_work(ground, rows, row, subject)


def kind_words(ground: Ground, rows: Rows, row: int) -> str:
    """Give in words what sort of record a row is, so that many of a sort can be told as one."""
    kind, subject = RowKind(int(rows.kind[row])), int(rows.subject[row])
    facts = ground.facts
    if kind is RowKind.SAID:
        return _SAYINGS.get(int(facts.sayings.source[subject]), "assays")
    if kind is RowKind.SPLIT:
        return f"how evenly {_doing(ground, facts.maker[subject])} shares things out"
    if kind is RowKind.KEEP:
        return f"how much {_residue(rows, row)} differs from batch to batch"
    if kind is RowKind.LOSS:
        return f"what {_doing(ground, subject)} may lose"
    return _SORTS[kind]


def factor_words(kind: int) -> str:
    """Give the house's own factor of a residue kind in words."""
    return f"what {KINDS[kind]} usually keeps here"


def _of_work(ground: Ground, rows: Rows, row: int, work: int) -> tuple[str, int | None, str]:
    entry = int(ground.facts.works.number[work])
    kind = RowKind(int(rows.kind[row]))
    if kind is RowKind.FEED:
        return f"metal added in entry {entry}", entry, ""
    if kind is RowKind.KEEP:
        return f"how {_residue(rows, row)} of entry {entry} differs from the usual", entry, ""
    if kind is RowKind.LOSS:
        return f"what {_doing(ground, work)} (entry {entry}) may lose", entry, ""
    return f"the sum of entry {entry}", entry, ""


def _residue(rows: Rows, row: int) -> str:
    return KINDS[int(rows.factor[row])] if rows.factor[row] >= 0 else "residue"


def _doing(ground: Ground, work: int) -> str:
    return _DOING[PROCESSES[int(ground.facts.works.process[work])].value]
