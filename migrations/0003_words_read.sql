-- The words of the child's and the family's pages in other languages are machine-made, and say so,
-- until somebody at the school has read them.

ALTER TABLE school ADD COLUMN pl_read INTEGER NOT NULL DEFAULT 0 CHECK (pl_read IN (0, 1));
ALTER TABLE school ADD COLUMN ur_read INTEGER NOT NULL DEFAULT 0 CHECK (ur_read IN (0, 1));
