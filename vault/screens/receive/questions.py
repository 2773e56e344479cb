"""What the screen of a receipt may ask of a book, and do in it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from vault.application.operations.receipt_draft import ReceiptDraft
from vault.application.queries.answers.receive import ReceiptHelp, ReceiptPreview


@dataclass(frozen=True, slots=True)
class ReceiveQuestions:
    """Plain functions of a book.

    Attributes:
        help: what the form wants to know when it is opened.
        preview: what a receipt brings, and what is wrong with it.
        propose_tags: so many new tags for an owner of a name, who keeps them until they are let go.
        let_tags_go: free the tags of an owner.
        receive: record a receipt under a key of its own; gives the `Changes`.
        new_key: a key for one action.
    """

    help: Callable[[object], ReceiptHelp]
    preview: Callable[[object, ReceiptDraft], ReceiptPreview]
    propose_tags: Callable[[object, str, int], Sequence[str]]
    let_tags_go: Callable[[object, str], None]
    receive: Callable[[object, ReceiptDraft, str], object]
    new_key: Callable[[], str]
