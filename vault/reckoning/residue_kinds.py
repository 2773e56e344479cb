"""Which kind of residue a thing is, and of which kinds a blend was put together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from vault.core.flow import Flow, Work
from vault.core.forms import is_residue
from vault.core.turns import in_turns
from vault.reckoning.guesses import COLD, residue_kind


def kinds_left(works: Iterable[Work], forms: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Give the tag of every residue that these works left, and its kind, in order.

    Args:
        works: in order.
        forms: of everything that went in or came out, by tag.
    """
    residual = {form: is_residue(form) for form in set(forms.values())}
    for work in in_turns(works):
        left = [tag for tag in work.made if residual[forms[tag]]]
        if not left:
            continue
        fed = {forms[tag] for tag in work.used}
        poor = all(residual[form] for form in fed)
        for tag in left:
            form = forms[tag]
            if form in fed and form in {"dust", "crucible"}:
                continue
            kind = residue_kind(form, work.process, poor_feed=poor)
            if kind is not None:
                yield tag, kind


def kinds_within(flow: Flow) -> dict[str, frozenset[str]]:
    """Give the kinds of residue that each thing is, or was blended, crushed or divided from."""
    forms = {tag: item.form for tag, item in flow.items.items()}
    own = dict(kinds_left(flow.works.values(), forms))
    found = {tag: frozenset({kind}) for tag, kind in own.items()}
    for work in flow.works.values():
        if work.process in COLD:
            fed = frozenset[str]().union(*(found.get(tag, frozenset()) for tag in work.used))
            for tag in work.made:
                found[tag] = found.get(tag, frozenset()) | fed
    return {tag: kinds for tag, kinds in found.items() if kinds}
