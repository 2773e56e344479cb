"""The small forms of the window, with what they ask and have done."""

from __future__ import annotations

from typing import TYPE_CHECKING

from vault.screens.later import later
from vault.start.modules import OPENING, QUERIES

if TYPE_CHECKING:
    from vault.screens.forms.kit import FormActs, FormKit, FormQuestions
    from vault.screens.parts import Parts


def make_form_kit(parts: Parts, book: object) -> FormKit:
    """Give a small form all that it is built of, over the open book."""
    from vault.screens.forms.kit import FormKit

    return FormKit(
        book=book,
        questions=form_questions(),
        acts=form_acts(),
        recorder=parts.desk,
        background=parts.background,
        announcer=parts.announcer,
        drafts=parts.drafts,
        style=parts.style,
        choices=parts.choices,
        choosers=parts.choosers,
        weight_field=parts.scales.weight_field,
        tare_field=parts.scales.tare_field,
        print_shipment=parts.papers.shipment,
        print_letter=parts.papers.letter,
        take_weight=parts.scales.take,
    )


def form_questions() -> FormQuestions:
    """Give what the small forms ask."""
    from vault.screens.forms.kit import FormQuestions

    asked = f"{QUERIES}.forms"
    return FormQuestions(
        item=later(asked, "item_facts"),
        container=later(asked, "container_facts"),
        briefs=later(f"{QUERIES}.bench_help", "item_briefs"),
        names=later(f"{QUERIES}.bench_help", "known_names"),
        read_scan=later(f"{QUERIES}.tags", "read_scan"),
        tags=later(f"{QUERIES}.tags", "propose_tags"),
        let_tags_go=later(f"{QUERIES}.tags", "let_tags_go"),
        now=later(OPENING, "now_of"),
        entry=later(f"{QUERIES}.daybook", "entry_detail"),
        known=later(asked, "contents_known"),
        compare=later(asked, "compare_weights"),
        rest=later(asked, "rest_of_divide"),
        learnt=later(asked, "learnt"),
        prices=later(f"{QUERIES}.prices", "prices_set"),
        worth_sending=later(f"{QUERIES}.send_out", "choice_of_items"),
        shipment_help=later(f"{QUERIES}.shipment_help", "shipment_help"),
        shipment_preview=later(f"{QUERIES}.shipment_preview", "preview_shipment"),
        settlement_help=later(f"{QUERIES}.settlements", "settlement_help"),
        settlement_preview=later(f"{QUERIES}.settlements", "preview_settlement"),
        price_doubts=later(f"{QUERIES}.prices", "price_doubts"),
    )


def form_acts() -> FormActs:
    """Give what the small forms have recorded."""
    from vault.screens.forms.kit import FormActs

    acts = "vault.application.operations.acts"
    bench = "vault.application.operations.bench_acts"
    return FormActs(
        assay=later(bench, "assay_items"),
        weigh=later(acts, "weigh"),
        move=later(bench, "move_things"),
        divide=later(bench, "divide"),
        send_shipment=later("vault.application.operations.shipments", "send_shipment"),
        settle_shipment=later("vault.application.operations.settlements", "settle_shipment"),
        return_=later(acts, "return_"),
        sell=later(acts, "sell"),
        strike=later(acts, "strike_entry"),
        seal=later(acts, "seal"),
        set_prices=later(acts, "set_prices"),
        photograph=later("vault.application.operations.photos", "attach_photo"),
    )
