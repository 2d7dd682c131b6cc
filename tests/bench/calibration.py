"""How far the program's words can be trusted on drawn notes: said against found, and what it was wrong in.

    python -m tests.bench.calibration --cases 200 [--seed 1] [--only southern_rust] [--show 20]

The notes are drawn from frequencies that are judgement from published words (tests/cases/frequencies.toml),
as many a disorder: the tables hold the program against the descriptions, not against fields.  "As met" counts
each case by how often its disorder is met in the Corn Belt.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from rules.consult import Consultant
from rules.model import Standing
from rules.tables import load
from tests.bench.drawing import Draw, disorders, draw, frequencies, parted

BINS = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99, 1.0001)
#: Below this a rival no longer matters to a decision, so its parting check may be left undone.
RIVAL = 0.02
FIRST_FEW = 3


@dataclass(frozen=True, slots=True)
class Told:
    """What the program said of one drawn note: disorders with their probabilities, best first."""

    draw: Draw
    standing: Standing | None
    ranked: tuple[tuple[str, float], ...]

    @property
    def lead(self) -> str | None:
        """The disorder that leads; None where the note held no sign."""
        return self.ranked[0][0] if self.ranked else None

    @property
    def right(self) -> bool:
        """The lead is what the note was drawn from."""
        return self.lead == self.draw.disorder

    @property
    def near(self) -> bool:
        """What the note was drawn from is among the first few."""
        return self.draw.disorder in [name for name, _ in self.ranked[:FIRST_FEW]]

    @property
    def fits(self) -> bool:
        """The program said that the lead fits."""
        return self.standing == Standing.FITS

    def __str__(self) -> str:
        said = ", ".join(f"{name} {p:.3f}" for name, p in self.ranked[:FIRST_FEW])
        seen = "; ".join(map(str, self.draw.seen))
        look = "" if self.draw.look == "any" else f", {self.draw.look}"
        return f"{self.draw.disorder} {self.draw.number}{look} ({self.draw.on}): {said}\n    {seen}"


@dataclass(frozen=True, slots=True)
class Unparted:
    """A lead that was said to fit, and a classic look-alike that nothing in the note parts it from."""

    told: Told
    rival: str
    probability: float


@cache
def _consultant() -> Consultant:
    return Consultant(load(), oracle_only=True)


def tell(note: Draw) -> Told:
    """The program's word on one note."""
    problems = _consultant().consult(note.facts, on=note.on).problems
    if not problems:
        return Told(note, None, ())
    ranked = problems[0].differential
    return Told(note, ranked[0].standing, tuple((c.disorder, c.probability) for c in ranked))


def run(cases: int, seed: int, only: Sequence[str] = ()) -> list[Told]:
    """So many notes a disorder, and what was said of each."""
    return [tell(draw(d, n, seed)) for d in only or disorders() for n in range(cases)]


def unparted(told: Sequence[Told]) -> list[Unparted]:
    """Every "fits" whose classic look-alike was not parted from it by anything in the note."""
    return [found for one in told if one.fits for found in _unparted(one)]


def _unparted(one: Told) -> Iterator[Unparted]:
    for pair in frequencies()["parting"]:
        if one.lead in pair["pair"] and not parted(pair, one.draw.seen):
            rival = next(name for name in pair["pair"] if name != one.lead)
            yield Unparted(one, rival, dict(one.ranked).get(rival, 0.0))


def share(told: Sequence[Told], what: Callable[[Told], bool], *, met: bool = False) -> float:
    """The share of the notes of which ``what`` holds; ``met`` weighs each by how common its disorder is."""
    weights = [frequencies()[t.draw.disorder]["met"] if met else 1.0 for t in told]
    held = sum(w for w, t in zip(weights, told, strict=True) if what(t))
    return held / sum(weights) if told else 0.0


def reliability(told: Sequence[Told]) -> str:
    """By bin of the lead's probability: notes, said, found; then the same over every candidate."""
    rows = ["lead's probability   notes    said   found   as met     of every candidate: said   found"]
    pairs = [(p, name == t.draw.disorder) for t in told for name, p in t.ranked]
    for low, high in pairwise(BINS):
        inside = [t for t in told if t.ranked and low <= t.ranked[0][1] < high]
        every = [(p, right) for p, right in pairs if low <= p < high]
        row = f"{low:.2f} to {min(high, 1):.2f}         {len(inside):6}"
        if inside:
            said = sum(t.ranked[0][1] for t in inside) / len(inside)
            right = share(inside, lambda t: t.right)
            as_met = share(inside, lambda t: t.right, met=True)
            row += f"   {said:.3f}   {right:.3f}    {as_met:.3f}"
        if every:
            of_all = sum(p for p, _ in every) / len(every)
            found = sum(right for _, right in every) / len(every)
            row = f"{row:65}   {len(every):8}   {of_all:.3f}   {found:.3f}"
        rows.append(row)
    return "\n".join(rows)


def by_disorder(told: Sequence[Told]) -> str:
    """For each disorder: how often it led, was in the first three, and was said to fit."""
    rows = [f"{'disorder':28} notes   first   in three   fits   right among fits"]
    for name in dict.fromkeys(t.draw.disorder for t in told):
        own = [t for t in told if t.draw.disorder == name]
        sure = [t for t in own if t.fits]
        first, near = share(own, lambda t: t.right), share(own, lambda t: t.near)
        line = f"{name:28} {len(own):5}   {first:.3f}      {near:.3f}   {len(sure) / len(own):.2f}"
        rows.append(f"{line}   {share(sure, lambda t: t.right):.3f}" if sure else line)
    return "\n".join(rows)


def standings(told: Sequence[Told]) -> str:
    """For each standing of the lead: notes and how many were right."""
    rows = []
    for standing in (*Standing, None):
        own = [t for t in told if t.standing == standing]
        if own:
            name = standing.value if standing else "nothing said"
            right, as_met = share(own, lambda t: t.right), share(own, lambda t: t.right, met=True)
            rows.append(f"{name:14} {len(own):6} notes, right {right:.3f}, as met {as_met:.3f}")
    return "\n".join(rows)


def pairs(missing: Sequence[Unparted]) -> str:
    """For each lead and rival that nothing parted: how often, the rival as said and as found."""
    rows = [f"{'said to fit, not parted from':58} notes   rival said   rival found   over {RIVAL:.0%}"]
    for lead, rival in dict.fromkeys((u.told.lead, u.rival) for u in missing):
        own = [u for u in missing if (u.told.lead, u.rival) == (lead, rival)]
        said = sum(u.probability for u in own)
        found = sum(u.told.draw.disorder == rival for u in own)
        live = sum(u.probability > RIVAL for u in own)
        rows.append(f"{f'{lead} / {rival}':58} {len(own):5}   {said:10.2f}   {found:11}   {live:7}")
    return "\n".join(rows)


def report(told: Sequence[Told], show: int) -> str:
    """All of it, for a person."""
    wrong = [t for t in told if t.fits and not t.right]
    missing = unparted(told)
    live = [u for u in missing if u.probability > RIVAL]
    sure = sum(t.fits for t in told)
    lines = (
        f"{len({u.told for u in missing})} of {sure} fits without the look that parts a classic pair; "
        f"in {len({u.told for u in live})} of them the rival stands above {RIVAL:.0%}",
        *(f"  not parted from {u.rival} ({u.probability:.3f}): {u.told}" for u in live[:show]),
        f"{len(wrong)} of {sure} fits are wrong",
        *(f"  {t}" for t in wrong[:show]),
    )
    tables = (reliability(told), by_disorder(told), standings(told), pairs(missing))
    return "\n\n".join((*tables, "\n".join(lines)))


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--cases", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", action="append", default=[], choices=disorders())
    parser.add_argument("--show", type=int, default=20)
    asked = parser.parse_args()
    print(report(run(asked.cases, asked.seed, asked.only), asked.show))


if __name__ == "__main__":
    main()
