-- +goose Up
-- What cannot be computed again.

CREATE TABLE jug ( -- a jug, from the day it was made; its columns follow from its events
    id        TEXT PRIMARY KEY,                 -- as the events name it
    name      TEXT NOT NULL COLLATE NOCASE,     -- as its maker calls it now
    made_ms   INTEGER NOT NULL,                 -- when it was made, ms since 1970 UTC
    seq       INTEGER NOT NULL,                 -- number of its latest event
    withdrawn INTEGER NOT NULL DEFAULT 0,       -- 1: it is to count as never made
    emptied   INTEGER NOT NULL DEFAULT 0        -- 1: bottled to the last
) STRICT;

-- Of the jugs that stand full, no two have one name.
CREATE UNIQUE INDEX jug_name ON jug (name) WHERE withdrawn = 0 AND emptied = 0;

CREATE TABLE event ( -- what was done and seen; never changed
    id          TEXT PRIMARY KEY,               -- made by the program that wrote it
    jug         TEXT NOT NULL REFERENCES jug (id) DEFERRABLE INITIALLY DEFERRED, -- whose it is
    seq         INTEGER NOT NULL CHECK (seq > 0), -- 1, 2, 3… within the jug, in order of writing
    at_ms       INTEGER NOT NULL,               -- when it happened, ms since 1970 UTC
    recorded_ms INTEGER NOT NULL,               -- when it was written down, ms since 1970 UTC
    kind        TEXT NOT NULL,                  -- "made", "looked", …
    body        TEXT NOT NULL CHECK (json_valid(body)), -- JSON as package batch writes it, units named there
    UNIQUE (jug, seq)
) STRICT;

-- +goose StatementBegin
CREATE TRIGGER event_is_not_changed BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never changed: record a correction'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER event_is_not_deleted BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never deleted: record a withdrawal'); END;
-- +goose StatementEnd

CREATE TABLE kept ( -- what a person keeps by name beside the jugs
    drawer TEXT NOT NULL,                       -- "vessel", "ingredient", "plan" or "setting"
    name   TEXT NOT NULL COLLATE NOCASE,        -- as its owner calls it
    body   TEXT NOT NULL CHECK (json_valid(body)), -- JSON as its owner in the program writes it
    PRIMARY KEY (drawer, name)
) STRICT;

-- 'Skep' in ASCII tells the file from other people's databases. (user_version is set by
-- Open, once what follows from the events has been filled in.)
PRAGMA application_id = 1399547248;
