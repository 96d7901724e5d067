-- What a teacher adds from lessons, a fresh start, a version's own target, a colleague's view.
-- Conventions are those of 0001. Observations are only ever added; the last row holds, and a NULL
-- there means "taken back": not looked, not asked, not said.

CREATE TABLE seen_2 (                               -- a watcher looked for a teaching point
    id INTEGER PRIMARY KEY,
    pupil_id INTEGER NOT NULL REFERENCES pupil(id) ON DELETE CASCADE,
    unit_id INTEGER NOT NULL REFERENCES unit(id),
    cue_id INTEGER NOT NULL REFERENCES cue(id),
    seen INTEGER CHECK (seen IN (0, 1)),            -- 0: looked, not seen; NULL: taken back
    on_day INTEGER NOT NULL,
    by_staff INTEGER NOT NULL REFERENCES staff(id)
) STRICT;
INSERT INTO seen_2 SELECT id, pupil_id, unit_id, cue_id, seen, on_day, by_staff FROM seen;
DROP TABLE seen;
ALTER TABLE seen_2 RENAME TO seen;
CREATE INDEX seen_of ON seen(unit_id, pupil_id, cue_id, id);
CREATE INDEX seen_pupil ON seen(pupil_id);

CREATE TABLE lesson_answer (                        -- a question of an activity, answered in a lesson
    id INTEGER PRIMARY KEY,
    pupil_id INTEGER NOT NULL REFERENCES pupil(id) ON DELETE CASCADE,
    unit_id INTEGER NOT NULL REFERENCES unit(id),
    question_id INTEGER NOT NULL REFERENCES question(id),
    right_answer INTEGER CHECK (right_answer IN (0, 1)),    -- NULL: taken back
    on_day INTEGER NOT NULL,
    by_staff INTEGER NOT NULL REFERENCES staff(id)
) STRICT;
CREATE INDEX lesson_answer_of ON lesson_answer(unit_id, pupil_id, question_id, id);
CREATE INDEX lesson_answer_pupil ON lesson_answer(pupil_id);

CREATE TABLE statement (                            -- ticked from seeing it; never set for home
    id INTEGER PRIMARY KEY,
    area TEXT NOT NULL CHECK (area IN ('swimming', 'end_of_key_stage', 'dance', 'other')),
    position INTEGER NOT NULL CHECK (position BETWEEN 1 AND 40),
    text TEXT NOT NULL CHECK (length(text) BETWEEN 1 AND 200),
    archived_at INTEGER
) STRICT;

CREATE TABLE statement_tick (
    id INTEGER PRIMARY KEY,
    pupil_id INTEGER NOT NULL REFERENCES pupil(id) ON DELETE CASCADE,
    statement_id INTEGER NOT NULL REFERENCES statement(id),
    met INTEGER CHECK (met IN (0, 1)),              -- 0: not yet; NULL: taken back
    on_day INTEGER NOT NULL,
    by_staff INTEGER NOT NULL REFERENCES staff(id)
) STRICT;
CREATE INDEX statement_tick_of ON statement_tick(pupil_id, statement_id, id);
CREATE INDEX statement_tick_statement ON statement_tick(statement_id);

-- England's programme of study for swimming and water safety (key stages 1 and 2), which every
-- school there teaches and reports on at the end of key stage 2; a school elsewhere archives them.
-- Contains public sector information licensed under the Open Government Licence v3.0.
INSERT INTO statement (id, area, position, text) VALUES
    (1, 'swimming', 1, 'Swims competently, confidently and proficiently over a distance of at least 25 metres'),
    (2, 'swimming', 2, 'Uses a range of strokes effectively'),
    (3, 'swimming', 3, 'Performs safe self-rescue in different water-based situations');

CREATE TABLE fresh_start (                          -- bests and gains count from that day on
    pupil_id INTEGER PRIMARY KEY REFERENCES pupil(id) ON DELETE CASCADE,
    from_day INTEGER NOT NULL,
    by_staff INTEGER NOT NULL REFERENCES staff(id),
    set_day INTEGER NOT NULL
) STRICT;

CREATE TABLE own_target (                           -- of a version without band lines: met, nearly, not yet
    version_id INTEGER PRIMARY KEY REFERENCES version(id) ON DELETE CASCADE,
    value INTEGER NOT NULL
) STRICT;

CREATE TABLE second_view (                          -- a colleague assesses without seeing the first
    id INTEGER PRIMARY KEY,
    unit_id INTEGER NOT NULL REFERENCES unit(id),
    pupil_id INTEGER NOT NULL REFERENCES pupil(id) ON DELETE CASCADE,
    asked_of INTEGER NOT NULL REFERENCES staff(id),
    asked_by INTEGER NOT NULL REFERENCES staff(id),
    asked_day INTEGER NOT NULL,
    band INTEGER CHECK (band BETWEEN 0 AND 5),      -- NULL: not given yet
    given_day INTEGER,
    first_band INTEGER CHECK (first_band BETWEEN 0 AND 5),  -- the assessment that held when they agreed
    agreed_band INTEGER CHECK (agreed_band BETWEEN 0 AND 5),
    agreed_by INTEGER REFERENCES staff(id),
    agreed_day INTEGER,
    UNIQUE (unit_id, pupil_id, asked_of),
    CHECK (asked_of <> asked_by),
    CHECK ((band IS NULL) = (given_day IS NULL)),
    CHECK ((agreed_band IS NULL) = (agreed_day IS NULL)),
    CHECK (agreed_band IS NULL OR (band IS NOT NULL AND first_band IS NOT NULL))
) STRICT;
CREATE INDEX second_view_asked ON second_view(asked_of, unit_id);
CREATE INDEX second_view_pupil ON second_view(pupil_id);

-- Off until the school turns them on; single_bands has been there from the start.
ALTER TABLE school ADD COLUMN distance_estimates INTEGER NOT NULL DEFAULT 0
    CHECK (distance_estimates IN (0, 1));           -- what another distance would likely give
ALTER TABLE school ADD COLUMN class_figures INTEGER NOT NULL DEFAULT 0
    CHECK (class_figures IN (0, 1));                -- ICC, typical error, kappa as numbers
