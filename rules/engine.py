"""The one door to durable-rules: rule records compiled into a ruleset, run in phases.

Only the library's safe subset is used: positive patterns over small flat facts
asserted in sorted batches, and "unless" only behind a phase fact that comes after
every fact it could meet.  :mod:`rules.oracle` reads the same records in plain
Python; the tests prove the two equal.
"""

from __future__ import annotations

import itertools
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from rules.facts import Atom, key
from rules.model import EngineFault, Firing
from rules.records import Rule
from rules.slots import Slot, slots
from rules.trace import firing

try:
    import durable.engine as _durable
except ImportError as error:  # a build without the setting for this Python
    raise EngineFault(
        "durable-rules is not usable in this environment "
        f"({error}); build it again with: CPPFLAGS=-DPyEval_CallObject=PyObject_CallObject "
        "pip install --no-cache-dir --force-reinstall durable-rules==2.0.28 "
        "(needs a C compiler and the Python headers)"
    ) from error

_durable._unix_now = time.monotonic  # its own clock warns on newer Pythons and follows wall-clock jumps

_OPERATORS = {">=": "$gte", "<=": "$lte", ">": "$gt", "<": "$lt"}
_SHARD = 200  # the engine allows 256 rules on one identical pattern
_LIVE = 1000  # and 1,024 live working memories


class _QuietHost(_durable.Host):  # type: ignore[misc]
    """A host without the dispatcher and timer threads, which are unsafe."""

    def _run(self) -> None:
        pass


def _test(operator: str, value: str | int) -> dict[str, Any]:
    place = "n" if isinstance(value, int) else "v"
    return {place: value} if operator in ("=", "in") else {_OPERATORS[operator]: {place: value}}


def _pattern(slot: Slot, values: Sequence[str | int]) -> dict[str, Any]:
    tests = [_test(operator, value) for (_, operator, _), value in zip(slot, values, strict=True)]
    return {"$and": [{"a": slot[0][0]}, *tests]}  # attribute first: two-level discrimination tree


def _choices(slot: Slot) -> Iterator[tuple[str | int, ...]]:
    """The values that the slot's conditions can take; "in" is written out, never an "or"."""
    wanted = [c[2] if isinstance(c[2], tuple) else (c[2],) for c in slot]
    return itertools.product(*wanted)


class RuleBase:
    """A compiled ruleset; make one and keep it, the engine never frees them."""

    _numbers = itertools.count()

    def __init__(self, rules: Sequence[Rule], phases: Sequence[str]) -> None:
        self.rules = tuple(rules)
        self.phases = tuple(phases)
        self._name = f"earleaf{next(RuleBase._numbers)}"
        self._live: dict[str, _Memory] = {}
        self._sids = itertools.count()
        self._lock = threading.Lock()  # one consultation at a time: the engine shares its host
        self._shards = dict.fromkeys(phases, 0)
        self._host = _QuietHost()
        self._host.set_rulesets({self._name: self._definition()})

    def _definition(self) -> dict[str, Any]:
        made: dict[str, Any] = {
            # a rule must fire before a working memory is deleted, or the delete may crash
            "begin": {"all": [{"b": {"ctl": "begin"}}], "run": lambda c: None},
            # keeps every fact from being "unhandled"; never fires
            "keep": {"all": [{"k": {"$ex": {"a": 1}}}, {"z": {"ctl": "never"}}], "run": lambda c: None},
            "phase": {"all": [{"p": {"$ex": {"ph": 1}}}], "run": lambda c: None},
        }
        gated = dict.fromkeys(self.phases, 0)
        for number, rule in enumerate(self.rules):
            places = slots(rule)
            for variant, values in enumerate(itertools.product(*map(_choices, places))):
                patterns: list[dict[str, Any]] = [
                    {f"f{j}": _pattern(c, v)} for j, (c, v) in enumerate(zip(places, values, strict=True))
                ]
                if rule.unless:
                    shard, gated[rule.phase] = gated[rule.phase] // _SHARD, gated[rule.phase] + 1
                    self._shards[rule.phase] = max(self._shards[rule.phase], shard + 1)
                    patterns.append({"p": {"ph": f"{rule.phase}.{shard}"}})
                    refused = [(c, v) for c in rule.unless for v in _choices((c,))]
                    patterns += [{f"n{j}$not": _pattern((c,), v)} for j, (c, v) in enumerate(refused)]
                made[f"r{number}_{variant}"] = {"all": patterns, "run": self._action(rule, len(places))}
        return made

    def _action(self, rule: Rule, width: int) -> Callable[[Any], None]:
        names = [f"f{j}" for j in range(width)]

        def act(c: Any) -> None:  # exactly one positional parameter, or the engine waits for a callback
            memory = self._live[c.s.sid]
            try:
                memory.fired(rule, tuple(key(_atom(c._m[name])) for name in names), c)
            except BaseException as error:  # the engine would swallow it; raised again after the call
                memory.error = memory.error or error

        return act

    def run(self, steps: Iterable[tuple[Iterable[Atom], Sequence[str]]]) -> list[Firing]:
        """Runs one consultation: each step asserts its facts, then opens its phases.

        Raises:
            EngineFault: if a fact is outside the safe subset or an action failed.
        """
        with self._lock, _Memory(self, f"s{next(self._sids) % _LIVE}") as memory:
            for facts, phases in steps:
                memory.add(facts)
                for phase in phases:
                    memory.open(phase)
            return memory.trace()


def _atom(message: Any) -> Atom:
    return (message["a"], message["v"] if "v" in message else message["n"])


class _Memory:
    """One working memory: the facts and firings of one consultation."""

    def __init__(self, base: RuleBase, sid: str) -> None:
        self._base, self._sid = base, sid
        self._order = {rule.id: n for n, rule in enumerate(base.rules)}
        self._seen: dict[tuple[str, tuple[str, ...]], Rule] = {}
        self._known: set[str] = set()
        self.error: BaseException | None = None

    def __enter__(self) -> _Memory:
        self._base._live[self._sid] = self
        self._base._host.assert_fact(self._base._name, {"sid": self._sid, "ctl": "begin"})
        return self

    def __exit__(self, *_: object) -> None:
        self._base._host.delete_state(self._base._name, self._sid)
        del self._base._live[self._sid]

    def fired(self, rule: Rule, facts: tuple[str, ...], c: Any) -> None:
        if (rule.id, facts) in self._seen:
            return
        self._seen[rule.id, facts] = rule
        for conclusion in rule.then:
            if conclusion[0] == "fact":
                atom = (str(conclusion[1]), conclusion[2])
                if key(atom) not in self._known:
                    self._known.add(key(atom))
                    c.assert_fact(_message(atom))

    def add(self, facts: Iterable[Atom]) -> None:
        fresh = {key(atom): atom for atom in facts if key(atom) not in self._known}
        self._known.update(fresh)
        if fresh:  # an empty batch crashes the engine
            batch = [{**_message(fresh[k]), "sid": self._sid} for k in sorted(fresh)]
            self._call(self._base._host.assert_facts, batch)

    def open(self, phase: str) -> None:
        for shard in range(self._base._shards[phase]):
            self._call(self._base._host.assert_fact, {"sid": self._sid, "ph": f"{phase}.{shard}"})

    def _call(self, act: Callable[..., object], argument: object) -> None:
        act(self._base._name, argument)
        if self.error is not None:
            raise EngineFault(f"a rule's action failed: {self.error!r}") from self.error

    def trace(self) -> list[Firing]:
        ordered = sorted(self._seen, key=lambda k: (self._order[k[0]], k[1]))
        return [firing(self._seen[k], k[1]) for k in ordered]


def _message(atom: Atom) -> dict[str, str | int]:
    attribute, value = atom
    return {"a": attribute, ("n" if isinstance(value, int) else "v"): value}
