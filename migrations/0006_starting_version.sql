-- The version that a chosen child is offered first in one challenge. Set by staff; why is neither asked
-- nor kept, and it holds for that challenge alone, so that nothing is said about the child.

CREATE TABLE starting_version (
    challenge_id INTEGER NOT NULL REFERENCES challenge(id) ON DELETE CASCADE,
    pupil_id INTEGER NOT NULL REFERENCES pupil(id) ON DELETE CASCADE,
    kind TEXT NOT NULL CHECK (kind IN ('quiet', 'seated', 'no_kit')),   -- no row: standard
    PRIMARY KEY (pupil_id, challenge_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX starting_version_challenge ON starting_version(challenge_id);
