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
from rules.slots import slots
from rules.trace import firing

_ORDERINGS: dict[str, Callable[[int, int], bool]] = {
    ">=": operator.ge,
    "<=": operator.le,
    ">": operator.gt,
    "<": operator.lt,
}


def _holds(condition: Condition, value: str | int) -> bool:
    _, test, wanted = condition
    if test == "=":
        return value == wanted
    if isinstance(wanted, tuple):
        return value in wanted
    if isinstance(value, str) or isinstance(wanted, str):
        return False
    return _ORDERINGS[test](value, wanted)


class Oracle:
    """The rule records, indexed by what can set them off."""

    def __init__(self, rules: Sequence[Rule], phases: Sequence[str]) -> None:
        self.rules = tuple(rules)
        self.phases = tuple(phases)
        self._order = {rule.id: n for n, rule in enumerate(rules)}
        self._exact: dict[Atom, list[Rule]] = defaultdict(list)  # "=" and "in" conditions
        self._ranged: dict[str, list[Rule]] = defaultdict(list)  # conditions on numbers
        self._gated: dict[str, list[Rule]] = defaultdict(list)  # rules with "unless", by phase
        self._slots = {rule.id: slots(rule) for rule in rules}
        self._needs = {rule.id: frozenset(c[0] for c in rule.when) for rule in rules}
        for rule in rules:
            self._index(rule)

    def _index(self, rule: Rule) -> None:
        if rule.unless:
            self._gated[rule.phase].append(rule)
        for attribute, test, wanted in rule.when:
            if test not in ("=", "in"):
                self._ranged[attribute].append(rule)
                continue
            for value in wanted if isinstance(wanted, tuple) else (wanted,):
                self._exact[attribute, value].append(rule)

    def run(self, steps: Iterable[tuple[Iterable[Atom], Sequence[str]]]) -> list[Firing]:
        """The same trace as :meth:`rules.engine.RuleBase.run` gives for the same steps."""
        return self._settled(steps).trace()

    def fired(self, steps: Iterable[tuple[Iterable[Atom], Sequence[str]]]) -> set[str]:
        """Only the ids of the rules that fire: what most what-ifs want to know."""
        return self._settled(steps).fired()

    def adding(
        self, steps: Iterable[tuple[Iterable[Atom], Sequence[str]]]
    ) -> Callable[[Sequence[Atom]], set[str]]:
        """A function from further facts to the ids of the rules that they set off beyond the steps."""
        base = self._settled(steps)
        return lambda extra: base.copy().added(extra)

    def _settled(self, steps: Iterable[tuple[Iterable[Atom], Sequence[str]]]) -> _Memory:
        memory = _Memory(self)
        for facts, phases in steps:
            memory.settle([atom for atom in facts if memory.learn(atom)])
            for phase in phases:
                memory.open(phase)
        return memory


class _Memory:
    """The facts and firings of one run."""

    def __init__(self, oracle: Oracle) -> None:
        self._oracle = oracle
        self._known: dict[str, list[str | int]] = {}
        self._seen: dict[tuple[str, tuple[str, ...]], Rule] = {}
        self._opened: set[str] = set()

    def learn(self, atom: Atom) -> bool:
        """Whether the atom was new."""
        values = self._known.setdefault(atom[0], [])
        if atom[1] in values:
            return False
        values.append(atom[1])
        return True

    def open(self, phase: str) -> None:
        self._opened.add(phase)
        needs, known = self._oracle._needs, self._known.keys()
        ready = [r for r in self._oracle._gated.get(phase, ()) if needs[r.id] <= known]
        self.settle([atom for rule in ready for atom in self._try(rule)])

    def settle(self, new: list[Atom]) -> None:
        """Tries every rule that a new atom can set off, until nothing new comes."""
        needs = self._oracle._needs
        while new:
            atom = new.pop()
            for rule in (*self._oracle._exact.get(atom, ()), *self._oracle._ranged.get(atom[0], ())):
                if (not rule.unless or rule.phase in self._opened) and needs[rule.id] <= self._known.keys():
                    new += self._try(rule)

    def _try(self, rule: Rule) -> list[Atom]:
        """Fires the rule on every combination of facts that it has not fired on; gives what is new."""
        found = []
        for slot in self._oracle._slots[rule.id]:
            attribute = slot[0][0]
            values = [v for v in self._known.get(attribute, ()) if all(_holds(c, v) for c in slot)]
            if not values:
                return []
            found.append([(attribute, v) for v in values])
        if any(_holds(c, v) for c in rule.unless for v in self._known.get(c[0], ())):
            return []
        return [
            atom
            for combination in itertools.product(*found)
            if len(set(combination)) == len(combination)  # one fact fills one slot
            for atom in self._fire(rule, combination)
        ]

    def _fire(self, rule: Rule, combination: Sequence[Atom]) -> list[Atom]:
        facts = tuple(map(key, combination))
        if (rule.id, facts) in self._seen:
            return []
        self._seen[rule.id, facts] = rule
        made = [(str(c[1]), c[2]) for c in rule.then if c[0] == "fact"]
        return [atom for atom in made if self.learn(atom)]

    def copy(self) -> _Memory:
        """A memory of its own that knows the same."""
        made = _Memory(self._oracle)
        made._known = {attribute: list(values) for attribute, values in self._known.items()}
        made._seen, made._opened = dict(self._seen), set(self._opened)
        return made

    def added(self, extra: Sequence[Atom]) -> set[str]:
        before = self.fired()
        self.settle([atom for atom in extra if self.learn(atom)])
        return self.fired() - before

    def fired(self) -> set[str]:
        return {name for name, _ in self._seen}

    def trace(self) -> list[Firing]:
        order = self._oracle._order
        return [firing(self._seen[k], k[1]) for k in sorted(self._seen, key=lambda k: (order[k[0]], k[1]))]
