"""Where the files that ship with the program are: faces, changes, examples, the demonstration."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent.parent


class ResourceMissing(FileNotFoundError):
    """A file that ships with the program is not where an installation puts it."""


def resource(name: str) -> Path:
    """Give the path of a file of `resources/`, such as `fonts/Lato-Regular.ttf`.

    Raises:
        ResourceMissing: when neither the installed package nor the checkout has it.
    """
    return _first_of(_PACKAGE / "_resources" / name, _PACKAGE.parent / "resources" / name)


def demonstration_daybook() -> Path:
    """Give the path of the daybook of the demonstration shop.

    Raises:
        ResourceMissing: when neither the installed package nor the checkout has it.
    """
    return _of_the_demonstration("daybook.csv")


def demonstration_terms() -> Path:
    """Give the path of the terms sheets of the demonstration's refineries.

    Raises:
        ResourceMissing: when neither the installed package nor the checkout has it.
    """
    return _of_the_demonstration("terms.json")


def _of_the_demonstration(name: str) -> Path:
    return _first_of(_PACKAGE / "_demo_db" / name, _PACKAGE.parent / "demo_db" / name)


def _first_of(*places: Path) -> Path:
    for place in places:
        if place.exists():
            return place
    raise ResourceMissing(
        f"{places[0].name} is missing from this installation; install the program again."
    )
