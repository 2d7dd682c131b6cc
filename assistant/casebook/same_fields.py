"""Fields that several people made under one name: which of them are one.

Nothing is changed for it in the journal.  The field and alias entries are gone through in
their order, as they were made: a field whose name meant an earlier one, beyond doubt, is that
field.  In one person's casebook this finds every field as it was; after a merge it joins what
each of them had made for himself.  Whoever holds the same entries finds the same fields.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from assistant.casebook.fields import WAYS, suffixes_clash
from assistant.casebook.names import normalise
from assistant.casebook.rows import Field

_Tokens = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """A field entry, an alias entry, or the withdrawal of one, in the order of the journal.

    ``entry`` is what the name hangs on; for a withdrawal, the entry that is taken back.
    ``used`` says that something which stands was done on the field or said of it.
    """

    kind: str
    entry: str
    field_uid: str = ""
    name: str = ""
    slug: str = ""
    stands: bool = True
    used: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Remade:
    """A field as it was made, where it is another now, or has another slug."""

    uid: str
    slug: str
    field_uid: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Fields:
    """The fields, their names as (name, field uid), and what became of those made more than once."""

    fields: tuple[Field, ...]
    names: tuple[tuple[str, str], ...]
    remade: tuple[Remade, ...]


@dataclass(slots=True)
class _Group:
    """Fields that are one: what made them, and what names them now."""

    makers: list[Named] = field(default_factory=list)
    names: list[Named] = field(default_factory=list)

    @property
    def lead(self) -> Named | None:
        """What made the field that stands for all of them: the first that was not taken back."""
        return next((m for m in self.makers if m.stands), next((m for m in self.makers if m.used), None))


def fields_of(journal: Iterable[Named]) -> Fields:
    """The fields that the journal's entries make."""
    groups = _united([g for g in _grouped(journal) if g.lead is not None])
    slugs = _slugs([g.lead for g in groups if g.lead])
    fields, names, remade = [], [], []
    for group in groups:
        lead = group.lead
        assert lead is not None
        now = Field(uid=lead.field_uid, name=lead.name, slug=slugs[lead.field_uid])
        fields.append(now)
        names += [(n.name, now.uid) for n in (lead, *group.names)]
        remade += [
            Remade(uid=m.field_uid, slug=m.slug, field_uid=now.uid)
            for m in group.makers
            if (m.field_uid, m.slug) != (now.uid, now.slug)
        ]
    return Fields(fields=tuple(fields), names=tuple(dict.fromkeys(names)), remade=tuple(remade))


def _grouped(journal: Iterable[Named]) -> list[_Group]:
    groups: dict[str, _Group] = {}
    known = _Known()
    for each in journal:
        if each.kind == "withdrawal":
            known.forget(each.entry)
            continue
        if each.kind == "field":
            met = known.exactly(each.name)
            group = groups[met] if met else _Group()
            groups[each.field_uid] = group
            group.makers.append(each)
        elif each.field_uid in groups:
            group = groups[each.field_uid]
        else:
            continue  # an alias of a field that is nowhere: the check of the file reports it
        if each.stands or (each.kind == "field" and each.used):
            group.names.append(each)
        known.learn(each, group.makers[0].field_uid)
    return list({id(g): g for g in groups.values()}.values())


def _united(groups: Sequence[_Group]) -> list[_Group]:
    """A field that was taken back but is spoken of all the same, and its twin made since, are one."""
    by_name: dict[str, _Group] = {}
    for group in groups:
        assert group.lead is not None
        met = by_name.setdefault(normalise(group.lead.name), group)
        if met is not group:
            met.makers += group.makers
            met.names += group.names
    return list(by_name.values())


def _slugs(leads: Sequence[Named]) -> dict[str, str]:
    """Each field's own slug where it was first to have it, else the next free one."""
    owner: dict[str, str] = {}
    for lead in leads:
        owner.setdefault(lead.slug, lead.field_uid)
    found = {uid: slug for slug, uid in owner.items()}
    for lead in leads:
        if lead.field_uid not in found:
            slug = next(s for s in _numbered(lead.slug) if s not in owner)
            owner[slug] = lead.field_uid
            found[lead.field_uid] = slug
    return found


def _numbered(slug: str) -> Iterator[str]:
    number = 1
    while True:
        number += 1
        yield f"{slug}-{number}"


class _Known:
    """The names that stand at one moment of the journal, found without going through them all."""

    def __init__(self) -> None:
        self._ways: list[defaultdict[_Tokens, dict[str, tuple[_Tokens, str]]]] = [
            defaultdict(dict) for _ in WAYS
        ]
        self._names: dict[str, str] = {}

    def learn(self, named: Named, group: str) -> None:
        tokens = tuple(normalise(named.name).split())
        self._names[named.entry] = named.name
        for way, known in zip(WAYS, self._ways, strict=True):
            known[way(tokens)][named.entry] = (tokens, group)

    def forget(self, entry: str) -> None:
        tokens = tuple(normalise(self._names.pop(entry, "")).split())
        for way, known in zip(WAYS, self._ways, strict=True):
            known[way(tokens)].pop(entry, None)

    def exactly(self, name: str) -> str | None:
        """The one group that the name means, as :func:`assistant.casebook.fields.match` decides it."""
        tokens = tuple(normalise(name).split())
        for way, known in zip(WAYS, self._ways, strict=True):
            near: Mapping[str, tuple[_Tokens, str]] = known.get(way(tokens), {})
            met = {group for other, group in near.values() if not suffixes_clash(other, tokens)}
            if met:
                return met.pop() if len(met) == 1 else None
        return None


__all__ = ["Fields", "Named", "Remade", "fields_of"]
