"""The tables and views of a casebook, one migration a change.  A migration that was released is never edited.

The journal (``entries``) is all that matters; every other table can be emptied and made again from it.
"""

from __future__ import annotations

from sqlite_utils import Database, Migrations

#: Written into the head of the file, so that it can be told from any other ("earl" in ASCII).
APPLICATION_ID = 0x6561726C

migrations = Migrations("earleaf")

_TABLES = """
-- What was said and done, word for word, in the order it was stored. Nothing here is ever changed.
CREATE TABLE entries (
    uid TEXT PRIMARY KEY NOT NULL,
    seq INTEGER NOT NULL UNIQUE,      -- the order in this file
    author TEXT NOT NULL,
    made_at TEXT NOT NULL,            -- UTC, ISO 8601 with offset
    about TEXT NOT NULL,              -- the day it speaks of, YYYY-MM-DD
    kind TEXT NOT NULL,
    body TEXT NOT NULL,               -- JSON
    case_id TEXT,
    field_uid TEXT,
    refers_to TEXT REFERENCES entries(uid) DEFERRABLE INITIALLY DEFERRED
);
CREATE INDEX entries_refers_to ON entries(refers_to);
CREATE INDEX entries_case_id ON entries(case_id);
CREATE INDEX entries_field_uid ON entries(field_uid);
CREATE TRIGGER entries_never_edited BEFORE UPDATE ON entries
BEGIN SELECT RAISE(ABORT, 'the journal is never edited: add a correction'); END;
CREATE TRIGGER entries_never_deleted BEFORE DELETE ON entries
BEGIN SELECT RAISE(ABORT, 'nothing is deleted from the journal: add a withdrawal'); END;

-- Made from the journal's field and alias entries.
CREATE TABLE fields (
    uid TEXT PRIMARY KEY NOT NULL,
    name TEXT NOT NULL,
    slug TEXT NOT NULL UNIQUE         -- what the field's case ids begin with
);
CREATE TABLE field_names (
    normalised TEXT NOT NULL,
    name TEXT NOT NULL,
    field_uid TEXT NOT NULL,
    PRIMARY KEY (normalised, field_uid)
);

-- Derived from the notes, stamped with the knowledge that derived them.
CREATE TABLE answers (
    entry_uid TEXT PRIMARY KEY NOT NULL REFERENCES entries(uid),
    knowledge TEXT NOT NULL,
    answer TEXT NOT NULL              -- JSON
);
CREATE TABLE facts (
    entry_uid TEXT NOT NULL REFERENCES entries(uid),
    scene INTEGER NOT NULL,           -- which of the fields that the note speaks of, from 0
    place INTEGER NOT NULL,           -- its place among the scene's facts, from 0
    attribute TEXT NOT NULL,
    value TEXT NOT NULL,              -- JSON; a range is [low, high], a date {"date": "YYYY-MM-DD"}
    unit TEXT,
    status TEXT NOT NULL,             -- present, absent, not_checked, cannot_tell
    hedged INTEGER NOT NULL,
    approx INTEGER NOT NULL,
    derived INTEGER NOT NULL,
    relation TEXT,
    at TEXT NOT NULL,                 -- JSON: [[attribute, value], ...], where on the plant
    span_start INTEGER NOT NULL,
    span_end INTEGER NOT NULL,
    text TEXT NOT NULL,               -- the words
    PRIMARY KEY (entry_uid, scene, place)
);
CREATE TABLE decisions (
    entry_uid TEXT NOT NULL REFERENCES entries(uid),
    scene INTEGER NOT NULL,
    case_id TEXT,
    field_uid TEXT,
    action TEXT,                      -- NULL where there was nothing to decide
    spray_by TEXT,
    rescout_on TEXT,
    lead TEXT,                        -- the first disorder of the differential
    standing TEXT,
    stage TEXT,
    visit INTEGER NOT NULL,           -- 0: a price, a plan, an invoice
    imported INTEGER NOT NULL,        -- 1: an old note, brought in; it opens no rescout
    PRIMARY KEY (entry_uid, scene)
);
CREATE INDEX decisions_case_id ON decisions(case_id);
CREATE INDEX decisions_field_uid ON decisions(field_uid);
"""

_VIEWS = """
-- Entries that stand: not withdrawn, nor hanging on one that was.
CREATE VIEW live_entries AS
SELECT e.* FROM entries e
WHERE e.kind <> 'withdrawal'
  AND NOT EXISTS (SELECT 1 FROM entries w WHERE w.kind = 'withdrawal' AND w.refers_to = e.uid)
  AND NOT (e.kind = 'correction' AND EXISTS
           (SELECT 1 FROM entries w WHERE w.kind = 'withdrawal' AND w.refers_to = e.refers_to));

-- The words that stand: the latest correction's, else the entry's own.
CREATE VIEW texts AS
SELECT e.uid AS entry_uid,
       coalesce((SELECT json_extract(c.body, '$.text') FROM live_entries c
                 WHERE c.kind = 'correction' AND c.refers_to = e.uid ORDER BY c.seq DESC LIMIT 1),
                json_extract(e.body, '$.text'), '') AS text
FROM live_entries e WHERE e.kind <> 'correction';

-- Each time that a field was looked at, or that something was done to it.
CREATE VIEW visits AS
SELECT e.about, e.seq, d.scene, e.uid AS entry_uid, d.case_id, d.field_uid, d.action, d.spray_by,
       d.rescout_on, d.lead, d.standing, d.stage, d.imported
FROM live_entries e JOIN decisions d ON d.entry_uid = e.uid
WHERE d.visit AND d.case_id IS NOT NULL
UNION ALL
SELECT e.about, e.seq, 0, e.uid, e.case_id, e.field_uid, NULL, NULL, NULL, NULL, NULL, NULL, 0
FROM live_entries e WHERE e.kind IN ('spray', 'outcome') AND e.case_id IS NOT NULL;

-- What waits, by each case's latest visit; whether the season is over is for the reader to see.
CREATE VIEW open_rescouts AS
SELECT v.case_id, f.name AS field, v.about AS noted_on, v.action, v.spray_by, v.rescout_on,
       v.lead, v.standing, v.stage
FROM (SELECT *, row_number() OVER (PARTITION BY case_id ORDER BY about DESC, seq DESC, scene DESC) AS place
      FROM visits) v
LEFT JOIN fields f ON f.uid = v.field_uid
WHERE v.place = 1 AND NOT v.imported AND (v.spray_by IS NOT NULL OR v.rescout_on IS NOT NULL)
ORDER BY coalesce(v.spray_by, '9999'), coalesce(v.rescout_on, '9999'), v.case_id;

CREATE VIEW season AS
SELECT e.about AS "date", f.name AS field, coalesce(d.case_id, e.case_id) AS case_id, e.kind, d.stage,
       d.lead AS found, d.standing, d.action AS decision, d.spray_by, d.rescout_on, t.text, e.author
FROM live_entries e
LEFT JOIN decisions d ON d.entry_uid = e.uid
LEFT JOIN fields f ON f.uid = coalesce(d.field_uid, e.field_uid)
LEFT JOIN texts t ON t.entry_uid = e.uid
WHERE e.kind IN ('note', 'spray', 'lab_result', 'sample', 'outcome')
ORDER BY e.about, e.seq, d.scene;

CREATE VIEW field_history AS
SELECT field, "date", kind, stage, found, standing, decision, spray_by, rescout_on, text, author
FROM season WHERE field IS NOT NULL ORDER BY field, "date";
"""

_MERGING = """
-- Its number in the casebook where it was made: keeps notes of one moment in their order everywhere.
DROP TRIGGER entries_never_edited;
ALTER TABLE entries ADD COLUMN made_as INTEGER NOT NULL DEFAULT 0;
UPDATE entries SET made_as = seq;
-- The place in this file (seq) is no part of what was said: merging puts everybody's entries in one order.
CREATE TRIGGER entries_never_edited
BEFORE UPDATE OF uid, author, made_at, about, kind, body, case_id, field_uid, refers_to, made_as ON entries
BEGIN SELECT RAISE(ABORT, 'the journal is never edited: add a correction'); END;
CREATE INDEX entries_about ON entries(about);
CREATE INDEX entries_kind ON entries(kind, about);

-- Fields that were made more than once, or whose slug was taken: as made, and the field that each is now.
CREATE TABLE made_fields (
    uid TEXT PRIMARY KEY NOT NULL,
    slug TEXT NOT NULL,
    field_uid TEXT NOT NULL
);
-- Entries that name such a field, with the field and the case that they belong to now.
CREATE TABLE moved (
    entry_uid TEXT PRIMARY KEY NOT NULL REFERENCES entries(uid),
    case_id TEXT,
    field_uid TEXT
);
CREATE INDEX moved_case_id ON moved(case_id);
CREATE INDEX moved_field_uid ON moved(field_uid);

DROP VIEW live_entries;
CREATE VIEW live_entries AS
SELECT e.uid, e.seq, e.author, e.made_at, e.about, e.kind, e.body, coalesce(m.case_id, e.case_id) AS case_id,
       coalesce(m.field_uid, e.field_uid) AS field_uid, e.refers_to, e.made_as
FROM entries e LEFT JOIN moved m ON m.entry_uid = e.uid
WHERE e.kind <> 'withdrawal'
  AND NOT EXISTS (SELECT 1 FROM entries w WHERE w.kind = 'withdrawal' AND w.refers_to = e.uid)
  AND NOT (e.kind = 'correction' AND EXISTS
           (SELECT 1 FROM entries w WHERE w.kind = 'withdrawal' AND w.refers_to = e.refers_to));

DROP VIEW season;
CREATE VIEW season AS
SELECT e.about AS "date", f.name AS field, coalesce(d.case_id, e.case_id) AS case_id, e.kind, d.stage,
       d.lead AS found, d.standing, d.action AS decision, d.spray_by, d.rescout_on, t.text, e.author
FROM live_entries e
LEFT JOIN decisions d ON d.entry_uid = e.uid
LEFT JOIN fields f ON f.uid = coalesce(d.field_uid, e.field_uid)
LEFT JOIN texts t ON t.entry_uid = e.uid
WHERE e.kind IN ('note', 'spray', 'lab_result', 'sample', 'outcome', 'photograph')
ORDER BY e.about, e.seq, d.scene;
"""


@migrations()
def m001_initial(db: Database) -> None:
    """The journal, the fields, and what is derived."""
    db.executescript(_TABLES)
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")


@migrations()
def m002_views(db: Database) -> None:
    """What a person opens in any SQLite tool."""
    db.executescript(_VIEWS)


@migrations()
def m003_merging(db: Database) -> None:
    """Casebooks of several people in one: one order, one field for each name."""
    db.executescript(_MERGING)


#: The version that this program writes, kept in the file's ``user_version``: how many migrations it knows.
VERSION = 3
