-- Nothing is deleted by surprise. A purge takes a row only where a plan stored at least 14 days before
-- listed it, where the school has been used on five days since, and where the clock may be believed.

CREATE TABLE purge_plan (                           -- one a day at most
    day INTEGER PRIMARY KEY,                        -- made on
    listed INTEGER NOT NULL CHECK (listed >= 0),    -- rows that stood listed then; messages are not counted
    listed_before INTEGER CHECK (listed_before >= 0),   -- the same of the plan before; NULL: there was none
    waits INTEGER NOT NULL CHECK (waits IN (0, 1))  -- more than twice the one before; the office has not said yes
) STRICT;

CREATE TABLE purge_listed (                         -- what is to go when it is due, and since when that is said
    kind TEXT NOT NULL CHECK (kind IN ('card', 'message', 'leaver', 'hand_in', 'assessment', 'seen', 'lesson_answer',
        'taking_part', 'statement_tick', 'second_view', 'fresh_start', 'report', 'starting_version')),
    a INTEGER NOT NULL,                             -- the row's key
    b INTEGER NOT NULL,                             -- its second half; 0 where the key is one number
    plan_day INTEGER NOT NULL REFERENCES purge_plan(day) ON DELETE CASCADE,  -- the plan that listed it first
    PRIMARY KEY (kind, a, b)
) STRICT, WITHOUT ROWID;
CREATE INDEX purge_listed_plan ON purge_listed(plan_day, kind);

CREATE TABLE use_day (                              -- somebody signed in or sent tries; who is not kept
    day INTEGER PRIMARY KEY
) STRICT;

CREATE TABLE upkeep (                               -- one row: what was last done for the data
    id INTEGER PRIMARY KEY CHECK (id = 1),
    purged_day INTEGER,                             -- the purge ran, on a clock that could be believed
    backup_day INTEGER,                             -- thrice backup wrote and checked a copy
    confirmed_at INTEGER,                           -- the office said that the clock shows the right date
    confirmed_boot_ms INTEGER,                      -- the machine's running time then
    known_at INTEGER,                               -- the newest instant that was stored then
    CHECK ((confirmed_at IS NULL) = (confirmed_boot_ms IS NULL))
) STRICT;
INSERT INTO upkeep (id, purged_day) SELECT 1, max(at) / 86400 FROM audit WHERE action = 'purged';  -- by universal time
