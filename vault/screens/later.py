"""What is seldom wanted or slow to load is loaded when it is first called.

What a reader calls uses nothing of Qt; see `loading` for what does and is slow to load.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import Any


def later(module: str, name: str) -> Callable[..., Any]:
    """Give a function or class of a module that is loaded when it is first called."""

    def call(*words: object, **named: object) -> object:
        return getattr(import_module(module), name)(*words, **named)

    call.__qualname__ = f"{module}:{name}"
    return call
