-- A mark made in a hall without a connection arrives later, perhaps twice, perhaps after a newer one
-- of somebody else: it has an id of its own, and of two marks the one said last holds.

CREATE TABLE seen_3 (                               -- a watcher looked for a teaching point
    id INTEGER PRIMARY KEY,
    pupil_id INTEGER NOT NULL REFERENCES pupil(id) ON DELETE CASCADE,
    unit_id INTEGER NOT NULL REFERENCES unit(id),
    cue_id INTEGER NOT NULL REFERENCES cue(id),
    seen INTEGER CHECK (seen IN (0, 1)),            -- 0: looked, not seen; NULL: taken back
    on_day INTEGER NOT NULL,
    by_staff INTEGER NOT NULL REFERENCES staff(id),
    said_at INTEGER NOT NULL,                       -- when it was tapped, by the server's clock
    mark_id BLOB CHECK (length(mark_id) = 16)       -- the device's UUID; NULL: said while connected
) STRICT;
INSERT INTO seen_3
    SELECT id, pupil_id, unit_id, cue_id, seen, on_day, by_staff, on_day * 86400, NULL FROM seen;
DROP TABLE seen;
ALTER TABLE seen_3 RENAME TO seen;
CREATE INDEX seen_of ON seen(unit_id, pupil_id, cue_id, said_at, id);
CREATE INDEX seen_pupil ON seen(pupil_id);
CREATE UNIQUE INDEX seen_mark ON seen(mark_id) WHERE mark_id IS NOT NULL;
