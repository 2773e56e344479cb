from __future__ import annotations

from vault.core.errors import Fault, RuleBroken, TextNotUnderstood, VaultError


def test_a_broken_rule_says_all_its_faults() -> None:
    error = RuleBroken([Fault(0, "tag", "One."), Fault(None, "when", "Two.")])
    assert str(error) == "One. Two."
    assert [fault.column for fault in error.faults] == ["tag", "when"]


def test_every_trouble_is_of_one_kind() -> None:
    assert issubclass(RuleBroken, VaultError)
    assert issubclass(TextNotUnderstood, VaultError)
