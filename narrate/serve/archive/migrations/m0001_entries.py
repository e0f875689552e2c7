"""The chain of entries, its head, and the locks that keep both from being changed by mistake.

The triggers let through one change of an entry only: its content and salt go, all else stays. They guard against
slips; against intent there are the hashes.
"""

from __future__ import annotations

from narrate.serve.archive.migrations.migration import Migration

_COLUMNS = """(
  seq {number} PRIMARY KEY,
  kind TEXT NOT NULL,
  about TEXT NOT NULL,
  made_at TEXT NOT NULL,
  salt TEXT,
  content TEXT,
  content_hash TEXT NOT NULL,
  previous TEXT NOT NULL,
  hash TEXT NOT NULL
)"""
_SAME = " AND ".join(
    f"NEW.{name} = OLD.{name}" for name in ("seq", "kind", "about", "made_at", "content_hash", "previous", "hash")
)
_FORGETS = f"NEW.content IS NULL AND NEW.salt IS NULL AND {_SAME}"

ENTRIES = Migration(
    number=1,
    name="entries",
    sqlite=(
        "PRAGMA application_id = 1851880050",  # "narr" in ASCII: by it a book is told from other databases
        f"CREATE TABLE entries {_COLUMNS.format(number='INTEGER')}",
        "CREATE INDEX entries_about ON entries (about, kind, seq)",
        "CREATE TABLE head (id INTEGER PRIMARY KEY, seq INTEGER NOT NULL, hash TEXT NOT NULL)",
        f"""CREATE TRIGGER entries_stay BEFORE UPDATE ON entries WHEN NOT ({_FORGETS})
BEGIN SELECT RAISE(ABORT, 'an entry of the book is never changed'); END""",
        """CREATE TRIGGER entries_last BEFORE DELETE ON entries
BEGIN SELECT RAISE(ABORT, 'an entry of the book is never taken out'); END""",
    ),
    postgresql=(
        f"CREATE TABLE entries {_COLUMNS.format(number='BIGINT')}",
        "CREATE INDEX entries_about ON entries (about, kind, seq)",
        "CREATE TABLE head (id INTEGER PRIMARY KEY, seq BIGINT NOT NULL, hash TEXT NOT NULL)",
        f"""CREATE FUNCTION entries_stay() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF TG_OP = 'UPDATE' THEN
    IF {_FORGETS} THEN RETURN NEW; END IF;
    RAISE EXCEPTION 'an entry of the book is never changed';
  END IF;
  RAISE EXCEPTION 'an entry of the book is never taken out';
END $$""",
        "CREATE TRIGGER entries_stay BEFORE UPDATE OR DELETE ON entries FOR EACH ROW EXECUTE FUNCTION entries_stay()",
        "CREATE TRIGGER entries_last BEFORE TRUNCATE ON entries EXECUTE FUNCTION entries_stay()",
    ),
)
