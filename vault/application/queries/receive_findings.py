"""What a person looking over one's shoulder would say of a receipt that is being filled in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from vault.application.operations.receipt_draft import BagDraft, ReceiptDraft
from vault.application.queries.answers.receive import ReceiptFinding
from vault.application.queries.answers.work import Gravity
from vault.core.daybook import Said, Terms, When
from vault.core.days import day_to_text
from vault.core.errors import Fault
from vault.core.fineness import WHOLE_PPB
from vault.core.metals import BY_SYMBOL

_ORDER = (Gravity.REFUSES, Gravity.LACKS, Gravity.WARNS)
# What the rules call a column, and the field of the form that it is.
_FIELDS = {"gross_g": "gross", "tare_g": "tare", "hold_until": "hold"}

# Marks of fineness in ‰ of the Hallmarking Convention (Convention on the Control and Marking of
# Articles of Precious Metals, published list); worked goods are seldom anything else.
MARKS = {
    "Au": (375, 585, 750, 916, 990, 999),
    "Ag": (800, 925, 958, 999),
    "Pt": (850, 900, 950, 999),
    "Pd": (500, 950, 999),
}
_WORKED = frozenset({"scrap", "sheet", "wire"})
# Scrap carries solder, and countries have marks of their own (333 gold, 830 and 835 silver; common
# practice, no source): so far around a mark nothing is said.
_AROUND_A_MARK = 45
# Residues of the bench are mostly dirt and ash: more than this is unusual (common practice, no
# source).
_DIRTY = frozenset({"sweeps", "ash", "dust", "slag", "spent cupel", "crucible"})
_MOST_OF_DIRTY_PPB = 500_000_000


def findings_of(
    receipt: ReceiptDraft, faults: Sequence[Fault], latest: When | None
) -> list[ReceiptFinding]:
    """Give what is to be said of a receipt, gravest first.

    Args:
        receipt: as it stands in the form.
        faults: what the rules of the book refuse of its entry.
        latest: the latest moment that the book has reached.
    """
    told = [*_of_the_lot(receipt), *_by_the_rules(receipt, faults, latest)]
    for place, bag in enumerate(receipt.bags):
        told += _of_a_bag(place, bag)
    return sorted(dict.fromkeys(told), key=lambda one: _ORDER.index(one.gravity))


def named(place: int, bag: BagDraft) -> str:
    """Give the name of a bag in a sentence: its tag, or its place in the form."""
    return bag.tag or f"Bag {place + 1}"


def _of_the_lot(receipt: ReceiptDraft) -> Iterator[ReceiptFinding]:
    if receipt.terms is None:
        yield _lacks(None, "terms", "Choose whose metal it is: the customer's, bought, or own.")
    if not receipt.lot:
        yield _lacks(None, "lot", "Give the lot a number.")
    if receipt.terms is not Terms.OWN and not receipt.party:
        yield _lacks(None, "party", "Say which customer brought it.")
    if not receipt.bags:
        yield _lacks(None, "", "Add at least one bag.")


def _by_the_rules(
    receipt: ReceiptDraft, faults: Sequence[Fault], latest: When | None
) -> Iterator[ReceiptFinding]:
    """Pass on what the rules refuse, except what is told in the form's own words."""
    for fault in faults:
        if fault.column == "when" and latest is not None and "before" in fault.sentence:
            yield ReceiptFinding(Gravity.REFUSES, None, "when", _too_early(latest))
        elif not _is_told_already(receipt, fault):
            column = _FIELDS.get(fault.column, fault.column)
            at = None if column in {"lot", "party", "terms", "hold"} else fault.line
            field = "contents" if column.removesuffix("_u") in BY_SYMBOL else column
            yield ReceiptFinding(Gravity.REFUSES, at, field, fault.sentence)


def _is_told_already(receipt: ReceiptDraft, fault: Fault) -> bool:
    if not receipt.bags:
        return True
    bag = None if fault.line is None else receipt.bags[fault.line]
    empty = {"lot": receipt.lot, "party": receipt.party, "terms": receipt.terms}
    if fault.column in empty and not empty[fault.column]:
        return True
    if bag is None:
        return False
    if fault.column in {"tag", "form"} and not getattr(bag, fault.column):
        return True
    # The form has its own words on a tare that is too heavy.
    return fault.column == "gross_g" and bag.tare is not None


def _too_early(latest: When) -> str:
    return (
        f"The daybook goes up to {day_to_text(latest.day)} already, and takes nothing earlier. "
        "Leave “when” empty, and say in the note when it came."
    )


def _of_a_bag(place: int, bag: BagDraft) -> Iterator[ReceiptFinding]:
    name = named(place, bag)
    if not bag.form:
        what = bag.tag or f"bag {place + 1}"
        yield _lacks(place, "form", f"Say what is in {what}: filings, sweeps, scrap …")
    elif not bag.tag:
        # It is proposed once something stands in the bag.
        yield _lacks(place, "tag", f"{name} has no tag.")
    if bag.form or bag.tare is not None:
        yield from _of_its_weight(place, bag, name)
    yield from _of_its_metals(place, bag, name)


def _of_its_weight(place: int, bag: BagDraft, name: str) -> Iterator[ReceiptFinding]:
    net = bag.net
    if net is None:
        word = "only a tare" if bag.tare is not None else "no weight"
        yield _warns(
            place,
            "gross",
            f"{name} has {word}; without a weight its metal cannot be worked out.",
        )
    elif net.micrograms <= 0 and bag.tare is not None:
        yield ReceiptFinding(
            Gravity.REFUSES,
            place,
            "tare",
            f"{name}: the empty bag ({bag.tare.to_text()} g) cannot weigh as much as bag and "
            "contents together; check both weights.",
        )


def _of_its_metals(place: int, bag: BagDraft, name: str) -> Iterator[ReceiptFinding]:
    whole = sum(one.fineness.ppb for one in bag.contents)
    if whole > WHOLE_PPB:
        return  # more than pure: the rules refuse it, or its ± allows it
    if bag.form in _DIRTY and whole > _MOST_OF_DIRTY_PPB:
        yield _warns(
            place,
            "contents",
            f"{name}: more than half fine metal is unusual for {bag.form}; check the fineness.",
        )
    if bag.form in _WORKED and whole:
        # The marks are of the main metal; what else an alloy holds is as it may be.
        yield from _of_a_mark(place, max(bag.contents, key=lambda one: one.fineness), name)


def _of_a_mark(place: int, said: Said, name: str) -> Iterator[ReceiptFinding]:
    marks = MARKS.get(said.metal, ())
    permille = said.fineness.permille
    if not marks or any(abs(permille - one) <= _AROUND_A_MARK for one in marks):
        return
    told = ", ".join(str(one) for one in marks)
    yield _warns(
        place,
        "contents",
        f"{name}: {said.fineness.to_text()} ‰ {said.metal} lies near none of the usual marks "
        f"({told}); check it.",
    )


def _lacks(bag: int | None, field: str, sentence: str) -> ReceiptFinding:
    return ReceiptFinding(Gravity.LACKS, bag, field, sentence)


def _warns(bag: int | None, field: str, sentence: str) -> ReceiptFinding:
    return ReceiptFinding(Gravity.WARNS, bag, field, sentence)
