"""How long a whole answer takes beside what spaCy needs for the same words, in one run.

    python -m tests.bench.speed [--rounds 3] [--pipeline FOLDER]

For every note of a case file: the whole answer (read, identified, decided, worded; not kept), spaCy's
blank English tokenising, and, if a folder with an English pipeline of spaCy's is named, its parse.  The
three are timed note by note in turn, so that they share what the machine is doing; of each note the best
of the rounds counts.  The ratios hold from machine to machine better than the milliseconds do.
"""

from __future__ import annotations

import argparse
import json
import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

import spacy

from assistant.book import Fleeting
from assistant.loaded import load
from assistant.turn import Note, take
from tests.bench.scoring import CASES

_MADE_AT = datetime(2027, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One note of the case file."""

    text: str
    on: date


def notes(name: str) -> list[Words]:
    """The notes of a case file of annotated notes."""
    lines = (CASES / name).read_text(encoding="utf-8").splitlines()
    rows = [json.loads(line) for line in lines if line.strip()]
    return [Words(text=row["text"], on=date.fromisoformat(row["date"])) for row in rows]


def workers(pipeline: Path | None) -> dict[str, Callable[[Words], object]]:
    """What is timed: the whole answer, the tokenising, the parse."""
    ready, blank = load(), spacy.blank("en")

    def answer(words: Words) -> object:
        note = Note(text=words.text, on=words.on, made_at=_MADE_AT, author="bench")
        return take(note, Fleeting(), ready)

    made: dict[str, Callable[[Words], object]] = {
        "whole answer": answer,
        "tokenising": lambda words: blank(words.text),
    }
    if pipeline is not None:
        parse = spacy.load(pipeline)
        made["parse"] = lambda words: parse(words.text)
    return made


def timed(
    every: Sequence[Words], made: dict[str, Callable[[Words], object]], rounds: int
) -> dict[str, list[float]]:
    """Milliseconds of each note by worker: the best of so many rounds, after one that is not counted."""
    best = {name: [float("inf")] * len(every) for name in made}
    for turn in range(rounds + 1):
        for n, words in enumerate(every):
            for name, work in made.items():
                start = time.perf_counter()
                work(words)
                if turn:
                    best[name][n] = min(best[name][n], 1000 * (time.perf_counter() - start))
    return best


def report(best: dict[str, list[float]]) -> None:
    """Prints times a note, and how many times longer the whole answer takes."""
    for name, times in best.items():
        slow = sorted(times)[int(0.95 * (len(times) - 1))]
        print(
            f"{name:13} median {statistics.median(times):8.3f} ms  mean {statistics.mean(times):8.3f} ms"
            f"  95 % under {slow:8.3f} ms  longest {max(times):8.3f} ms"
        )
    whole, *others = best
    for name in others:
        each = [a / b for a, b in zip(best[whole], best[name], strict=True)]
        print(
            f"{whole} / {name}: {sum(best[whole]) / sum(best[name]):.2f} over all,"
            f" {statistics.median(each):.2f} at the median note"
        )


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--notes", default="notes_blind_a.jsonl")
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--pipeline", type=Path, help="folder of an English pipeline, with its config.cfg")
    asked = parser.parse_args()
    every = notes(asked.notes)
    words = sum(len(each.text.split()) for each in every)
    print(f"{len(every)} notes, {words} words, spaCy {spacy.__version__}, best of {asked.rounds} rounds")
    report(timed(every, workers(asked.pipeline), asked.rounds))


if __name__ == "__main__":
    main()
