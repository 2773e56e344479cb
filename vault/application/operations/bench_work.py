"""Recording a work as the bench filled it in: what is divided first and the work, or nothing."""

from __future__ import annotations

from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.operations.recording import record_together
from vault.application.operations.work_draft import WorkDraft
from vault.application.operations.works import drafts_of


def record_bench_work(book: Book, work: WorkDraft, key: str) -> Changes:
    """Record a work, and before it a divide for each item of which only a part goes in.

    Raises:
        RuleBroken: when it cannot be true; nothing is recorded then.
        StoreError: when the file cannot take it.
    """
    return record_together(book, drafts_of(work), key=key)
