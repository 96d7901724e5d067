-- One row that the server changes to find out whether it can store again after a failed commit.

CREATE TABLE storing_probe (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    tries INTEGER NOT NULL                  -- so that each try changes the page and is written
) STRICT;
INSERT INTO storing_probe VALUES (1, 0);
