-- +goose Up
-- What follows from the events. It may be emptied and filled again at any time.

CREATE TABLE lot ( -- bottles of one filling, size and kind
    jug      TEXT NOT NULL REFERENCES jug (id) DEFERRABLE INITIALLY DEFERRED, -- what they were filled from
    place    INTEGER NOT NULL,                  -- 0, 1, 2… among the jug's lots
    bottling TEXT NOT NULL,                     -- id of the event that filled them
    at_ms    INTEGER NOT NULL,                  -- when they were filled, ms since 1970 UTC
    style    TEXT NOT NULL,                     -- "still", "still and stabilised" or "sparkling"
    size_ml  REAL NOT NULL,                     -- of one bottle, mL, nominal
    kind     TEXT NOT NULL,                     -- kind of bottle
    part     INTEGER NOT NULL,                  -- 1: only part filled
    filled   INTEGER NOT NULL,                  -- bottles filled
    remain   INTEGER NOT NULL,                  -- bottles not yet opened
    PRIMARY KEY (jug, place)
) STRICT;

CREATE TABLE outlook ( -- the latest forecast of a jug
    jug   TEXT PRIMARY KEY REFERENCES jug (id), -- whose it is
    seq   INTEGER NOT NULL,                     -- number of the latest event it knew of
    model TEXT NOT NULL,                        -- version of the model that made it
    body  TEXT NOT NULL CHECK (json_valid(body)) -- JSON as package estimate writes it
) STRICT;

CREATE TABLE agenda ( -- what a jug wants, and when
    jug      TEXT NOT NULL REFERENCES jug (id), -- which jug
    place    INTEGER NOT NULL,                  -- 0, 1, 2… among the jug's wants
    at_ms    INTEGER NOT NULL,                  -- from when, ms since 1970 UTC
    until_ms INTEGER NOT NULL,                  -- until when, ms since 1970 UTC; the largest number: no end
    urgency  INTEGER NOT NULL,                  -- higher comes first
    kind     TEXT NOT NULL,                     -- "look", "feed", …
    what     TEXT NOT NULL,                     -- what to do, one sentence
    why      TEXT NOT NULL,                     -- the reason, one sentence
    PRIMARY KEY (jug, place)
) STRICT;

CREATE INDEX agenda_at ON agenda (at_ms);
