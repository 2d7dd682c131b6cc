"""Scores the reader against annotated notes: recall, precision, by attribute, voice and punctuation."""

from __future__ import annotations

import json
import sys
from collections import Counter
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

CASES = Path(__file__).resolve().parent.parent / "cases"

#: Words that annotators and reader may use for one thing.
NEAR = (
    {"buff", "tan", "straw", "khaki"}, {"cream", "white", "bleached", "bleached_white", "off_white"},
    {"cigar_shaped", "canoe", "cigar", "elliptical"}, {"rain", "drizzle", "showers"}, {"round", "circular"},
    {"gray", "grey"}, {"brick_red", "rust", "reddish_brown", "brown_red", "red_brown"}, {"cinnamon", "cinnamon_brown"},
    {"dense", "clustered", "packed"}, {"oval", "egg_shaped"}, {"speck", "fleck", "spot"}, {"lesion", "spot", "blotch"},
    {"storm", "windstorm", "thunderstorm"}, {"humid", "high"}, {"conventional", "chisel", "chisel_plow", "disk"},
    {"dark_brown", "chocolate", "dark"}, {"nis", "nonionic_surfactant", "non_ionic_surfactant"}, {"tile", "tiled"},
    {"hilltop", "hilltops"}, {"knoll", "knolls"}, {"north_half", "n_half"}, {"east_end", "e_end"},
    {"hollow", "gone"}, {"upper_stalk", "upper_internodes"}, {"cool", "cool_nights"}, {"sand", "sandy"},
    {"gray_green", "greenish_gray", "grayish_green"}, {"pointed", "spindle", "tapered"},
    {"smears", "wipes_clean"}, {"edge", "end_rows"}, {"patch", "patches"}, {"rows", "lines"},
    {"maroon", "dark_red", "purple_red"}, {"black", "jet_black", "coal_black"}, {"whole_ear", "all_over"},
    {"dry", "drought"}, {"corn", "corn_on_corn"}, {"elongated", "linear", "long"}, {"mushy", "soft", "slimy"},
    {"v_from_tip", "v_shaped", "v_shape", "v", "v_down_midrib"}, {"interveinal", "stripes", "between_veins", "striped"},
    {"foul", "rotten", "stench", "putrid"}, {"shredded", "stringy"},
)  # fmt: skip
_CANON = {w: min(group) for group in NEAR for w in group}

#: Facts that the scorer of the contract does not count against precision.
_FREE = ("not_checked", "cannot_tell")


def canon(value: Any) -> Any:
    """A value in the form in which two are compared."""
    if isinstance(value, bool):
        return True
    if isinstance(value, str):
        word = value.strip().lower().replace(" ", "_").replace("-", "_").removeprefix("the_")
        return _CANON.get(word, word)
    if isinstance(value, list | tuple):
        return tuple(float(v) for v in value)
    if isinstance(value, date):
        return canon(value.isoformat())
    return None if value is None else float(value)


def same(a: Any, b: Any) -> bool:
    """Equal values: near words, numbers within rounding, ranges that overlap."""
    if isinstance(a, tuple) or isinstance(b, tuple):
        if isinstance(a, str | bool) or isinstance(b, str | bool):
            return False
        low_a, high_a = a if isinstance(a, tuple) else (a, a)
        low_b, high_b = b if isinstance(b, tuple) else (b, b)
        return low_a <= high_b + 1e-6 and low_b <= high_a + 1e-6
    if isinstance(a, float) and isinstance(b, float):
        return abs(a - b) <= max(0.011, 0.02 * abs(b))
    if isinstance(a, str) and isinstance(b, str) and a != b:
        return a in b.split("_") and len(a) > 3 and b.startswith(a) and "corn" not in a
    return bool(a == b)


@dataclass
class Score:
    found: int = 0
    stated: int = 0
    given: int = 0
    wrong: int = 0
    missed: Counter[str] = field(default_factory=Counter)
    extra: Counter[str] = field(default_factory=Counter)
    total: Counter[str] = field(default_factory=Counter)
    lines: list[str] = field(default_factory=list)

    @property
    def recall(self) -> float:
        return self.found / max(1, self.stated)

    @property
    def precision(self) -> float:
        return 1 - self.wrong / max(1, self.given)


def key(fact: dict[str, Any]) -> tuple[str, Any, str]:
    return fact["attribute"], canon(fact["value"]), fact.get("status", "present")


def judge(gold: list[dict[str, Any]], made: list[dict[str, Any]], score: Score, name: str) -> None:
    """Adds one entry's comparison to the score."""
    wanted = list({json.dumps(key(f), default=str): key(f) for f in gold}.values())
    got = list({json.dumps(key(f), default=str): (key(f), f) for f in made}.values())
    open_ones = list(range(len(got)))
    for w in wanted:
        score.stated += 1
        score.total[w[0]] += 1
        hit = next(
            (
                i
                for i in open_ones
                if got[i][0][0] == w[0] and got[i][0][2] == w[2] and same(got[i][0][1], w[1])
            ),
            None,
        )
        if hit is None:
            score.missed[w[0]] += 1
            score.lines.append(f"{name} missed {w}")
        else:
            score.found += 1
            open_ones.remove(hit)
    for i, (k, f) in enumerate(got):
        if f.get("derived") or k[2] in _FREE:
            continue
        score.given += 1
        if i in open_ones and not any(k[0] == w[0] and k[2] == w[2] and same(k[1], w[1]) for w in wanted):
            score.wrong += 1
            score.extra[k[0]] += 1
            score.lines.append(f"{name} extra  {k} «{f.get('text')}»")


@cache
def reader() -> Any:
    from assistant.reading.reader import build

    return build()


def read(text: str, on: date) -> list[dict[str, Any]]:
    """The reader's entries as plain data."""
    made = []
    for scene in reader().read(text, on=on):
        facts = [
            {
                "attribute": f.attribute,
                "value": f.value,
                "status": f.status.value,
                "derived": f.derived,
                "text": f.text,
            }
            for f in scene.facts
        ]
        made.append({"field": scene.field, "facts": facts})
    return made


def corpus(name: str) -> list[dict[str, Any]]:
    """The notes of one file of annotated notes."""
    return [
        json.loads(line) for line in (CASES / name).read_text(encoding="utf-8").splitlines() if line.strip()
    ]


def align(gold: list[dict[str, Any]], made: list[dict[str, Any]]) -> list[tuple[list[Any], list[Any]]]:
    """Pairs entries by field name where both name one, else by order."""
    left = list(made)
    pairs = []
    for entry in gold:
        name = canon(entry.get("field") or "")
        hit = next((m for m in left if canon(m["field"] or "") == name), None)
        hit = hit or next(
            (
                m
                for m in left
                if name and m["field"] and (canon(m["field"]) in name or name in canon(m["field"]))
            ),
            None,
        )
        hit = hit or (left[0] if left else None)
        if hit is not None:
            left.remove(hit)
        pairs.append((entry["facts"], hit["facts"] if hit else []))
    return pairs + [([], m["facts"]) for m in left]


def score(notes: list[dict[str, Any]]) -> tuple[Score, dict[str, Score]]:
    """The whole score, and one by voice and by punctuation."""
    whole, parts = Score(), {}
    for note in notes:
        pairs = align(note["entries"], read(note["text"], date.fromisoformat(note["date"])))
        for name in ("all", f"voice {note['voice']}", f"punctuated {note['punctuated']}"):
            target = whole if name == "all" else parts.setdefault(name, Score())
            for gold, made in pairs:
                judge(gold, made, target, note["id"])
    return whole, parts


def main(names: list[str]) -> None:
    for name in names:
        whole, parts = score(corpus(name))
        print(
            f"{name}: recall {whole.recall:.3f} precision {whole.precision:.3f} ({whole.stated} stated, {whole.given} given)"
        )
        for part, s in sorted(parts.items()):
            print(f"  {part}: recall {s.recall:.3f} precision {s.precision:.3f}")
        print("  missed", [f"{a} {n}/{whole.total[a]}" for a, n in whole.missed.most_common(30)])
        print("  extra", whole.extra.most_common(30))
        Path(f"/tmp/{name}.lines").write_text("\n".join(whole.lines))


if __name__ == "__main__":
    main(sys.argv[1:] or ["notes_blind_a.jsonl"])
