-- The whole school: who, what is set, what came in, what was decided.
--
-- Conventions. `id` is a random 62-bit integer (opaque outside); `_at` is Unix seconds UTC; `_day`
-- is days since 1970-01-01 in the school's time zone; `_mm`, `_ms` are the unit. Nothing here is
-- held that the job does not need: no birth date, address, e-mail, photograph, sex, ethnicity or
-- need; no network address; no free text by or about a pupil. No JSON function in a CHECK: the schema is
-- not trusted (SQLite 3.40 then calls json_valid unsafe).

CREATE TABLE school (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 80),
    time_zone TEXT NOT NULL,                        -- IANA name
    origin TEXT,                                    -- public address, e.g. https://pe.example; NULL: loopback
    away_phone TEXT NOT NULL DEFAULT '',            -- school's own words: whom to tell when school is closed
    safeguarding_contact TEXT NOT NULL DEFAULT '',  -- how the designated lead is reached; amber while empty
    dpia_done_day INTEGER,                          -- data protection impact assessment; amber while NULL
    single_bands INTEGER NOT NULL DEFAULT 0 CHECK (single_bands IN (0, 1)),  -- bands on single challenges
    created_at INTEGER NOT NULL
) STRICT;

CREATE TABLE term (                                 -- "school day" means Monday to Friday inside one
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 40),
    starts_day INTEGER NOT NULL,
    ends_day INTEGER NOT NULL CHECK (ends_day >= starts_day)
) STRICT;

CREATE TABLE closed_day (                           -- a school day that is none: half-term, training
    day INTEGER PRIMARY KEY
) STRICT;

CREATE TABLE band_word (                            -- the school's own scale, lowest first
    band INTEGER PRIMARY KEY CHECK (band BETWEEN 0 AND 5),
    word TEXT NOT NULL CHECK (length(word) BETWEEN 1 AND 60)
) STRICT;

-- People ---------------------------------------------------------------------------------------

CREATE TABLE staff (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 60),
    name_key TEXT NOT NULL UNIQUE,                  -- case-folded: what sign-in looks up
    passphrase_hash TEXT NOT NULL,                  -- Argon2id, libsodium's string
    must_change INTEGER NOT NULL DEFAULT 0 CHECK (must_change IN (0, 1)),  -- issued by the office
    created_at INTEGER NOT NULL,
    disabled_at INTEGER
) STRICT;

CREATE TABLE staff_right (
    staff_id INTEGER NOT NULL REFERENCES staff(id) ON DELETE CASCADE,
    right TEXT NOT NULL CHECK (right IN ('pe_lead', 'safeguarding', 'office')),
    PRIMARY KEY (staff_id, right)
) STRICT, WITHOUT ROWID;

CREATE TABLE class (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 40),
    name_key TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('class', 'group')),  -- group: a teaching group across classes
    created_at INTEGER NOT NULL,
    archived_at INTEGER
) STRICT;
CREATE UNIQUE INDEX class_name ON class(name_key) WHERE archived_at IS NULL;

CREATE TABLE class_right (
    class_id INTEGER NOT NULL REFERENCES class(id) ON DELETE CASCADE,
    staff_id INTEGER NOT NULL REFERENCES staff(id) ON DELETE CASCADE,
    right TEXT NOT NULL CHECK (right IN ('teach', 'help', 'read')),
    until_day INTEGER,                              -- last day it holds; NULL: until taken away
    PRIMARY KEY (class_id, staff_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX class_right_staff ON class_right(staff_id, class_id, right, until_day);

CREATE TABLE message_reader (                       -- two or more named: messages are on for the class
    class_id INTEGER NOT NULL REFERENCES class(id) ON DELETE CASCADE,
    staff_id INTEGER NOT NULL REFERENCES staff(id) ON DELETE CASCADE,
    PRIMARY KEY (class_id, staff_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE pupil (
    id INTEGER PRIMARY KEY,
    display_name TEXT NOT NULL CHECK (length(display_name) BETWEEN 1 AND 40),
    name_key TEXT NOT NULL,                         -- case-folded, for duplicates and order
    year_group INTEGER CHECK (year_group BETWEEN 0 AND 7),   -- 0 is Reception; NULL: not said
    picture INTEGER NOT NULL CHECK (picture BETWEEN 0 AND 23), -- one of 24 drawings, on the child's cards
    family_view TEXT NOT NULL DEFAULT 'open' CHECK (family_view IN ('open', 'two_part', 'off')),
    family_phrase_hash TEXT,                        -- two_part: Argon2id of the phrase told by telephone
    created_at INTEGER NOT NULL,
    left_day INTEGER                                -- leaver: cards end, data goes by the purge plan
) STRICT;

CREATE TABLE membership (
    pupil_id INTEGER NOT NULL REFERENCES pupil(id) ON DELETE CASCADE,
    class_id INTEGER NOT NULL REFERENCES class(id) ON DELETE CASCADE,
    from_day INTEGER NOT NULL,
    to_day INTEGER CHECK (to_day IS NULL OR to_day >= from_day),   -- last day in; NULL: still in
    PRIMARY KEY (pupil_id, class_id, from_day)
) STRICT, WITHOUT ROWID;
CREATE INDEX membership_class ON membership(class_id, to_day, pupil_id, from_day);

CREATE TABLE card (
    id INTEGER PRIMARY KEY,
    pupil_id INTEGER NOT NULL REFERENCES pupil(id) ON DELETE CASCADE,
    holder TEXT NOT NULL CHECK (holder IN ('pupil', 'family')),    -- who it is for
    label TEXT NOT NULL CHECK (label IN ('home', 'other_home', 'school', 'card_1', 'card_2', 'card_3')),
    code_mac BLOB NOT NULL UNIQUE CHECK (length(code_mac) = 32),   -- keyed hash of the typed code
    key_hash BLOB NOT NULL UNIQUE CHECK (length(key_hash) = 32),   -- hash of the QR's 128 bits
    made_day INTEGER NOT NULL,
    made_by INTEGER REFERENCES staff(id),           -- NULL: the command line
    expires_at INTEGER,                             -- family: 31 August
    last_used_day INTEGER,                          -- a day, never a time
    cancelled_at INTEGER
) STRICT;
CREATE INDEX card_pupil ON card(pupil_id, holder, cancelled_at);

CREATE TABLE session (
    id INTEGER PRIMARY KEY,
    token_hash BLOB NOT NULL UNIQUE CHECK (length(token_hash) = 32),
    role TEXT NOT NULL CHECK (role IN ('pupil', 'carer', 'staff')),
    staff_id INTEGER REFERENCES staff(id) ON DELETE CASCADE,
    started_at INTEGER NOT NULL,
    seen_at INTEGER NOT NULL,                       -- written at most once a minute
    proved_at INTEGER NOT NULL,                     -- last time the passphrase was given
    CHECK ((role = 'staff') = (staff_id IS NOT NULL))
) STRICT;
CREATE INDEX session_staff ON session(staff_id, started_at);
CREATE INDEX session_seen ON session(seen_at);

CREATE TABLE session_card (                         -- pupil: one; carer: one a child opened
    session_id INTEGER NOT NULL REFERENCES session(id) ON DELETE CASCADE,
    card_id INTEGER NOT NULL REFERENCES card(id) ON DELETE CASCADE,
    PRIMARY KEY (session_id, card_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX session_card_card ON session_card(card_id);

-- The plan -------------------------------------------------------------------------------------

CREATE TABLE unit (                                 -- a unit of work, assessed at its end
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 80),
    statistic TEXT NOT NULL DEFAULT 'middle' CHECK (statistic IN ('middle', 'best', 'mean')),
    policy TEXT NOT NULL DEFAULT 'majority' CHECK (policy IN ('weakest', 'majority', 'all_of')),
    pooling TEXT NOT NULL DEFAULT 'unit' CHECK (pooling IN ('unit', 'latest')),  -- which hand-ins count
    created_at INTEGER NOT NULL,
    archived_at INTEGER
) STRICT;

CREATE TABLE lesson (
    id INTEGER PRIMARY KEY,
    unit_id INTEGER NOT NULL REFERENCES unit(id) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position BETWEEN 1 AND 40),
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 80),
    UNIQUE (unit_id, position)
) STRICT;

CREATE TABLE activity (
    id INTEGER PRIMARY KEY,
    copied_from INTEGER REFERENCES activity(id),
    created_at INTEGER NOT NULL,
    archived_at INTEGER
) STRICT;

CREATE TABLE lesson_activity (
    lesson_id INTEGER NOT NULL REFERENCES lesson(id) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position BETWEEN 1 AND 12),
    activity_id INTEGER NOT NULL REFERENCES activity(id),
    PRIMARY KEY (lesson_id, position)
) STRICT, WITHOUT ROWID;
CREATE INDEX lesson_activity_activity ON lesson_activity(activity_id);

CREATE TABLE revision (                             -- one state of an activity; never changed
    id INTEGER PRIMARY KEY,
    activity_id INTEGER NOT NULL REFERENCES activity(id),
    number INTEGER NOT NULL CHECK (number >= 1),
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 60),
    strand TEXT NOT NULL CHECK (strand IN ('target', 'striking', 'catching', 'balance', 'travelling', 'skipping', 'dance')),
    kind TEXT NOT NULL CHECK (kind IN ('zones', 'successes', 'timed_count', 'measure')),
    unit TEXT NOT NULL CHECK (unit IN ('points', 'count', 'ms', 'mm')),  -- of a value
    attempts INTEGER NOT NULL CHECK (attempts BETWEEN 1 AND 5),
    throws INTEGER CHECK (throws BETWEEN 1 AND 20),         -- zones, successes: goes in one attempt
    cap INTEGER CHECK (cap BETWEEN 1 AND 100),              -- successes: objects not set up again
    seconds INTEGER CHECK (seconds BETWEEN 5 AND 600),      -- timed_count: how long
    lower_is_better INTEGER NOT NULL DEFAULT 0 CHECK (lower_is_better IN (0, 1)),  -- measure
    resolution INTEGER NOT NULL DEFAULT 1 CHECK (resolution BETWEEN 1 AND 100000), -- in the unit
    hard_low INTEGER, hard_high INTEGER,                    -- outside: impossible
    soft_low INTEGER, soft_high INTEGER,                    -- outside: ask once
    reference_mm INTEGER CHECK (reference_mm BETWEEN 500 AND 30000),  -- reference distance; NULL: none
    summary TEXT NOT NULL CHECK (length(summary) <= 300),
    set_up TEXT NOT NULL CHECK (length(set_up) <= 600),
    scoring TEXT NOT NULL CHECK (length(scoring) <= 600),
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES staff(id),
    UNIQUE (activity_id, number),
    CHECK ((kind IN ('zones', 'successes')) = (throws IS NOT NULL)),
    CHECK ((kind = 'timed_count') = (seconds IS NOT NULL)),
    CHECK (kind = 'successes' OR cap IS NULL),
    CHECK ((kind = 'zones') = (unit = 'points')),
    CHECK ((kind = 'measure') = (unit IN ('ms', 'mm')))
) STRICT;

CREATE TABLE version (                              -- a way of doing it; never mixed on one line
    id INTEGER PRIMARY KEY,
    revision_id INTEGER NOT NULL REFERENCES revision(id) ON DELETE CASCADE,
    kind TEXT NOT NULL CHECK (kind IN ('standard', 'quiet', 'seated', 'no_kit')),
    how TEXT NOT NULL CHECK (length(how) <= 600),
    UNIQUE (revision_id, kind)
) STRICT;

CREATE TABLE band_line (                            -- lowest score that reaches the band
    version_id INTEGER NOT NULL REFERENCES version(id) ON DELETE CASCADE,
    band INTEGER NOT NULL CHECK (band BETWEEN 1 AND 5),
    value INTEGER NOT NULL,
    PRIMARY KEY (version_id, band)
) STRICT, WITHOUT ROWID;

CREATE TABLE distance (                             -- the distances a child may choose
    revision_id INTEGER NOT NULL REFERENCES revision(id) ON DELETE CASCADE,
    distance_mm INTEGER NOT NULL CHECK (distance_mm BETWEEN 500 AND 30000),
    PRIMARY KEY (revision_id, distance_mm)
) STRICT, WITHOUT ROWID;

CREATE TABLE zone (                                 -- kind zones: first match wins; a miss is a zone of 0
    revision_id INTEGER NOT NULL REFERENCES revision(id) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position BETWEEN 1 AND 6),
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 40),
    points INTEGER NOT NULL CHECK (points BETWEEN 0 AND 20),
    x1_mm INTEGER, x2_mm INTEGER,                   -- sideways from the aiming point; NULL: not said
    y1_mm INTEGER, y2_mm INTEGER,                   -- up, or long
    PRIMARY KEY (revision_id, position)
) STRICT, WITHOUT ROWID;

CREATE TABLE target (                               -- what a home may use to aim at, each with a size
    id INTEGER PRIMARY KEY,
    revision_id INTEGER NOT NULL REFERENCES revision(id) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position BETWEEN 1 AND 8),
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 60),
    size_mm INTEGER CHECK (size_mm BETWEEN 10 AND 5000),
    UNIQUE (revision_id, position)
) STRICT;

CREATE TABLE cue (                                  -- teaching point: something a watcher can see
    id INTEGER PRIMARY KEY,
    revision_id INTEGER NOT NULL REFERENCES revision(id) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position BETWEEN 1 AND 8),
    text TEXT NOT NULL CHECK (length(text) BETWEEN 1 AND 120),
    UNIQUE (revision_id, position)
) STRICT;

CREATE TABLE question (
    id INTEGER PRIMARY KEY,
    revision_id INTEGER NOT NULL REFERENCES revision(id) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position BETWEEN 1 AND 3),
    text TEXT NOT NULL CHECK (length(text) BETWEEN 1 AND 200),
    UNIQUE (revision_id, position)
) STRICT;

CREATE TABLE choice (                               -- an answer to choose
    id INTEGER PRIMARY KEY,
    question_id INTEGER NOT NULL REFERENCES question(id) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position BETWEEN 1 AND 5),
    text TEXT NOT NULL CHECK (length(text) BETWEEN 1 AND 120),
    is_right INTEGER NOT NULL CHECK (is_right IN (0, 1)),
    UNIQUE (question_id, position)
) STRICT;

CREATE TABLE safety_line (
    revision_id INTEGER NOT NULL REFERENCES revision(id) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position BETWEEN 1 AND 8),
    text TEXT NOT NULL CHECK (length(text) BETWEEN 1 AND 160),
    PRIMARY KEY (revision_id, position)
) STRICT, WITHOUT ROWID;

CREATE TABLE kit (
    id INTEGER PRIMARY KEY,
    revision_id INTEGER NOT NULL REFERENCES revision(id) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position BETWEEN 1 AND 8),
    item TEXT NOT NULL CHECK (length(item) BETWEEN 1 AND 80),
    swap TEXT NOT NULL CHECK (length(swap) <= 120),        -- household swap, may be empty
    UNIQUE (revision_id, position)
) STRICT;

CREATE TABLE step (                                 -- easier and harder by what is changed
    revision_id INTEGER NOT NULL REFERENCES revision(id) ON DELETE CASCADE,
    change TEXT NOT NULL CHECK (change IN ('space', 'task', 'equipment', 'people')),
    easier TEXT NOT NULL CHECK (length(easier) <= 200),
    harder TEXT NOT NULL CHECK (length(harder) <= 200),
    PRIMARY KEY (revision_id, change)
) STRICT, WITHOUT ROWID;

CREATE TABLE challenge (                            -- an activity set to classes
    id INTEGER PRIMARY KEY,
    revision_id INTEGER NOT NULL REFERENCES revision(id),
    unit_id INTEGER NOT NULL REFERENCES unit(id),
    number INTEGER NOT NULL CHECK (number BETWEEN 10 AND 999),  -- printed; unique in each class
    opens_at INTEGER NOT NULL,
    due_at INTEGER NOT NULL,
    closes_at INTEGER NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES staff(id),
    CHECK (opens_at < due_at AND due_at <= closes_at)
) STRICT;
CREATE INDEX challenge_unit ON challenge(unit_id);
CREATE INDEX challenge_revision ON challenge(revision_id);

CREATE TABLE challenge_class (
    class_id INTEGER NOT NULL REFERENCES class(id) ON DELETE CASCADE,
    challenge_id INTEGER NOT NULL REFERENCES challenge(id) ON DELETE CASCADE,
    PRIMARY KEY (class_id, challenge_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX challenge_class_challenge ON challenge_class(challenge_id);

-- What came in ---------------------------------------------------------------------------------

CREATE TABLE hand_in (                              -- never changed once stored (triggers below)
    seq INTEGER PRIMARY KEY,
    id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),        -- UUID made by the client
    pupil_id INTEGER NOT NULL REFERENCES pupil(id) ON DELETE CASCADE,
    challenge_id INTEGER NOT NULL REFERENCES challenge(id),
    version_id INTEGER NOT NULL REFERENCES version(id),
    channel TEXT NOT NULL CHECK (channel IN ('web', 'quick', 'paper', 'staff')),
    entered_by INTEGER REFERENCES staff(id),        -- on a child's behalf
    received_at INTEGER NOT NULL,
    done_day INTEGER NOT NULL,
    after_date INTEGER NOT NULL CHECK (after_date IN (0, 1)),
    could_not TEXT CHECK (could_not IN ('no_space', 'no_kit', 'no_device', 'no_grown_up', 'not_today')),
    best INTEGER,                                   -- best value of its whole attempts; NULL: none
    best_distance_mm INTEGER,                       -- where that best was made
    felt TEXT CHECK (felt IN ('too_easy', 'about_right', 'too_hard')),
    target_id INTEGER REFERENCES target(id),
    kit_id INTEGER REFERENCES kit(id),
    place TEXT CHECK (place IN ('home', 'school', 'elsewhere')),
    counted_by TEXT CHECK (counted_by IN ('self', 'helper')),
    confirmed INTEGER NOT NULL CHECK (confirmed IN (0, 1)),
    surprising INTEGER NOT NULL CHECK (surprising IN (0, 1)),  -- waits for a check
    content_hash BLOB NOT NULL CHECK (length(content_hash) = 32),  -- same id, same content?
    CHECK ((channel IN ('paper', 'staff')) = (entered_by IS NOT NULL))
) STRICT;
CREATE INDEX hand_in_cell ON hand_in(challenge_id, pupil_id, seq, version_id, after_date, channel, could_not, best, surprising);
CREATE INDEX hand_in_pupil ON hand_in(pupil_id, challenge_id, received_at);

CREATE TABLE attempt (
    hand_in_seq INTEGER NOT NULL REFERENCES hand_in(seq) ON DELETE CASCADE,
    n INTEGER NOT NULL CHECK (n BETWEEN 1 AND 5),
    value INTEGER NOT NULL,                         -- in the activity's unit
    throws TEXT CHECK (throws GLOB '[[][0-9]*]' AND throws NOT GLOB '*[^][0-9,]*'),  -- points of each throw, as made: '[2,0,5]'
    distance_mm INTEGER CHECK (distance_mm BETWEEN 500 AND 30000),
    tries_used INTEGER CHECK (tries_used BETWEEN 1 AND 100),
    part INTEGER NOT NULL CHECK (part IN (0, 1)),   -- fewer throws than asked: evidence, no best
    PRIMARY KEY (hand_in_seq, n)
) STRICT, WITHOUT ROWID;

CREATE TABLE hand_in_cue (                          -- "which points I did"
    hand_in_seq INTEGER NOT NULL REFERENCES hand_in(seq) ON DELETE CASCADE,
    cue_id INTEGER NOT NULL REFERENCES cue(id),
    PRIMARY KEY (hand_in_seq, cue_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE hand_in_answer (
    hand_in_seq INTEGER NOT NULL REFERENCES hand_in(seq) ON DELETE CASCADE,
    question_id INTEGER NOT NULL REFERENCES question(id),
    choice_id INTEGER NOT NULL REFERENCES choice(id),
    PRIMARY KEY (hand_in_seq, question_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE hand_in_mark (                         -- what was done about a hand-in; the last one holds
    id INTEGER PRIMARY KEY,
    hand_in_seq INTEGER NOT NULL REFERENCES hand_in(seq) ON DELETE CASCADE,
    mark TEXT NOT NULL CHECK (mark IN ('mistake', 'keep', 'set_aside', 'ask_again')),
    reason TEXT CHECK (reason IN ('child_says', 'not_possible', 'wrong_child', 'entered_twice', 'not_as_set', 'other_evidence')),
    by_staff INTEGER REFERENCES staff(id),          -- NULL: the child
    at INTEGER NOT NULL,
    CHECK ((mark = 'mistake') = (by_staff IS NULL)),
    CHECK ((mark = 'set_aside') = (reason IS NOT NULL))
) STRICT;
CREATE INDEX hand_in_mark_of ON hand_in_mark(hand_in_seq, id, mark);

CREATE TRIGGER hand_in_stays BEFORE UPDATE ON hand_in
BEGIN SELECT raise(ABORT, 'a hand-in is never changed'); END;
CREATE TRIGGER attempt_stays BEFORE UPDATE ON attempt
BEGIN SELECT raise(ABORT, 'an attempt is never changed'); END;

-- What was seen and decided --------------------------------------------------------------------

CREATE TABLE seen (                                 -- a watcher looked for a teaching point
    id INTEGER PRIMARY KEY,
    pupil_id INTEGER NOT NULL REFERENCES pupil(id) ON DELETE CASCADE,
    unit_id INTEGER NOT NULL REFERENCES unit(id),
    cue_id INTEGER NOT NULL REFERENCES cue(id),
    seen INTEGER NOT NULL CHECK (seen IN (0, 1)),   -- 0: looked, not seen; no row: not looked
    on_day INTEGER NOT NULL,
    by_staff INTEGER NOT NULL REFERENCES staff(id)
) STRICT;
CREATE INDEX seen_of ON seen(unit_id, pupil_id, cue_id, id);
CREATE INDEX seen_pupil ON seen(pupil_id);

CREATE TABLE taking_part (                          -- recorded from lessons, never from hand-ins
    pupil_id INTEGER NOT NULL REFERENCES pupil(id) ON DELETE CASCADE,
    unit_id INTEGER NOT NULL REFERENCES unit(id),
    band INTEGER NOT NULL CHECK (band BETWEEN 0 AND 5),
    by_staff INTEGER NOT NULL REFERENCES staff(id),
    on_day INTEGER NOT NULL,
    PRIMARY KEY (pupil_id, unit_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE assessment (                           -- the last row of (unit, pupil) holds
    id INTEGER PRIMARY KEY,
    unit_id INTEGER NOT NULL REFERENCES unit(id),
    pupil_id INTEGER NOT NULL REFERENCES pupil(id) ON DELETE CASCADE,
    band INTEGER NOT NULL CHECK (band BETWEEN 0 AND 5),
    in_bulk INTEGER NOT NULL CHECK (in_bulk IN (0, 1)),
    reason TEXT CHECK (reason IN ('seen_in_lessons', 'tries_were_not_typical', 'kit_or_space', 'support_given', 'other_evidence')),
    suggested_band INTEGER CHECK (suggested_band BETWEEN 0 AND 5),  -- as shown when it was decided
    suggested_label TEXT CHECK (suggested_label IN ('sure', 'fairly', 'leaning', 'not_enough')),
    suggestion TEXT CHECK (suggestion GLOB '{*}'),      -- JSON: the whole of it, with reasons
    by_staff INTEGER NOT NULL REFERENCES staff(id),
    at INTEGER NOT NULL,
    shared_at INTEGER                               -- families may see it from then
) STRICT;
CREATE INDEX assessment_of ON assessment(unit_id, pupil_id, id);
CREATE INDEX assessment_pupil ON assessment(pupil_id, unit_id, id);

-- Messages: seen by few, kept shortest ---------------------------------------------------------

CREATE TABLE message (
    id INTEGER PRIMARY KEY,
    pupil_id INTEGER NOT NULL REFERENCES pupil(id) ON DELETE CASCADE,
    about TEXT NOT NULL CHECK (about IN ('hurt', 'unsafe', 'talk')),
    body_part TEXT CHECK (body_part IN ('head', 'arm', 'leg', 'tummy', 'elsewhere')),
    still INTEGER CHECK (still IN (0, 1)),          -- it still hurts
    raised_at INTEGER NOT NULL,
    CHECK (about = 'hurt' OR (body_part IS NULL AND still IS NULL))
) STRICT;
CREATE INDEX message_pupil ON message(pupil_id, raised_at);

CREATE TABLE message_acknowledgement (
    message_id INTEGER PRIMARY KEY REFERENCES message(id) ON DELETE CASCADE,
    by_staff INTEGER NOT NULL REFERENCES staff(id),
    at INTEGER NOT NULL,
    outcome TEXT NOT NULL CHECK (outcome IN ('acknowledged', 'passed_on', 'recorded_elsewhere'))
) STRICT;

-- Who did what (ids only; chained so that a change shows) --------------------------------------

CREATE TABLE audit (
    seq INTEGER PRIMARY KEY,
    at INTEGER NOT NULL,
    actor TEXT NOT NULL,                            -- 'staff:ID', 'pupil:ID', 'carer', 'office box'
    action TEXT NOT NULL,                           -- e.g. 'card made', 'messages read'
    object TEXT NOT NULL,                           -- e.g. 'pupil:ID', 'class:ID'
    code TEXT NOT NULL DEFAULT '',                  -- fixed word from a list
    mac BLOB NOT NULL CHECK (length(mac) = 32)      -- HMAC(audit key, previous mac || row)
) STRICT;
CREATE TRIGGER audit_stays BEFORE UPDATE ON audit
BEGIN SELECT raise(ABORT, 'audit rows stay'); END;
CREATE TRIGGER audit_kept BEFORE DELETE ON audit
BEGIN SELECT raise(ABORT, 'audit rows stay'); END;
