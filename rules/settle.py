"""Several candidates, several problems -> one decision for the field."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from rules.case import Case
from rules.differential import parted, rank
from rules.facts import Atom
from rules.identify import Identification
from rules.model import Action, Decision, Reason
from rules.records import Rule
from rules.tables import Tables
from rules.timing import closes_in, rescout_on, spray_by
from rules.verdict import Run, Verdict

#: Across problems of one field: what is most pressing comes first.
PRESSING = (Action.SPRAY, Action.SAMPLE, Action.HOLD, Action.SCOUT, Action.TOO_LATE, Action.NO_SPRAY)

_LABORATORY = 5  # effort of a check that only a laboratory can make


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """The decision for one problem, and the verdict it rests on."""

    action: Action
    verdict: Verdict
    because: tuple[Reason, ...]
    rescout_days: int | None
    look_for: str


def voices(tables: Tables, found: Identification) -> list[str]:
    """The candidates that have a say: those likely enough, the leading one at least.

    What the speaker names as so, and nothing told against, stands alone: the answer
    says what has not been checked of it, and does not doubt the speaker.
    """
    least = tables.weights["standing"]["plausible_from"]
    order = rank(found.probability)
    if order[0] in found.stated:
        return order[:1]
    return [d for d in order if found.probability[d] >= least] or order[:1]


def settle(
    run: Run,
    rules: Mapping[str, Rule],
    tables: Tables,
    found: Identification,
    verdict_of: Callable[[str], Verdict],
    shared: Sequence[Atom],
) -> Settled:
    """One decision out of the verdicts of the candidates that have a say."""
    heard = voices(tables, found)
    lead = verdict_of(heard[0])
    against = _against(tables, found, lead, heard, verdict_of)
    verdicts = [verdict_of(d) for d in heard]
    actions = {v.action for v in verdicts} | {verdict_of(d).action for d in against}
    if _too_little(tables, found, verdict_of):
        return _by_rule(run, rules, lead, (*shared, ("too_little", "yes")), only(lead))
    if len(actions) == 1:
        return only(lead)
    if Action.SPRAY in actions:
        return _look_or_sample(run, rules, tables, found, lead, verdicts, against, shared)
    for action in (Action.HOLD, Action.SCOUT):
        for verdict in verdicts:
            if verdict.action is action:
                return only(verdict)
    return only(lead)


def only(verdict: Verdict) -> Settled:
    """The decision where one verdict is all there is."""
    return Settled(
        action=verdict.action,
        verdict=verdict,
        because=verdict.because,
        rescout_days=verdict.rescout_days,
        look_for=verdict.look_for,
    )


def _against(
    tables: Tables,
    found: Identification,
    lead: Verdict,
    heard: Sequence[str],
    verdict_of: Callable[[str], Verdict],
) -> list[str]:
    """Less likely look-alikes, not told apart, whose answer about a spray is the opposite."""
    opposite = {Action.SPRAY: Action.NO_SPRAY, Action.NO_SPRAY: Action.SPRAY}.get(lead.action)
    if opposite is None or heard[0] in found.stated:
        return []
    name = "blocks_spray_from" if lead.action is Action.SPRAY else "blocks_rest_from"
    least = tables.weights["standing"][name]
    rivals = [d for d in rank(found.probability) if d not in heard and found.probability[d] >= least]
    untold = [d for d in rivals if parted(tables, heard[0], d, found.seen) is False]
    return [d for d in untold if verdict_of(d).action is opposite]


def _too_little(tables: Tables, found: Identification, verdict_of: Callable[[str], Verdict]) -> bool:
    """Is no candidate likely, while those that are left need different things?"""
    order = rank(found.probability)
    if found.probability[order[0]] >= tables.weights["standing"]["too_little_below"]:
        return False
    limits = tables.weights["next_check"]
    left = [d for d in order if found.probability[d] >= limits["shares_from"]][: int(limits["candidates"])]
    return len({verdict_of(d).action for d in left}) > 1


def _look_or_sample(
    run: Run,
    rules: Mapping[str, Rule],
    tables: Tables,
    found: Identification,
    lead: Verdict,
    verdicts: Sequence[Verdict],
    against: Sequence[str],
    shared: Sequence[Atom],
) -> Settled:
    named = {v.lead for v in verdicts if v.lead} | set(against)
    can_look = "yes" if _check_open(tables, found, named) else "no"
    atoms: tuple[Atom, ...] = (*shared, ("disagree_about_spray", "yes"), ("check_open", can_look))
    spraying = next((v for v in verdicts if v.action is Action.SPRAY), lead)
    return _by_rule(run, rules, spraying, atoms, only(spraying))


def _by_rule(
    run: Run, rules: Mapping[str, Rule], verdict: Verdict, atoms: Sequence[Atom], under: Settled
) -> Settled:
    """What the rules of the phase "settle" say, with ``under`` as the reasons beneath."""
    fired = [rules[f.rule] for f in run([(tuple(atoms), ("settle",))]) if rules[f.rule].phase == "settle"]
    actions = [Action(str(c[1])) for r in fired for c in r.then if c[0] == "act"]
    because = tuple(Reason(rule=r.id, text=r.because, sources=r.source) for r in fired)
    return Settled(
        action=Action.HOLD if Action.HOLD in actions else actions[0],
        verdict=verdict,
        because=(*because, *under.because),
        rescout_days=next((int(c[1]) for r in fired for c in r.then if c[0] == "rescout"), None),
        look_for=next((str(c[1]) for r in fired for c in r.then if c[0] == "look_for"), ""),
    )


def _check_open(tables: Tables, found: Identification, named: set[str]) -> bool:
    """Is there a check between two of the candidates that the field can still make?"""
    return any(
        set(p.pair) <= named and check.effort < _LABORATORY and not set(p.by) & found.answered
        for check in tables.checks
        for p in check.parts
    )


def dated(tables: Tables, settled: Settled, case: Case, lead_days: int) -> Decision:
    """The decision with its dates: last useful spray day, day to look again."""
    plan, code, group = settled.verdict.plan, case.stage.code, case.group
    closes = closes_in(tables, plan, code, group) if code and group and plan != "none" else None
    days = settled.rescout_days
    if days is None and settled.action in (Action.HOLD, Action.SCOUT, Action.SAMPLE):
        wet = any("moisture=wet" in f.concluded for f in settled.verdict.trace)
        days = round(tables.figures["wet_rescout_days" if wet else "rescout_days"].value)
    has_spray_day = settled.action in (Action.SPRAY, Action.SAMPLE, Action.HOLD) and closes is not None
    return Decision(
        action=settled.action,
        spray_by=spray_by(case.on, closes, lead_days) if has_spray_day else None,
        rescout_on=rescout_on(case.on, days, closes, lead_days) if days is not None else None,
        look_for=settled.look_for,
        because=settled.because,
    )
