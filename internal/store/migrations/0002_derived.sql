-- +goose Up
-- What follows from the events. It may be emptied and filled again at any time.

CREATE TABLE outlook ( -- the latest forecast of a jug
    jug  TEXT PRIMARY KEY REFERENCES jug (id),  -- whose it is
    seq  INTEGER NOT NULL,                      -- number of the latest event it knew of
    body TEXT NOT NULL CHECK (json_valid(body)) -- JSON as package estimate writes it
) STRICT;

CREATE TABLE agenda ( -- what a jug wants, and when
    jug      TEXT NOT NULL REFERENCES jug (id), -- which jug
    place    INTEGER NOT NULL,                  -- 0, 1, 2… among the jug's wants
    at_ms    INTEGER NOT NULL,                  -- from when, ms since 1970 UTC
    until_ms INTEGER NOT NULL,                  -- last sensible moment, ms since 1970 UTC; 0: none
    urgency  INTEGER NOT NULL,                  -- higher comes first
    kind     TEXT NOT NULL,                     -- "feed", "rack", …
    what     TEXT NOT NULL,                     -- what to do, one sentence
    why      TEXT NOT NULL,                     -- the reason, one sentence
    PRIMARY KEY (jug, place)
) STRICT;

CREATE INDEX agenda_at ON agenda (at_ms);

PRAGMA user_version = 2;
