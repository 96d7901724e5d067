-- What a class's teacher changed about a challenge after it was set: its dates for that class, or that it
-- was cancelled there. Conventions are those of 0001.

CREATE TABLE challenge_change (                     -- no row: as it was set
    class_id INTEGER NOT NULL,
    challenge_id INTEGER NOT NULL,
    opens_at INTEGER NOT NULL,
    due_at INTEGER NOT NULL,
    closes_at INTEGER NOT NULL,
    cancelled_at INTEGER,                           -- NULL: it goes on
    cancelled_by INTEGER REFERENCES staff(id),
    PRIMARY KEY (class_id, challenge_id),
    FOREIGN KEY (class_id, challenge_id) REFERENCES challenge_class(class_id, challenge_id) ON DELETE CASCADE,
    CHECK (opens_at < due_at AND due_at <= closes_at),
    CHECK ((cancelled_at IS NULL) = (cancelled_by IS NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX challenge_change_challenge ON challenge_change(challenge_id);

CREATE TABLE challenge_was (                        -- how it stood before a change: what was done until then is
    class_id INTEGER NOT NULL,                      -- judged by it; goes when nothing done then can come any more
    challenge_id INTEGER NOT NULL,
    until_at INTEGER NOT NULL,                      -- when it was changed
    opens_at INTEGER NOT NULL,
    due_at INTEGER NOT NULL,
    closes_at INTEGER NOT NULL,
    PRIMARY KEY (class_id, challenge_id, until_at),
    FOREIGN KEY (class_id, challenge_id) REFERENCES challenge_class(class_id, challenge_id) ON DELETE CASCADE
) STRICT, WITHOUT ROWID;

CREATE INDEX challenge_was_until ON challenge_was(until_at);

CREATE TABLE number_past (                          -- of a challenge that is gone: its sheets may lie about
    class_id INTEGER NOT NULL REFERENCES class(id) ON DELETE CASCADE,
    number INTEGER NOT NULL CHECK (number BETWEEN 10 AND 999),
    closes_at INTEGER NOT NULL,
    PRIMARY KEY (class_id, number)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER challenge_number_past BEFORE DELETE ON challenge BEGIN
    INSERT INTO number_past (class_id, number, closes_at)
        SELECT cc.class_id, old.number, coalesce(x.closes_at, old.closes_at) FROM challenge_class cc
        LEFT JOIN challenge_change x ON x.class_id = cc.class_id AND x.challenge_id = cc.challenge_id
        WHERE cc.challenge_id = old.id
        ON CONFLICT DO UPDATE SET closes_at = max(closes_at, excluded.closes_at);
END;

-- The purge lists cancelled challenges too.
CREATE TABLE purge_listed_2 (                       -- what is to go when it is due, and since when that is said
    kind TEXT NOT NULL CHECK (kind IN ('card', 'message', 'leaver', 'hand_in', 'assessment', 'seen', 'lesson_answer',
        'taking_part', 'statement_tick', 'second_view', 'fresh_start', 'report', 'starting_version', 'challenge')),
    a INTEGER NOT NULL,                             -- the row's key
    b INTEGER NOT NULL,                             -- its second half; 0 where the key is one number
    plan_day INTEGER NOT NULL REFERENCES purge_plan(day) ON DELETE CASCADE,  -- the plan that listed it first
    PRIMARY KEY (kind, a, b)
) STRICT, WITHOUT ROWID;
INSERT INTO purge_listed_2 SELECT kind, a, b, plan_day FROM purge_listed;
DROP TABLE purge_listed;
ALTER TABLE purge_listed_2 RENAME TO purge_listed;
CREATE INDEX purge_listed_plan ON purge_listed(plan_day, kind);
