"""Check strips: what the difference between sprayed and unsprayed ground can and cannot show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb
from statistics import mean

from rules.spray_record import load


@dataclass(frozen=True, slots=True, kw_only=True)
class Strips:
    """Differences (bu/ac, sprayed less unsprayed) over pairs of strips side by side.

    ``chance`` is the probability that strips without any effect would come out as one-sided as
    these or more (two-sided sign test; Arbuthnot 1710, Phil. Trans. 27:186); 1 for a single pair.
    """

    pairs: int
    difference: float
    low: float
    high: float
    ahead: int
    chance: float
    text: str


def compared(pairs: Sequence[tuple[float, float]]) -> Strips:
    """What the strips show; each pair is the yield sprayed and the yield unsprayed, in bu/ac."""
    differences = [sprayed - unsprayed for sprayed, unsprayed in pairs]
    ahead = sum(d > 0 for d in differences)
    chance = sign_test(ahead, sum(d < 0 for d in differences))
    return Strips(
        pairs=len(differences),
        difference=mean(differences),
        low=min(differences),
        high=max(differences),
        ahead=ahead,
        chance=chance,
        text=_text(differences, ahead, chance),
    )


def sign_test(ahead: int, behind: int) -> float:
    """The two-sided probability of a split at least as uneven, where both sides are equally likely."""
    pairs, most = ahead + behind, max(ahead, behind)
    tail = sum(comb(pairs, k) for k in range(most, pairs + 1))
    return min(1.0, 2 * tail / float(2**pairs))


def _text(differences: Sequence[float], ahead: int, chance: float) -> str:
    book, many = load(), len(differences)
    shown = f"{mean(differences):+.1f} bu/ac"
    if many == 1:
        told = f"Sprayed less unsprayed: {shown}, from one pair; {book.strips('one_pair')}."
    else:
        told = (
            f"Sprayed less unsprayed: {shown} on average of {many} pairs ({min(differences):+.1f} to "
            f"{max(differences):+.1f}), ahead in {ahead}. Chance alone would be as one-sided "
            f"{_often(chance)}."
        )
    return f"{told} It shows {book.strips('shows')}. It does not show {book.strips('shows_not')}."


def _often(chance: float) -> str:
    return "every time" if chance == 1 else f"{chance:.0%} of the time"
