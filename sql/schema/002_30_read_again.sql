-- After an import was taken out, files of other imports that had said the same picks are let in again.

ALTER TABLE import_file ADD COLUMN read_again INTEGER NOT NULL DEFAULT 0 -- 1 when picks it also had left with another import: the same file may come in again
    CONSTRAINT import_file_read_again_is_0_or_1 CHECK (read_again IN (0, 1));
