"""What the knowledge holds and what it lacks: for those who keep it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from rules.evidence import EvidenceTable, compile_evidence
from rules.model import Strength
from rules.review import cited
from rules.tables import Tables

_PARTS_FROM = 100  # centi-nats between two disorders from which a sign is named as parting them
_SIGNS_NAMED = 6


def report(tables: Tables) -> str:
    """Look-alike pairs with the signs that part them, pairs without a check, facts from memory."""
    table = compile_evidence(tables)
    memory = [f"  {file}: {record}" for file, record, _, known in cited(tables) if known == "memory"]
    lines = ["# Look-alikes and what tells them apart", *_pairs(tables, table)]
    lines += ["", "# Classic look-alikes that no check tells apart", *(_untold(tables) or ["  none"])]
    lines += ["", "# Disorders of one part of the plant that no check tells apart", *_open(tables)]
    return "\n".join(
        [*lines, "", f"# Facts from memory, still to be read in a source: {len(memory)}", *memory]
    )


def _pairs(tables: Tables, table: EvidenceTable) -> Iterator[str]:
    asked: dict[frozenset[str], list[str]] = {}
    for check in tables.checks:
        for parts in check.parts:
            asked.setdefault(frozenset(parts.pair), []).append(check.id)
    for pair in sorted(asked, key=sorted):
        one, other = sorted(pair)
        signs = list(_signs(table, one, other))[:_SIGNS_NAMED]
        yield f"  {one} / {other}: {', '.join(asked[pair])}; signs: {', '.join(signs) or 'none'}"


def _signs(table: EvidenceTable, one: str, other: str) -> Iterator[str]:
    """Observations that weigh differently for the two, the most telling first."""
    made: list[tuple[int, str]] = []
    for rule, said in table.weighs.items():
        weights = {w.disorder: w.evidence.weight for w in said if w.sign}
        apart = abs(weights.get(one, 0) - weights.get(other, 0))
        if apart >= _PARTS_FROM:
            made.append((-apart, rule.removeprefix("sign.")))
    yield from (rule for _, rule in sorted(made))


def _told(tables: Tables) -> set[frozenset[str]]:
    return {frozenset(p.pair) for c in tables.checks for p in c.parts}


def _untold(tables: Tables) -> list[str]:
    """Classic pairs whose check rests on signs that weigh the same for both."""
    made = []
    for check in tables.checks:
        for parts in check.parts:
            listed = [_listed(tables, d, set(parts.by)) for d in parts.pair]
            if parts.classic and listed[0] == listed[1]:
                made.append(f"  {' / '.join(parts.pair)} by {', '.join(parts.by)} ({check.id})")
    return made


def _listed(tables: Tables, disorder: str, by: set[str]) -> set[tuple[str, str, str, Strength]]:
    return {
        (s.attribute, v, s.status, s.strength)
        for s in tables.disorders[disorder].sign
        if s.attribute in by
        for v in s.values
    }


def _open(tables: Tables) -> Iterator[str]:
    told = _told(tables)
    for part in sorted({d.part for d in tables.disorders.values()}):
        same = sorted(d.id for d in tables.disorders.values() if d.part == part)
        pairs = list(combinations(same, 2))
        bare = [p for p in pairs if frozenset(p) not in told]
        yield f"  {part}: {len(bare)} of {len(pairs)} pairs"
