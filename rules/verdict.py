"""One candidate's decision: the rules of pressure, threshold and decision run on one lead."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from rules.facts import Atom
from rules.model import Action, EngineFault, Firing, Reason
from rules.records import Rule
from rules.tables import Tables
from rules.timing import window_of

#: Which action stands when rules name several, and which phases lead there.
ORDER = (Action.SCOUT, Action.NO_SPRAY, Action.TOO_LATE, Action.SAMPLE, Action.SPRAY, Action.HOLD)
PHASES = ("find", "pressure", "threshold", "decide", "settle", "caution")
DECIDING = ("find", "pressure", "threshold", "decide")

Run = Callable[[Iterable[tuple[Iterable[Atom], Sequence[str]]]], list[Firing]]

_SUPPORTING = (
    "air",
    "cover",
    "reaction",
    "reaches_ear",
    "reaches_third",
    "on_ear_leaf",
    "half_plants",
    "many_stops",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What to do if ``lead`` is what it is."""

    lead: str | None
    action: Action
    because: tuple[Reason, ...]
    rescout_days: int | None
    look_for: str
    plan: str
    trace: tuple[Firing, ...]


def lead_atoms(tables: Tables, lead: str, group: str | None, facts: Iterable[Atom] = ()) -> tuple[Atom, ...]:
    """What the decision rules need to know of the leading candidate at this stage group."""
    disorder = tables.disorders[lead]
    plan = tables.plan_of.get(lead, "none")
    wants = disorder.epidemic.likes if disorder.epidemic else ()
    history = (("history_of_lead", "yes"),) if ("field_history", lead) in set(facts) else ()
    helps = disorder.management.fungicide
    window = window_of(tables, plan, group) if plan != "none" else "none"
    return (
        ("lead", lead),
        ("fungicide", helps),
        ("plan", plan),
        ("window", window),
        *((("wants", w)) for w in wants),
        *history,
    )


def decide(
    run: Run,
    rules: dict[str, Rule],
    tables: Tables,
    atoms: Iterable[Atom],
    lead: str | None,
    group: str | None,
) -> Verdict:
    """The verdict for one lead (or for a clean field, ``lead`` None).

    Raises:
        EngineFault: if no rule names an action; the enumeration test keeps that from happening.
    """
    atoms = tuple(atoms)
    extra = lead_atoms(tables, lead, group, atoms) if lead else ()
    trace = run([((*atoms, *extra), DECIDING)])
    return _read(tables, rules, trace, lead, group)


def action_of(rules: Mapping[str, Rule], fired: Iterable[str]) -> Action:
    """The action that stands when these rules have fired."""
    named = {
        c[1] for name in fired for c in rules[name].then if rules[name].phase == "decide" and c[0] == "act"
    }
    return next(a for a in ORDER if a.value in named)


def _read(
    tables: Tables, rules: dict[str, Rule], trace: list[Firing], lead: str | None, group: str | None
) -> Verdict:
    named = [(f, rules[f.rule]) for f in trace if rules[f.rule].phase == "decide"]
    actions = {Action(str(c[1])) for _, r in named for c in r.then if c[0] == "act"}
    if not actions:
        raise EngineFault(f"no rule decides about {lead or 'a clean field'} at {group or 'an unknown stage'}")
    action = next(a for a in ORDER if a in actions)
    chosen = [r for _, r in named if ("act", action.value) in r.then]
    plan = tables.plan_of.get(lead or "", "none")
    return Verdict(
        lead=lead,
        action=action,
        because=_because(tables, rules, trace, chosen, plan, group),
        rescout_days=next((int(c[1]) for r in chosen for c in r.then if c[0] == "rescout"), None),
        look_for=next((str(c[1]) for r in chosen for c in r.then if c[0] == "look_for"), ""),
        plan=plan,
        trace=tuple(trace),
    )


def _because(
    tables: Tables,
    rules: dict[str, Rule],
    trace: list[Firing],
    chosen: list[Rule],
    plan: str,
    group: str | None,
) -> tuple[Reason, ...]:
    """The deciding rules first, then the threshold, the window, and what they rest on."""
    reasons = [_reason(r) for r in chosen]
    reasons += [_reason(rules[f.rule]) for f in trace if rules[f.rule].phase == "threshold"]
    window = tables.windows.get((plan, group or ""))
    if window is not None:
        reasons.append(Reason(rule=f"window.{plan}.{group}", text=window.text, sources=window.source))
    for fired in trace:
        rule = rules[fired.rule]
        if rule.phase == "pressure" and any(c[1] in _SUPPORTING for c in rule.then):
            reasons.append(_reason(rule))
    return tuple(dict.fromkeys(reasons))


def _reason(rule: Rule) -> Reason:
    return Reason(rule=rule.id, text=rule.because, sources=rule.source)
