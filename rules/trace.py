"""How a fired rule is written into the trace; shared by engine and oracle."""

from __future__ import annotations

from rules.facts import key
from rules.model import Firing
from rules.records import Rule


def firing(rule: Rule, facts: tuple[str, ...]) -> Firing:
    """The trace entry of ``rule`` having fired on ``facts`` (``attribute=value`` keys)."""
    concluded = tuple(key((str(c[1]), c[2])) if c[0] == "fact" else f"{c[0]}={c[1]}" for c in rule.then)
    return Firing(rule=rule.id, facts=facts, concluded=concluded, because=rule.because, sources=rule.source)
