-- Two persons agree before anybody gains a way to read children's messages. A right on the staff's side
-- is a row of its own; whether a second person has agreed to it stands beside it, so that a right taken
-- away and given again is agreed to again. What was there before this migration is agreed to.

ALTER TABLE staff ADD COLUMN unagreed_at INTEGER;          -- let in by one person alone since then: a passphrase
    -- issued, a disabled account enabled. Until a second person agrees it reads no message and accepts nothing
ALTER TABLE staff_right ADD COLUMN agreed_at INTEGER;      -- safeguarding: reads messages from then on; office: may accept
ALTER TABLE staff_right ADD COLUMN opened_at INTEGER;      -- safeguarding: messages from before then are open as well
ALTER TABLE class_right ADD COLUMN agreed_at INTEGER;      -- teach: reads messages of the class from then on
ALTER TABLE class_right ADD COLUMN agreed_until_day INTEGER;  -- last day that was agreed to; NULL: as long as the right
ALTER TABLE class_right ADD COLUMN opened_at INTEGER;      -- messages from before then, of children in the class by then
ALTER TABLE message ADD COLUMN class_id INTEGER REFERENCES class(id) ON DELETE SET NULL;  -- the child's class when it was
    -- sent: whom the child was told about. NULL: sent before this was kept
ALTER TABLE school ADD COLUMN two_persons_at INTEGER;      -- since then there has been a second person who may accept

UPDATE staff_right SET agreed_at = unixepoch(), opened_at = unixepoch() WHERE right IN ('safeguarding', 'office');
UPDATE class_right SET agreed_at = unixepoch(), agreed_until_day = until_day, opened_at = unixepoch() WHERE right = 'teach';
UPDATE school SET two_persons_at = unixepoch()
    WHERE (SELECT count(DISTINCT staff_id) FROM staff_right WHERE right IN ('safeguarding', 'office')) > 1;

CREATE TABLE pending_change (                       -- what one asked and a second has to accept within 7 days
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL CHECK (kind IN ('safeguarding', 'office', 'teach', 'reset', 'enabled', 'older')),
    staff_id INTEGER NOT NULL REFERENCES staff(id) ON DELETE CASCADE,   -- whom it concerns
    class_id INTEGER REFERENCES class(id) ON DELETE CASCADE,            -- teach; older: NULL for all classes
    until_day INTEGER,                              -- teach: the last day asked for
    asked_by INTEGER REFERENCES staff(id),          -- NULL: the command line
    asked_at INTEGER NOT NULL,
    outcome TEXT CHECK (outcome IN ('accepted', 'declined', 'withdrawn', 'machine')),  -- NULL: waits, or has lapsed
    decided_by INTEGER REFERENCES staff(id),
    decided_at INTEGER,
    older INTEGER NOT NULL DEFAULT 0 CHECK (older IN (0, 1)),   -- accepted with the messages from before
    CHECK ((outcome IS NULL) = (decided_at IS NULL)),
    CHECK (kind <> 'teach' OR class_id IS NOT NULL),
    CHECK (outcome <> 'accepted' OR (decided_by <> staff_id AND decided_by <> asked_by))
) STRICT;
CREATE INDEX pending_change_staff ON pending_change(staff_id, outcome, asked_at);
CREATE INDEX pending_change_waiting ON pending_change(asked_at) WHERE outcome IS NULL;
