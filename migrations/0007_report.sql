-- Report sentences that a teacher writes: the only sentences about a child that are kept, and only until
-- the reports are done.

CREATE TABLE report (
    unit_id INTEGER NOT NULL REFERENCES unit(id) ON DELETE CASCADE,
    pupil_id INTEGER NOT NULL REFERENCES pupil(id) ON DELETE CASCADE,
    text TEXT NOT NULL CHECK (length(text) BETWEEN 1 AND 600),
    by_staff INTEGER NOT NULL REFERENCES staff(id),     -- who wrote last
    on_day INTEGER NOT NULL,
    PRIMARY KEY (pupil_id, unit_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX report_unit ON report(unit_id, pupil_id);
