"""What the Work screen may ask of a book, and the one thing that it does to it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from vault.application.operations.work_draft import WorkDraft
from vault.application.queries.answers.bench import (
    ContainerBrief,
    ItemBrief,
    KnownNames,
    RecentWork,
)
from vault.application.queries.answers.work import WorkPreview
from vault.application.recipes import Recipe
from vault.core.masses import Mass
from vault.core.tags import Scan
from vault.screens.numbers import Numbers


@dataclass(frozen=True, slots=True)
class WorkQuestions:
    """Plain functions of a book.

    Attributes:
        recent: the works done lately, the last first.
        names: names that the book knows, those used most first.
        briefs: items in short by their tags; what names nothing is left out.
        containers: what lies in a container, by form.
        containers_like: the containers that a text could mean, with what lies in each.
        pick: a few items on hand that a text could mean.
        read_scan: what a scanned or typed text says.
        tags: new tags for things of these forms, the same again for the same owner.
        let_tags_go: free the tags of an owner.
        recipes, keep_recipes: the shop's flux recipes.
        scaled: what a recipe puts in with a charge.
        now: the present moment by the shop's clock, with its zone.
        preview: all that can be said of a work before it is recorded, in the number style given.
        record: record a work under the key of its draft; gives the changes.
    """

    recent: Callable[[object], Sequence[RecentWork]]
    names: Callable[[object], KnownNames]
    briefs: Callable[[object, Sequence[str]], Mapping[str, ItemBrief]]
    containers: Callable[[object, str], Sequence[ContainerBrief]]
    containers_like: Callable[[object, str], Sequence[ContainerBrief]]
    pick: Callable[[object, str], Sequence[ItemBrief]]
    read_scan: Callable[[object, str], Scan]
    tags: Callable[[object, str, Sequence[str]], Sequence[str]]
    let_tags_go: Callable[[object, str], None]
    recipes: Callable[[object], Sequence[Recipe]]
    keep_recipes: Callable[[object, Sequence[Recipe]], object]
    scaled: Callable[[Recipe, Mass], Sequence[tuple[str, Mass]]]
    now: Callable[[object], datetime]
    preview: Callable[[object, WorkDraft, Numbers], WorkPreview]
    record: Callable[[object, WorkDraft, str], object]
