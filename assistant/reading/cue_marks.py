"""What a cue can do to a mention: deny it, doubt it, put it in another time, leave it unsettled."""

from __future__ import annotations

from collections.abc import Callable

from assistant.reading.attributes import signs
from assistant.reading.mention import NAMES, PLACES, Mention
from assistant.reading.scope import Target
from rules.model import Relation, Status

#: Heads whose denial at a place says that the place is clean ("nothing raised underneath").
WHOLE_SIGNS = frozenset({"lesion_form", "problem", "raised", "rub", "rubs_off", "fuzz", "any"})

#: Words that deny: in a form of their own they deny harder beside another.
_DENYING = frozenset({"no", "nothing", "none", "never", "nary"})

Change = Callable[[Mention], None]
Mark = Callable[[Target], None]


def each(change: Change) -> Mark:
    """A mark that changes every mention of a target that is still open."""

    def mark(target: Target) -> None:
        for mention in target.mentions:
            if not mention.fixed:
                change(mention)

    return mark


def put(target: Target, when: str, which: Callable[[Mention], bool]) -> None:
    """Put the mentions of ``target`` that ``which`` picks in another time or field."""
    for mention in target.mentions:
        if not mention.fixed and which(mention):
            mention.when = when


def deny(mention: Mention) -> None:
    """Looked at and not there; a stage is never absent, it is not reached."""
    if mention.origin != "words" and mention.attribute not in PLACES:
        return
    if mention.attribute == "growth_stage":
        mention.relation = mention.relation or Relation.BEFORE
    elif mention.status is Status.ABSENT:
        if not _DENYING & set(mention.form.split()):  # "ain't nothing" only denies harder
            mention.drop("a denial denied")
    else:
        mention.status = Status.ABSENT


def deny_what_is_there(mention: Mention) -> None:
    """Deny, but leave alone what is already denied ("nothing, just clean")."""
    if mention.status is not Status.ABSENT:
        deny(mention)


def deny_softly(mention: Mention) -> None:
    """Denied and doubted at once."""
    deny(mention)
    mention.hedged = mention.attribute != "growth_stage"


def hedge(mention: Mention) -> None:
    """Doubted."""
    mention.hedged = True


def in_time(when: str) -> Change:
    """Put in another time or field."""

    def change(mention: Mention) -> None:
        mention.when = when

    return change


def unsettled(status: Status) -> Change:
    """Not looked at, or looked at and could not tell.  A name that could not be told is a guess."""

    def change(mention: Mention) -> None:
        if mention.attribute in NAMES:
            if status is Status.CANNOT_TELL:
                mention.hedged = True
            else:
                mention.status, mention.fixed, mention.hedged = status, True, False
        elif mention.attribute == "distribution":
            mention.drop("a place in the field, no sign")
        elif mention.attribute in signs():
            mention.status, mention.fixed, mention.hedged = status, True, False

    return change


def denying(change: Change) -> Mark:
    """Deny a target; a place behind it is denied too where the whole sign is."""
    whole: list[bool] = []

    def mark(target: Target) -> None:
        if target.kind == "place" and whole and not whole[0]:
            return
        whole.append(bool({m.attribute for m in target.mentions} & (WHOLE_SIGNS | set(PLACES))))
        each(change)(target)

    return mark
