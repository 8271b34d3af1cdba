"""The tables, as each migration makes them. Statements here are never edited once released.

`entries` is the truth: append-only, guarded by triggers. Everything below it can be worked out
from it again (`verify.py` does), and is kept in the same transaction so that reading is quick.
Times are UTC, ISO 8601, always with six decimals, so that text order is time order.
"""

from __future__ import annotations

M001 = (
    """
    CREATE TABLE entries (
        seq INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE,
        at TEXT NOT NULL,
        logged_at TEXT NOT NULL,
        kind TEXT NOT NULL,
        version INTEGER NOT NULL,
        person TEXT,
        station TEXT NOT NULL,
        data TEXT NOT NULL,
        batch TEXT,
        mold TEXT,
        checksum INTEGER NOT NULL,
        struck_by INTEGER REFERENCES entries (seq)
    ) STRICT
    """,
    "CREATE INDEX entries_at ON entries (at)",
    "CREATE INDEX entries_batch ON entries (batch, seq) WHERE batch IS NOT NULL",
    # What changes a mold, a person or the day's conditions is rare; finding the last is quick.
    """
    CREATE INDEX entries_standing ON entries (kind, mold, seq) WHERE kind IN (
        'mold taken out', 'mold put back', 'mold cared for', 'mold rested',
        'person left', 'person back', 'conditions read', 'shop loaded'
    )
    """,
    """
    CREATE TABLE entry_castings (
        casting TEXT NOT NULL,
        seq INTEGER NOT NULL REFERENCES entries (seq),
        PRIMARY KEY (casting, seq)
    ) STRICT, WITHOUT ROWID
    """,
    """
    CREATE TRIGGER entries_are_kept BEFORE DELETE ON entries BEGIN
        SELECT RAISE(ABORT, 'entries of the log are never deleted');
    END
    """,
    """
    CREATE TRIGGER entries_are_facts BEFORE UPDATE ON entries
    WHEN OLD.struck_by IS NOT NULL OR NEW.struck_by IS NULL
        OR NEW.seq IS NOT OLD.seq OR NEW.id IS NOT OLD.id OR NEW.at IS NOT OLD.at
        OR NEW.logged_at IS NOT OLD.logged_at OR NEW.kind IS NOT OLD.kind
        OR NEW.version IS NOT OLD.version OR NEW.person IS NOT OLD.person
        OR NEW.station IS NOT OLD.station OR NEW.data IS NOT OLD.data
        OR NEW.batch IS NOT OLD.batch OR NEW.mold IS NOT OLD.mold
        OR NEW.checksum IS NOT OLD.checksum
    BEGIN
        SELECT RAISE(ABORT, 'entries of the log are never changed, only struck, and that once');
    END
    """,
    """
    CREATE TRIGGER entry_castings_are_kept BEFORE DELETE ON entry_castings BEGIN
        SELECT RAISE(ABORT, 'entries of the log are never deleted');
    END
    """,
    """
    CREATE TRIGGER entry_castings_are_facts BEFORE UPDATE ON entry_castings BEGIN
        SELECT RAISE(ABORT, 'entries of the log are never changed');
    END
    """,
    "CREATE TABLE shops (digest TEXT PRIMARY KEY, json TEXT NOT NULL) STRICT",
    "CREATE TABLE builds (digest TEXT PRIMARY KEY, json TEXT NOT NULL) STRICT",
    # The last number given out under each prefix, such as '260312-' or 'B260312-'.
    "CREATE TABLE serials (prefix TEXT PRIMARY KEY, last INTEGER NOT NULL) STRICT",
    """
    CREATE TABLE castings (
        serial TEXT PRIMARY KEY,
        mold TEXT NOT NULL,
        piece TEXT NOT NULL,
        order_id TEXT,
        build TEXT NOT NULL,
        begun_seq INTEGER NOT NULL,
        pull_seq INTEGER,
        begun_at TEXT NOT NULL,
        readied_at TEXT,
        first_layer_at TEXT,
        last_layer_at TEXT,
        demolded_at TEXT,
        finished_at TEXT,
        rejected_at TEXT,
        reason TEXT,
        reject_step INTEGER,
        reject_layer INTEGER,
        rework INTEGER NOT NULL,
        flags INTEGER NOT NULL,
        closed INTEGER NOT NULL,
        state TEXT NOT NULL
    ) STRICT
    """,
    "CREATE INDEX castings_open ON castings (begun_seq) WHERE closed = 0",
    "CREATE INDEX castings_mold ON castings (mold, pull_seq)",
    "CREATE INDEX castings_begun ON castings (begun_at)",
    "CREATE INDEX castings_demolded ON castings (demolded_at) WHERE demolded_at IS NOT NULL",
    "CREATE INDEX castings_finished ON castings (finished_at) WHERE finished_at IS NOT NULL",
    "CREATE INDEX castings_rejected ON castings (rejected_at) WHERE rejected_at IS NOT NULL",
    """
    CREATE TABLE batches (
        serial TEXT PRIMARY KEY,
        mix TEXT NOT NULL,
        person TEXT,
        grams REAL NOT NULL,
        begun_seq INTEGER NOT NULL,
        begun_at TEXT NOT NULL,
        wetted_at TEXT,
        made_at TEXT,
        ended_at TEXT,
        lost_at TEXT,
        closed INTEGER NOT NULL,
        state TEXT NOT NULL
    ) STRICT
    """,
    "CREATE INDEX batches_open ON batches (begun_seq) WHERE closed = 0",
    "CREATE INDEX batches_begun ON batches (begun_at)",
    """
    CREATE TABLE molds (
        mold TEXT PRIMARY KEY,
        pulls INTEGER NOT NULL,
        pulls_at_care INTEGER NOT NULL,
        in_service INTEGER,
        rests_until TEXT
    ) STRICT
    """,
    "CREATE TABLE away (person TEXT PRIMARY KEY, since TEXT NOT NULL) STRICT",
    """
    CREATE TABLE conditions (
        one INTEGER PRIMARY KEY CHECK (one = 1), at TEXT NOT NULL, data TEXT NOT NULL
    ) STRICT
    """,
    """
    CREATE TABLE works (
        seq INTEGER NOT NULL,
        place INTEGER NOT NULL,
        kind TEXT NOT NULL,
        casting TEXT,
        number INTEGER NOT NULL,
        step_kind TEXT,
        piece TEXT,
        mold TEXT,
        mix TEXT,
        batch TEXT,
        person TEXT,
        station TEXT NOT NULL,
        begun_at TEXT,
        ended_at TEXT NOT NULL,
        shared_by INTEGER NOT NULL,
        PRIMARY KEY (seq, place)
    ) STRICT, WITHOUT ROWID
    """,
    "CREATE INDEX works_ended ON works (ended_at)",
    """
    CREATE TABLE weighings (
        seq INTEGER PRIMARY KEY,
        batch TEXT NOT NULL,
        mix TEXT,
        material TEXT NOT NULL,
        lot TEXT NOT NULL,
        target_grams REAL NOT NULL,
        grams REAL NOT NULL,
        at TEXT NOT NULL,
        person TEXT
    ) STRICT
    """,
    "CREATE INDEX weighings_at ON weighings (at)",
    """
    CREATE TABLE stock (
        seq INTEGER NOT NULL,
        place INTEGER NOT NULL,
        material TEXT NOT NULL,
        lot TEXT NOT NULL,
        grams REAL NOT NULL,
        kind TEXT NOT NULL,
        at TEXT NOT NULL,
        batch TEXT,
        casting TEXT,
        expires TEXT,
        cost REAL,
        PRIMARY KEY (seq, place)
    ) STRICT, WITHOUT ROWID
    """,
    "CREATE INDEX stock_lot ON stock (material, lot, seq, grams)",
    "CREATE INDEX stock_at ON stock (at)",
    """
    CREATE TABLE readings (
        seq INTEGER PRIMARY KEY,
        kind TEXT NOT NULL,
        casting TEXT NOT NULL,
        piece TEXT NOT NULL,
        mold TEXT NOT NULL,
        value REAL NOT NULL,
        point TEXT NOT NULL,
        at TEXT NOT NULL,
        person TEXT
    ) STRICT
    """,
    "CREATE INDEX readings_at ON readings (at)",
    """
    CREATE TABLE flags (
        seq INTEGER NOT NULL,
        place INTEGER NOT NULL,
        casting TEXT,
        rule TEXT NOT NULL,
        message TEXT NOT NULL,
        seconds REAL NOT NULL,
        at TEXT NOT NULL,
        PRIMARY KEY (seq, place)
    ) STRICT, WITHOUT ROWID
    """,
    "CREATE INDEX flags_at ON flags (at)",
    "CREATE INDEX flags_of_floor ON flags (seq) WHERE casting IS NULL",
)

# The records look for castings by how they stood at a moment, and for those that fill orders.
M002 = (
    "DROP INDEX castings_begun",
    "CREATE INDEX castings_span ON castings (begun_at, closed, finished_at, rejected_at)",
    "DROP INDEX castings_finished",
    """
    CREATE INDEX castings_finished
    ON castings (finished_at, piece, rejected_at, order_id, begun_at, serial)
    WHERE finished_at IS NOT NULL
    """,
)

# Decisions on times are few; finding them must not take reading the log.
M003 = ("CREATE INDEX entries_times ON entries (seq) WHERE kind = 'times decided'",)
