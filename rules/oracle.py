"""A second reader of the same rule records, in plain Python.

It is the tests' second opinion on the engine, and answers the many what-ifs for
which a person waits; the tests prove that both give the same trace.
"""

from __future__ import annotations

import itertools
import operator
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence

from rules.facts import Atom, key
from rules.model import Firing
from rules.records import Condition, Rule
from rules.trace import firing

_TESTS: dict[str, Callable[[object, object], bool]] = {
    "=": operator.eq,
    ">=": operator.ge,  # type: ignore[dict-item]
    "<=": operator.le,  # type: ignore[dict-item]
    ">": operator.gt,  # type: ignore[dict-item]
    "<": operator.lt,  # type: ignore[dict-item]
}


def _holds(condition: Condition, value: str | int) -> bool:
    _, test, wanted = condition
    if isinstance(wanted, tuple):
        return value in wanted
    return type(value) is type(wanted) and _TESTS[test](value, wanted)


class Oracle:
    """The rule records, indexed by the attribute of their first condition."""

    def __init__(self, rules: Sequence[Rule], phases: Sequence[str]) -> None:
        self.rules = tuple(rules)
        self._order = {rule.id: n for n, rule in enumerate(rules)}
        self._phase = {phase: n for n, phase in enumerate(phases)}
        self._by_first: dict[str, list[Rule]] = defaultdict(list)
        for rule in rules:
            self._by_first[rule.when[0][0]].append(rule)

    def run(self, steps: Iterable[tuple[Iterable[Atom], Sequence[str]]]) -> list[Firing]:
        """The same trace as :meth:`rules.engine.RuleBase.run` gives for the same steps."""
        known: dict[str, set[str | int]] = defaultdict(set)
        seen: dict[tuple[str, tuple[str, ...]], Rule] = {}
        opened: set[str] = set()
        for facts, phases in steps:
            for attribute, value in facts:
                known[attribute].add(value)
            self._settle(known, seen, opened)
            for phase in phases:
                opened.add(phase)
                self._settle(known, seen, opened)
        ordered = sorted(seen, key=lambda k: (self._order[k[0]], k[1]))
        return [firing(seen[k], k[1]) for k in ordered]

    def _settle(
        self,
        known: dict[str, set[str | int]],
        seen: dict[tuple[str, tuple[str, ...]], Rule],
        opened: set[str],
    ) -> None:
        changed = True
        while changed:
            changed = False
            for attribute in list(known):
                for rule in self._by_first.get(attribute, ()):
                    if rule.unless and rule.phase not in opened:
                        continue
                    changed |= self._try(rule, known, seen)

    def _try(
        self, rule: Rule, known: dict[str, set[str | int]], seen: dict[tuple[str, tuple[str, ...]], Rule]
    ) -> bool:
        found = [[(c[0], v) for v in known.get(c[0], ()) if _holds(c, v)] for c in rule.when]
        if not all(found) or any(_holds(c, v) for c in rule.unless for v in known.get(c[0], ())):
            return False
        changed = False
        for combination in itertools.product(*found):
            facts = tuple(key(atom) for atom in combination)
            if (rule.id, facts) in seen:
                continue
            seen[rule.id, facts] = rule
            for conclusion in rule.then:
                if conclusion[0] == "fact" and conclusion[2] not in known[str(conclusion[1])]:
                    known[str(conclusion[1])].add(conclusion[2])
                    changed = True
        return changed
