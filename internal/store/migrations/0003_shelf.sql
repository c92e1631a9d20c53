-- +goose Up
-- Lots know what they are called, how they are closed, where they stand; the kitchen knows
-- its empty bottles. All of it follows from the events and is filled in by Open.

DROP TABLE lot;

CREATE TABLE lot ( -- bottles of one filling, size and kind
    jug        TEXT NOT NULL REFERENCES jug (id) DEFERRABLE INITIALLY DEFERRED, -- what they were filled from
    place      INTEGER NOT NULL,                -- 0, 1, 2… among the jug's lots
    bottling   TEXT NOT NULL,                   -- id of the event that filled them
    code       TEXT NOT NULL COLLATE NOCASE,    -- what the lot is called
    at_ms      INTEGER NOT NULL,                -- when they were filled, ms since 1970 UTC
    style      TEXT NOT NULL,                   -- "still", "still and stabilised" or "sparkling"
    size_ml    REAL NOT NULL,                   -- of one bottle, mL, nominal
    kind       TEXT NOT NULL,                   -- kind of bottle
    closure    TEXT NOT NULL,                   -- what it is closed with; "": not told
    part       INTEGER NOT NULL,                -- 1: only part filled
    holds_ml   REAL NOT NULL,                   -- mL in each part bottle; 0: half of its size
    filled     INTEGER NOT NULL,                -- bottles filled
    remain     INTEGER NOT NULL,                -- bottles not yet opened
    stands     TEXT NOT NULL,                   -- where they stand; "": not told
    warmest    REAL NOT NULL,                   -- the warmest it gets there, °C; 0: not told
    PRIMARY KEY (jug, place)
) STRICT;

CREATE INDEX lot_code ON lot (code);

CREATE TABLE empties ( -- bottles of the kitchen that were filled, or came back empty
    jug        TEXT NOT NULL REFERENCES jug (id) DEFERRABLE INITIALLY DEFERRED, -- by which jug's record
    place      INTEGER NOT NULL,                -- 0, 1, 2… among the jug's
    at_ms      INTEGER NOT NULL,                -- when, ms since 1970 UTC
    size_ml    REAL NOT NULL,                   -- of one bottle, mL, nominal
    kind       TEXT NOT NULL,                   -- kind of bottle
    count      INTEGER NOT NULL,                -- negative: filled
    PRIMARY KEY (jug, place)
) STRICT;

CREATE TABLE wine ( -- what the shelf tells of the wine of a jug, worked out when the record changed
    jug        TEXT PRIMARY KEY REFERENCES jug (id), -- whose it is
    body       TEXT NOT NULL CHECK (json_valid(body)) -- JSON as package app writes it
) STRICT;
