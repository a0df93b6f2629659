"""The ledger's tables, as numbered steps from one version to the next.

A step is a row of statements that are carried out whole or not at all. Steps are only ever
added; what a step has once created is changed by a later one.
"""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["APPLICATION_ID", "MIGRATIONS"]

APPLICATION_ID = 0x4F42_4C47
"""``OBLG``, in the file's header: an Overbend ledger."""

_FIRST = (
    """
    CREATE TABLE boards (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        uid TEXT NOT NULL UNIQUE,
        species TEXT NOT NULL,
        length REAL NOT NULL CHECK (length > 0),
        width REAL NOT NULL CHECK (width > 0),
        thickness REAL NOT NULL CHECK (thickness > 0),
        dried TEXT NOT NULL CHECK (dried IN ('', 'kiln', 'air', 'green')),
        moisture REAL CHECK (moisture >= 0),
        place TEXT NOT NULL,
        in_on TEXT NOT NULL,
        out_on TEXT NOT NULL,
        cost REAL CHECK (cost >= 0),
        note TEXT NOT NULL
    )
    """,
    """
    CREATE TABLE forms (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        uid TEXT NOT NULL UNIQUE,
        name TEXT NOT NULL,
        side TEXT NOT NULL CHECK (side IN ('concave', 'convex')),
        radius REAL CHECK (radius > 0),
        chord REAL CHECK (chord > 0),
        rise REAL CHECK (rise >= 0),
        made_on TEXT NOT NULL,
        gone_on TEXT NOT NULL,
        note TEXT NOT NULL
    )
    """,
    """
    CREATE TABLE clamps (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        uid TEXT NOT NULL UNIQUE,
        name TEXT NOT NULL,
        count INTEGER NOT NULL CHECK (count >= 1),
        opening REAL NOT NULL CHECK (opening > 0),
        force REAL NOT NULL CHECK (force > 0),
        note TEXT NOT NULL
    )
    """,
    """
    CREATE TABLE adhesives (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        uid TEXT NOT NULL UNIQUE,
        kind TEXT NOT NULL,
        name TEXT NOT NULL,
        grams REAL CHECK (grams >= 0),
        bought_on TEXT NOT NULL,
        use_by TEXT NOT NULL,
        note TEXT NOT NULL
    )
    """,
    """
    CREATE TABLE trial_bends (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        uid TEXT NOT NULL UNIQUE,
        species TEXT NOT NULL,
        treatment TEXT NOT NULL CHECK (treatment IN ('cold', 'steam', 'soak-steam')),
        steam_minutes REAL CHECK (steam_minutes >= 0),
        soak_hours REAL CHECK (soak_hours >= 0),
        dried TEXT NOT NULL CHECK (dried IN ('', 'kiln', 'air', 'green')),
        moisture REAL CHECK (moisture >= 0),
        grain_slope REAL NOT NULL CHECK (grain_slope BETWEEN 0 AND 1),
        thickness REAL NOT NULL CHECK (thickness > 0),
        plies INTEGER NOT NULL CHECK (plies >= 1),
        form_radius REAL NOT NULL CHECK (form_radius > 0),
        side TEXT NOT NULL CHECK (side IN ('concave', 'convex')),
        strap INTEGER NOT NULL CHECK (strap IN (0, 1)),
        broken INTEGER NOT NULL CHECK (broken IN (0, 1)),
        bent_on TEXT NOT NULL,
        run TEXT NOT NULL,
        board TEXT REFERENCES boards (uid),
        form TEXT REFERENCES forms (uid),
        who TEXT NOT NULL,
        note TEXT NOT NULL
    )
    """,
    """
    CREATE TABLE measurements (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        trial INTEGER NOT NULL REFERENCES trial_bends (id) ON DELETE CASCADE,
        after_hours REAL NOT NULL CHECK (after_hours >= 0),
        radius REAL CHECK (radius > 0),
        chord REAL CHECK (chord > 0),
        rise REAL CHECK (rise >= 0),
        past_half INTEGER NOT NULL CHECK (past_half IN (0, 1)),
        points TEXT,
        error REAL CHECK (error > 0),
        CHECK ((radius IS NOT NULL) + (chord IS NOT NULL) + (points IS NOT NULL) = 1),
        CHECK ((chord IS NULL) = (rise IS NULL))
    )
    """,
    "CREATE INDEX measurements_of_trial ON measurements (trial)",
    """
    CREATE TABLE builds (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        uid TEXT NOT NULL UNIQUE,
        project TEXT NOT NULL,
        fingerprint TEXT NOT NULL,
        pieces INTEGER NOT NULL CHECK (pieces >= 1),
        started_on TEXT NOT NULL,
        finished_on TEXT NOT NULL,
        hours REAL CHECK (hours >= 0),
        note TEXT NOT NULL
    )
    """,
)

_RUNS = (
    """
    CREATE TABLE runs (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        uid TEXT NOT NULL UNIQUE,
        project TEXT NOT NULL,
        piece TEXT NOT NULL,
        fingerprint TEXT NOT NULL,
        begun_at REAL NOT NULL CHECK (begun_at >= 0),
        plan TEXT NOT NULL
    )
    """,
    """
    CREATE TABLE run_events (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        run INTEGER NOT NULL REFERENCES runs (id) ON DELETE CASCADE,
        uid TEXT NOT NULL,
        at REAL NOT NULL CHECK (at >= 0),
        what TEXT NOT NULL CHECK (what IN ('tick', 'cracked', 'note', 'back')),
        step TEXT NOT NULL,
        text TEXT NOT NULL,
        who TEXT NOT NULL,
        UNIQUE (run, uid)
    )
    """,
)

_RACK = (
    "ALTER TABLE boards ADD COLUMN name TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE boards ADD COLUMN surfaced INTEGER NOT NULL DEFAULT 0 CHECK (surfaced IN (0, 1))",
    "ALTER TABLE boards ADD COLUMN defects TEXT NOT NULL DEFAULT '[]'",
    "ALTER TABLE boards ADD COLUMN off_cut_of TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE boards ADD COLUMN cut_from TEXT REFERENCES boards (uid)",
    """
    CREATE TABLE cuts (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        uid TEXT NOT NULL UNIQUE,
        project TEXT NOT NULL,
        fingerprint TEXT NOT NULL,
        cut_on TEXT NOT NULL,
        used TEXT NOT NULL,
        kept TEXT NOT NULL,
        note TEXT NOT NULL
    )
    """,
)

MIGRATIONS: Sequence[Sequence[str]] = (_FIRST, _RUNS, _RACK)
"""Step n leads from version n to version n + 1; a new file stands at version 0."""
