-- A sheet typed wrongly is set aside for what it is. Nothing refers to hand_in_mark, so it can be
-- made anew with one more reason in its CHECK.

CREATE TABLE hand_in_mark_new (                     -- what was done about a hand-in; the last one holds
    id INTEGER PRIMARY KEY,
    hand_in_seq INTEGER NOT NULL REFERENCES hand_in(seq) ON DELETE CASCADE,
    mark TEXT NOT NULL CHECK (mark IN ('mistake', 'keep', 'set_aside', 'ask_again')),
    reason TEXT CHECK (reason IN ('child_says', 'not_possible', 'wrong_child', 'entered_twice', 'not_as_set',
        'other_evidence', 'mistyped')),
    by_staff INTEGER REFERENCES staff(id),          -- NULL: the child
    at INTEGER NOT NULL,
    CHECK ((mark = 'mistake') = (by_staff IS NULL)),
    CHECK ((mark = 'set_aside') = (reason IS NOT NULL))
) STRICT;
INSERT INTO hand_in_mark_new (id, hand_in_seq, mark, reason, by_staff, at)
    SELECT id, hand_in_seq, mark, reason, by_staff, at FROM hand_in_mark;
DROP TABLE hand_in_mark;
ALTER TABLE hand_in_mark_new RENAME TO hand_in_mark;
CREATE INDEX hand_in_mark_of ON hand_in_mark(hand_in_seq, id, mark);
