"""Is a label that the user typed in shown to fit what is to be sprayed?

A label fits only when every limit is told and kept: what was left empty is "not yet shown to
fit".  No amount of product is ever named.  The label in hand governs, whatever is said here.
"""

from __future__ import annotations

from rules.agronomy.label_checks import (
    disorder,
    latest_day,
    likely_harvest,
    method,
    preharvest,
    stage,
    state,
    use,
)
from rules.agronomy.label_records import EarlierSpray, Finding, Label, Shown, Situation, not_typed
from rules.agronomy.label_sprays import interval_between, rotation, season_maximum
from rules.agronomy.label_tables import LabelTables, load
from rules.model import LabelVerdict

__all__ = [
    "EarlierSpray",
    "Finding",
    "Label",
    "LabelTables",
    "Shown",
    "Situation",
    "findings",
    "judge",
    "latest_day",
    "likely_harvest",
    "load",
]

_CHECKS = (disorder, use, state, stage, preharvest, method, season_maximum, interval_between, rotation)

#: Terms that no arithmetic decides, but that must have been read off the label: field and its name in words.
_TERMS = {
    "active_ingredients": "the active ingredients",
    "reentry_hours": "the hours before re-entry",
    "restricted_use": "whether it is for restricted use",
    "adjuvants": "the limits on adjuvants",
    "forage": "the limits on forage",
    "plant_back": "the limits on the next crop",
    "typed_on": "the day on which the label was read",
}
_NOT_SHOWN = "not yet shown to fit"


def judge(label: Label, at: Situation, tables: LabelTables) -> LabelVerdict:
    """Whether the label is shown to fit, and why (not).

    Reasons against come first, then what is not yet shown; the reasons for it stand only
    where it fits.

    Raises:
        UnknownStage: the label or the situation names no stage of the calendar.
    """
    found = findings(label, at, tables)
    against = _against(found)
    because = against or [f.text for f in found] + _terms_told(label)
    return LabelVerdict(name=label.name, fits=not against, because=(*because, *_about(label, at)))


def _against(found: tuple[Finding, ...]) -> list[str]:
    """Why it does not fit, or is not yet shown to; what was left empty comes as one sentence."""
    texts = {kind: [f.text for f in found if f.shown is kind] for kind in Shown}
    blank = ", ".join(texts[Shown.NOT_TYPED])
    return [
        *texts[Shown.DOES_NOT],
        *(f"{_NOT_SHOWN}: {text}" for text in texts[Shown.NOT_SHOWN]),
        *([f"{_NOT_SHOWN}, because not typed in from the label: {blank}"] if blank else []),
    ]


def findings(label: Label, at: Situation, tables: LabelTables) -> tuple[Finding, ...]:
    """Every limit of the label held against the situation, one finding each."""
    made = [check(label, at, tables) for check in _CHECKS]
    blank = [name for name in _TERMS if getattr(label, name) in (None, (), "")]
    return (*(f for f in made if f is not None), *(not_typed(name, _TERMS[name]) for name in blank))


def _terms_told(label: Label) -> list[str]:
    """What has to be kept once the label fits."""
    told = [f"nobody goes into the field for {label.reentry_hours} hours after the spray"]
    told.append("read what the label says of adjuvants, forage and the next crop")
    if label.restricted_use:
        told.append("it is for restricted use: a certified applicator, or somebody under one")
    return told


def _about(label: Label, at: Situation) -> list[str]:
    """What is to be known of the record itself."""
    told = []
    if label.typed_on is not None and label.typed_on.year < at.on.year:
        day = label.typed_on.isoformat()
        told.append(f"typed in on {day}, in an earlier season: hold it against the label in hand")
    if label.demo:
        told.append("an invented label for the demonstration: no such product exists")
    return told
