"""Scores the program against case files written outside of it: what it named, what it said to do."""

from __future__ import annotations

import sys
import tomllib
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from typing import Any

from assistant.book import Fleeting
from assistant.joining import Open
from assistant.loaded import Loaded, load
from assistant.schema import to_dict
from assistant.turn import Note, take
from rules.model import Earlier

CASES = Path(__file__).resolve().parent.parent / "cases"
_MADE_AT = datetime(2027, 1, 1, tzinfo=UTC)


@cache
def loaded() -> Loaded:
    return load()


class _WithEarlier(Fleeting):
    """A book that remembers only what the case file says came before."""

    def __init__(self, told: tuple[Earlier, ...]) -> None:
        super().__init__()
        self._told = told

    def earlier(self, case_id: str, than: object) -> tuple[Earlier, ...]:
        return self._told


def answer(
    text: str, on: date, earlier: tuple[Earlier, ...] = (), open_case: Open | None = None
) -> dict[str, Any]:
    """The answer to one note, as JSON data."""
    book = _WithEarlier(earlier) if earlier else Fleeting()
    field = "case field" if earlier else None
    note = Note(text=text, on=on, made_at=_MADE_AT, author="test", field=field)
    return to_dict(take(note, book, loaded(), open_case=open_case).answer)


def facts_of(text: str, on: date) -> Earlier:
    """What an earlier note said, as the rules take it."""
    scenes = loaded().reader.read(text, on=on)
    return Earlier(on=on, facts=tuple(f for s in scenes for f in s.facts))


@dataclass(frozen=True, slots=True)
class Outcome:
    case: dict[str, Any]
    entry: dict[str, Any]
    right: bool
    wrong: str = ""


def cases(name: str) -> list[dict[str, Any]]:
    return tomllib.loads((CASES / name).read_text(encoding="utf-8"))["case"]


def identify(case: dict[str, Any]) -> Outcome:
    entry = answer(case["note"], case["date"])["entries"][0]
    ranked = entry["differential"]
    wanted = case.get("expect_any") or [case["expect"]]
    if not ranked:
        return Outcome(case, entry, False, "nothing named")
    top, standing = ranked[0]["disorder"], ranked[0]["standing"]
    if top not in wanted:
        seen = [(c["disorder"], c["probability"]) for c in ranked[:3]]
        return Outcome(case, entry, False, f"{standing} {seen}, wanted {wanted}")
    if case.get("standing") == "fits" and standing not in ("fits", "confirmed"):
        return Outcome(case, entry, True, f"named, but {standing} at {ranked[0]['probability']}")
    if "parting" in case and standing == "fits":
        return Outcome(case, entry, False, f"says fits, though {case['parting']} was not looked at")
    if "parting" in case and (entry["next_check"] or {}).get("attribute") != case["parting"]:
        asked = (entry["next_check"] or {}).get("attribute")
        return Outcome(case, entry, True, f"asks for {asked}, not {case['parting']}")
    return Outcome(case, entry, True)


def decide(case: dict[str, Any]) -> Outcome:
    earlier = tuple(facts_of(e["note"], e["date"]) for e in case.get("earlier", ()))
    entry = answer(case["note"], case["date"], earlier)["entries"][0]
    wanted = case.get("action_any") or [case["action"]]
    decision = entry["decision"]
    got = decision["action"] if decision else None
    if got not in wanted:
        named = [(c["disorder"], c["standing"], c["probability"]) for c in entry["differential"][:2]]
        return Outcome(
            case,
            entry,
            False,
            f"{got}, wanted {wanted}; {named} {[b['rule'] for b in (decision or {}).get('because', [])][:3]}",
        )
    if "rescout" in case and got != "scout" and bool(decision["rescout_on"]) != case["rescout"]:
        return Outcome(case, entry, True, f"rescout {decision['rescout_on']}")
    return Outcome(case, entry, True)


def wanted(case: dict[str, Any]) -> list[str]:
    """The disorders that would be right."""
    return list(case.get("expect_any") or [case["expect"]])


def named(outcome: Outcome, places: int) -> bool:
    """Whether a right one is among the first so many."""
    return any(c["disorder"] in wanted(outcome.case) for c in outcome.entry["differential"][:places])


def sure_and_wrong(outcome: Outcome) -> bool:
    """Whether a wrong one is said to fit."""
    ranked = outcome.entry["differential"]
    return bool(ranked) and ranked[0]["standing"] in ("fits", "confirmed") and not named(outcome, 1)


def table(made: list[Outcome]) -> None:
    """First, first three, and wrong though sure, by disorder."""
    print(f"  {'':40} cases first three wrong-and-sure")
    for disorder in sorted({d for o in made for d in wanted(o.case)}):
        own = [o for o in made if disorder in wanted(o.case)]
        first, three = sum(named(o, 1) for o in own), sum(named(o, 3) for o in own)
        print(f"  {disorder:40} {len(own):5} {first:5} {three:5} {sum(map(sure_and_wrong, own)):5}")
    fits = [o for o in made if o.entry["differential"] and o.entry["differential"][0]["standing"] == "fits"]
    print(
        f"  all: {sum(named(o, 1) for o in made)} first, {sum(named(o, 3) for o in made)} in three, of {len(made)}; "
    )
    print(f"  fits said {len(fits)} times, right {sum(named(o, 1) for o in fits)} times")


def main(names: list[str]) -> None:
    for name in names:
        judge = identify if name.startswith("identify") else decide
        made = [judge(c) for c in cases(name)]
        print(f"{name}: {sum(o.right for o in made)} of {len(made)} right")
        for o in made:
            if o.wrong:
                print(
                    f"  {'ok   ' if o.right else 'WRONG'} {o.case['id']}: {o.wrong}\n        {o.case['note'][:230]}"
                )
        if judge is identify:
            table(made)


if __name__ == "__main__":
    main(sys.argv[1:] or ["identify.toml", "decide.toml"])
