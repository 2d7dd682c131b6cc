"""What was derived from an entry: stored beside it, stamped, replaced whole."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from itertools import groupby
from operator import itemgetter
from typing import Any

from sqlite_utils import Database

from assistant.casebook.errors import BadEntry
from assistant.casebook.journal import live_entry
from assistant.casebook.rows import Answer, Derived, Entry
from assistant.casebook.showing import forget
from assistant.casebook.values import day, fact_of, fact_row, from_json, to_json
from rules.model import Earlier, Fact


def derive(
    db: Database, entry_uid: str, knowledge: str, answer: Mapping[str, object], scenes: Sequence[Derived]
) -> None:
    """Stores an answer with its facts and decisions in place of whatever was derived before."""
    if not knowledge:
        raise BadEntry("An answer is stored with the hash of the knowledge that gave it; there was none.")
    entry = live_entry(db, entry_uid)
    forget(db, entry_uid)
    stored = {"entry_uid": entry_uid, "knowledge": knowledge, "answer": to_json(dict(answer))}
    db.table("answers").insert(stored)
    imported = bool(entry.body.get("imported"))
    for number, scene in enumerate(scenes):
        db.table("decisions").insert(_decision_row(entry_uid, number, scene, imported))
        rows = [fact_row(entry_uid, number, place, fact) for place, fact in enumerate(scene.facts)]
        if rows:
            db.table("facts").insert_all(rows)


def answer_of(db: Database, entry_uid: str) -> Answer | None:
    """The answer that was given to an entry, or None while it has none."""
    for row in list(db.query("SELECT * FROM answers WHERE entry_uid = ?", [entry_uid])):
        return Answer(**{**row, "answer": from_json(row["answer"])})
    return None


def scenes_of(db: Database, entry_uid: str) -> tuple[Derived, ...]:
    """What :func:`derive` stored, a :class:`Derived` for each field that the entry speaks of."""
    facts: dict[int, list[Fact]] = {}
    sql = "SELECT * FROM facts WHERE entry_uid = ? ORDER BY scene, place"
    for row in list(db.query(sql, [entry_uid])):
        facts.setdefault(row["scene"], []).append(fact_of(row))
    rows = list(db.query("SELECT * FROM decisions WHERE entry_uid = ? ORDER BY scene", [entry_uid]))
    return tuple(_scene(row, tuple(facts.get(row["scene"], ()))) for row in rows)


def not_derived(db: Database, knowledge: str | None) -> tuple[str, ...]:
    """The uids of the notes without an answer, or, given a hash, without one from that knowledge."""
    sql = """
        SELECT e.uid FROM live_entries e LEFT JOIN answers a ON a.entry_uid = e.uid
        WHERE e.kind = 'note' AND (a.entry_uid IS NULL OR a.knowledge <> coalesce(:knowledge, a.knowledge))
        ORDER BY e.seq
    """
    return tuple(row["uid"] for row in db.query(sql, {"knowledge": knowledge}))


def earlier_facts(db: Database, case_id: str, than: Entry) -> tuple[Earlier, ...]:
    """What the notes of a case said before an entry, oldest first, each on the day it speaks of."""
    sql = """
        SELECT e.about, e.seq, f.* FROM facts f
        JOIN live_entries e ON e.uid = f.entry_uid
        JOIN decisions d ON d.entry_uid = f.entry_uid AND d.scene = f.scene
        WHERE d.case_id = :case AND (e.about, e.seq) < (:about, :seq)
        ORDER BY e.about, e.seq, f.scene, f.place
    """
    rows = list(db.query(sql, {"case": case_id, "about": than.about.isoformat(), "seq": than.seq}))
    return tuple(
        Earlier(on=date.fromisoformat(about), facts=tuple(fact_of(row) for row in group))
        for (about, _), group in groupby(rows, key=itemgetter("about", "seq"))
    )


def _scene(row: Mapping[str, Any], facts: tuple[Fact, ...]) -> Derived:
    return Derived(
        field_uid=row["field_uid"],
        case_id=row["case_id"],
        facts=facts,
        action=row["action"],
        spray_by=day(row["spray_by"]),
        rescout_on=day(row["rescout_on"]),
        lead=row["lead"],
        standing=row["standing"],
        stage=row["stage"],
        visit=bool(row["visit"]),
    )


def _decision_row(entry_uid: str, number: int, scene: Derived, imported: bool) -> dict[str, object]:
    return {
        "entry_uid": entry_uid,
        "scene": number,
        "case_id": scene.case_id,
        "field_uid": scene.field_uid,
        "action": str(scene.action) if scene.action else None,
        "spray_by": scene.spray_by.isoformat() if scene.spray_by else None,
        "rescout_on": scene.rescout_on.isoformat() if scene.rescout_on else None,
        "lead": scene.lead,
        "standing": str(scene.standing) if scene.standing else None,
        "stage": scene.stage,
        "visit": int(scene.visit),
        "imported": int(imported),
    }
