"""What is seldom wanted or slow to load is loaded when it is first called."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import Any, TypeVar

T = TypeVar("T")


def later(module: str, name: str) -> Callable[..., Any]:
    """Give a function or class of a module that is loaded when it is first called."""

    def call(*words: object, **named: object) -> object:
        return getattr(import_module(module), name)(*words, **named)

    call.__qualname__ = f"{module}:{name}"
    return call


def with_module(module: str, question: Callable[[], T]) -> Callable[[], T]:
    """Give a question that has a module loaded by the time it is answered.

    Asked of a reader, what shows the answer is then at hand, and the window is not held while it
    loads. Only modules are loaded there, no object of Qt is made.
    """

    def ask() -> T:
        import_module(module)
        return question()

    return ask
