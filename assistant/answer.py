"""An answer in words for a screen: what it is, what to look at next, what to do, what to mind."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from assistant.schema import CandidateShape, DecisionShape, EntryShape, EvidenceShape, LabelShape
from assistant.turn import Turn
from rules.model import Action, Standing
from rules.tables import Tables

_DO = {
    Action.SPRAY: "Spray",
    Action.HOLD: "Hold, do not spray yet",
    Action.NO_SPRAY: "No spray",
    Action.TOO_LATE: "Too late to spray",
    Action.SAMPLE: "Send a sample before deciding",
    Action.SCOUT: "Look first",
}
_STANDING = {
    Standing.CONFIRMED: "confirmed by a laboratory",
    Standing.FITS: "it fits",
    Standing.POSSIBLE: "possible, not settled",
    Standing.UNLIKELY: "unlikely",
    Standing.RULED_OUT: "ruled out",
}
_WORTH_NAMING = 0.05
_MOST_CANDIDATES = 3
_MOST_CAUTIONS = 4


def told(turn: Turn, tables: Tables) -> str:
    """The short answer to one note."""
    return "\n\n".join(_entry(e, tables, turn.answer.date) for e in turn.answer.entries)


def _entry(entry: EntryShape, tables: Tables, on: date) -> str:
    lines = [_head(entry, on)]
    lines += _what(entry, tables)
    if entry.ask_back:
        lines.append(f"  One question: {entry.ask_back}")
    if entry.next_check:
        lines.append(f"  Look next: {entry.next_check.ask}")
        if not entry.next_check.would_change_decision:
            lines.append("    (for the name only; it changes nothing about spraying)")
    if entry.decision:
        lines += _do(entry.decision)
    lines += [f"  Mind: {c.text}" for c in entry.cautions[:_MOST_CAUTIONS]]
    if len(entry.cautions) > _MOST_CAUTIONS:
        lines.append(f"    ({len(entry.cautions) - _MOST_CAUTIONS} more cautions: /mind)")
    lines += [f"  Label {_verdict(x)}" for x in entry.labels]
    lines += _leftovers(entry)
    return "\n".join(lines)


def day(on: date) -> str:
    """A date as people write it: Thu Jul 29."""
    return f"{on:%a %b} {on.day}"


def _head(entry: EntryShape, on: date) -> str:
    parts = [entry.field or "(no field named)", day(on)]
    stage = entry.stage
    if stage.code:
        parts.append(f"{stage.code}{' (projected)' if stage.basis == 'projected' else ''}")
    if stage.days_to_r6:
        low, high = stage.days_to_r6
        parts.append(f"{low}-{high} days to black layer" if low != high else f"{low} days to black layer")
    return " | ".join(parts)


def _what(entry: EntryShape, tables: Tables) -> list[str]:
    if not entry.problems:
        if entry.decision is None:
            return ["  Noted. Nothing to decide in it."]
        return []
    lines = []
    for problem in entry.problems:
        lines += _problem(problem.differential, tables, several=len(entry.problems) > 1)
    return lines


def _problem(differential: Sequence[CandidateShape], tables: Tables, *, several: bool) -> list[str]:
    lead = differential[0]
    label = "One thing" if several else "What it is"
    if lead.standing is Standing.POSSIBLE or lead.standing is Standing.UNLIKELY:
        label = "Could be" if not several else "One thing, could be"
    lines = [f"  {label}: {_name(tables, lead.disorder)} ({_STANDING[lead.standing]})"]
    if lead.speaks_for:
        lines.append(f"    for: {_evidence(lead.speaks_for, tables)}")
    if lead.against:
        lines.append(f"    against: {_evidence(lead.against, tables)}")
    others = [c for c in differential[1:_MOST_CANDIDATES] if c.probability >= _WORTH_NAMING]
    lines += [f"    or {_name(tables, c.disorder)} ({_odds(c.probability)})" for c in others]
    return lines


def _odds(probability: float) -> str:
    """A probability in words; never in decimals."""
    steps = ((0.4, "about as likely"), (0.2, "well possible"), (0.1, "less likely"))
    return next((words for least, words in steps if probability >= least), "a long shot")


def _name(tables: Tables, disorder: str) -> str:
    return tables.disorders[disorder].name


def _evidence(items: Iterable[EvidenceShape], tables: Tables) -> str:
    return "; ".join(dict.fromkeys(_observation(e, tables) for e in list(items)[:5]))


def _observation(e: EvidenceShape, tables: Tables) -> str:
    attribute = tables.attributes.get(e.attribute)
    say = attribute.say if attribute else e.attribute
    if e.rule.startswith("together."):
        return str(e.value)
    if e.rule.startswith("claim."):
        return "you named it" if e.status == "present" else "you said it is not that"
    value = "" if e.value is True else f": {_shown(e)}"
    return f"{'not there: ' if e.status == 'absent' else ''}{say}{value}"


def _shown(e: EvidenceShape) -> str:
    """A value as people write it; stages in capitals."""
    words = str(e.value).replace("_", " ")
    return words.upper().replace(" ", "-") if e.attribute == "stage_group" else words


def _do(decision: DecisionShape) -> list[str]:
    line = _DO[decision.action]
    if decision.action is Action.SPRAY and decision.spray_by:
        line += f", by {day(decision.spray_by)} at the latest"
    if decision.rescout_on:
        line += f"; look again on {day(decision.rescout_on)}"
        if decision.look_for:
            line += f": {decision.look_for}"
    elif decision.look_for:
        line += f": {decision.look_for}"
    lines = [f"  Do: {line}."]
    if decision.because:
        lines.append(f"    {decision.because[0].text}")
    return lines


def _verdict(label: LabelShape) -> str:
    return f"{label.name}: {'fits; ' if label.fits else ''}{'; '.join(label.because)}"


def _leftovers(entry: EntryShape) -> list[str]:
    lines = [f'  Read "{r.heard}" as "{r.read}".' for r in entry.repairs]
    if entry.not_understood:
        words = ", ".join(f'"{u.text}"' for u in entry.not_understood)
        lines.append(f"  Not understood: {words}")
    return lines


# ----------------------------------------------------------------------------- one word away


def why(entry: EntryShape, tables: Tables) -> str:
    """Every reason of the decision and every piece of evidence, down to the published sources."""
    lines = []
    for problem in entry.problems:
        for candidate in problem.differential[:_MOST_CANDIDATES]:
            if candidate.probability < _WORTH_NAMING and candidate is not problem.differential[0]:
                continue
            lines.append(f"{_name(tables, candidate.disorder)}: {_STANDING[candidate.standing]}")
            for sign, items in (("+", candidate.speaks_for), ("-", candidate.against)):
                lines += [f"  {sign} {_graded(e, tables)}" for e in items]
            if candidate.unchecked:
                lines.append(
                    "  not looked at: " + ", ".join(_said(tables, a) for a in candidate.unchecked[:6])
                )
    if entry.decision:
        lines.append(f"{_DO[entry.decision.action]}, because:")
        lines += [f"  {r.text}  [{_cite(r.sources, tables)}]" for r in entry.decision.because]
    return "\n".join(lines) or "There is nothing to explain yet."


def _graded(e: EvidenceShape, tables: Tables) -> str:
    strength = e.strength.replace("_", " ")
    return f"{_observation(e, tables)} ({strength})  [{_cite(e.sources, tables, e.known)}]"


def changes(entry: EntryShape) -> str:
    """What would change this answer."""
    if entry.decision is None or not (entry.decision.would_change_if or entry.next_check):
        return "Nothing that was tried would change it."
    lines = [f"If {w.fact}: {_DO[w.action].lower()}." for w in entry.decision.would_change_if]
    if entry.next_check:
        lines += [f"{entry.next_check.ask}", f"  {entry.next_check.if_yes}", f"  {entry.next_check.if_no}"]
    return "\n".join(dict.fromkeys(lines))


def mind(entry: EntryShape, tables: Tables) -> str:
    """All the cautions, with their sources."""
    return (
        "\n".join(f"{c.text}  [{_cite(c.sources, tables)}]" for c in entry.cautions) or "No caution applies."
    )


def _said(tables: Tables, attribute: str) -> str:
    known = tables.attributes.get(attribute)
    return known.say if known else attribute


def _cite(keys: Iterable[str], tables: Tables, known: str = "read") -> str:
    said = []
    for key in keys:
        source = tables.sources.get(key)
        if source is None:
            said.append(key.replace("_", " "))
        else:
            author = source.author.split(",")[0] or source.title
            said.append(f"{author} {source.year}" if source.year else f"{author}, {source.title}"[:60])
    if known == "memory":
        said.append("from memory")
    return "; ".join(dict.fromkeys(said))
