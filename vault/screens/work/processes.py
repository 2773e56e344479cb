"""What each process asks for at the bench: its chip, what it mostly makes, and what comes next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from vault.core.daybook import Process

# Stands for the form of what went in.
SAME = "the same"
# A new one of the first leaves one of the second behind.
LEAVES_BEHIND = (("new cupel", "spent cupel"), ("new crucible", "crucible"))
BEAD = "bead"
BEAD_LOOKS = ("bright", "dull", "frosted", "sprouted", "flat edge")


@dataclass(frozen=True, slots=True)
class Way:
    """One process as the form offers it.

    Attributes:
        process: what is done.
        chip: its word with the letter that chooses it after `&`.
        made: forms of what mostly comes out.
        proposes: how the names of things begin of which an empty line is proposed at once.
        adds: how the names of other things begin that are offered with a button.
        is_hot: whether a furnace has to do with it.
        has_recipes: whether fluxes are mixed for it.
    """

    process: Process
    chip: str
    made: tuple[str, ...]
    proposes: tuple[str, ...] = ()
    adds: tuple[str, ...] = ()
    is_hot: bool = False
    has_recipes: bool = False


WAYS = (
    Way(Process.SORT, "&sort", (SAME, SAME)),
    Way(Process.BURN_OFF, "&burn off", (SAME,), is_hot=True),
    Way(
        Process.SMELT,
        "s&melt",
        ("button", "slag"),
        adds=("borax", "soda ash", "silica", "lead", "new crucible", "silver"),
        is_hot=True,
        has_recipes=True,
    ),
    Way(
        Process.CUPEL,
        "&cupel",
        (BEAD, "spent cupel"),
        proposes=("new cupel", "lead"),
        adds=("new cupel", "lead", "silver"),
        is_hot=True,
    ),
    Way(
        Process.REMELT,
        "&remelt",
        ("bar", "slag"),
        adds=("borax", "silver", "copper", "new crucible"),
        is_hot=True,
        has_recipes=True,
    ),
    Way(Process.POUR, "&pour", ("bar",), is_hot=True),
    Way(Process.CRUSH, "crus&h", ("sweeps",)),
    Way(Process.BLEND, "b&lend", (SAME,)),
    Way(Process.SAMPLE, "s&ample", (SAME, "sample")),
    Way(Process.OTHER, "&other", (), adds=("lead", "borax")),
)
_BY_NAME = {one.process.value: one for one in WAYS}

# What a bench that added nothing yet is offered; silver for inquarting carries metal.
FIRST_ADDED = (
    "lead",
    "new cupel, magnesia",
    "new cupel, bone ash",
    "borax, anhydrous",
    "soda ash",
    "silica",
    "silver for inquarting",
    "new crucible",
)

# What is mostly done next with things of a form that a process made.
_NEXT: dict[tuple[Process, str], tuple[Process, ...]] = {
    (Process.SORT, "filings"): (Process.CUPEL, Process.SMELT),
    (Process.SORT, "scrap"): (Process.SMELT, Process.REMELT),
    (Process.BURN_OFF, "sweeps"): (Process.CRUSH, Process.SMELT),
    (Process.BURN_OFF, "filings"): (Process.SMELT, Process.SORT),
    (Process.BURN_OFF, "ash"): (Process.CRUSH, Process.SMELT),
    (Process.CRUSH, "sweeps"): (Process.SMELT,),
    (Process.BLEND, "sweeps"): (Process.SAMPLE, Process.SMELT),
    (Process.SMELT, "button"): (Process.CUPEL,),
    (Process.CUPEL, BEAD): (Process.REMELT,),
    (Process.CUPEL, "button"): (Process.CUPEL,),
    (Process.REMELT, "button"): (Process.CUPEL, Process.POUR),
}


def way_of(process: str) -> Way | None:
    """Give how a process is offered; None while none is chosen."""
    return _BY_NAME.get(process)


def forms_made(way: Way, used: Sequence[str]) -> tuple[str, ...]:
    """Give the forms to propose for what comes out, from the forms of what went in."""
    first = used[0] if used else ""
    return tuple(first if form == SAME else form for form in way.made)


def left_behind(added: str) -> str:
    """Give the form that a new thing added leaves behind, such as a spent cupel; empty for none."""
    return next((left for new, left in LEAVES_BEHIND if added.startswith(new)), "")


def next_steps(process: Process, form: str) -> tuple[Process, ...]:
    """Give what is mostly done next with what a process made."""
    return _NEXT.get((process, form), ())
