-- Facts, in the order of their coming. Neither changed nor deleted.
CREATE TABLE facts (
  arrival   INTEGER PRIMARY KEY,
  id        BLOB NOT NULL UNIQUE CHECK (length(id) = 32),
  stream    BLOB NOT NULL CHECK (length(stream) = 16),
  kind      TEXT NOT NULL,
  envelope  BLOB NOT NULL,
  signature BLOB NOT NULL CHECK (length(signature) = 64),
  -- The first eight bytes of SHA-256 over envelope and signature.
  sum       BLOB NOT NULL CHECK (length(sum) = 8)
) STRICT;
CREATE INDEX facts_of_stream ON facts (stream);

CREATE TRIGGER facts_stay BEFORE DELETE ON facts
BEGIN SELECT RAISE(ABORT, 'facts are not deleted'); END;
CREATE TRIGGER facts_do_not_change BEFORE UPDATE ON facts
BEGIN SELECT RAISE(ABORT, 'facts are not changed'); END;
CREATE TRIGGER facts_come_once BEFORE INSERT ON facts
WHEN EXISTS (SELECT 1 FROM facts WHERE id = NEW.id)
  OR NEW.arrival IS NOT 1 + coalesce((SELECT max(arrival) FROM facts), 0)
BEGIN SELECT RAISE(ABORT, 'facts come once, each after the last'); END;

-- What was recorded, beside its envelope so that it can be dropped.
CREATE TABLE payloads (
  arrival INTEGER PRIMARY KEY REFERENCES facts (arrival),
  bytes   BLOB NOT NULL
) STRICT;

-- Which facts an erasure names, whether they are here or not.
CREATE TABLE erasures (
  target BLOB NOT NULL CHECK (length(target) = 32),
  by     INTEGER NOT NULL REFERENCES facts (arrival),
  PRIMARY KEY (target, by)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER payloads_stay BEFORE DELETE ON payloads
WHEN NOT EXISTS (
  SELECT 1 FROM facts AS target
  JOIN erasures ON erasures.target = target.id
  JOIN facts AS erasing ON erasing.arrival = erasures.by
  WHERE target.arrival = OLD.arrival AND target.stream = erasing.stream AND target.kind <> 'erased'
)
BEGIN SELECT RAISE(ABORT, 'a payload is dropped only when a fact says so'); END;
CREATE TRIGGER payloads_do_not_change BEFORE UPDATE ON payloads
BEGIN SELECT RAISE(ABORT, 'payloads are not changed'); END;
CREATE TRIGGER payloads_come_once BEFORE INSERT ON payloads
WHEN EXISTS (SELECT 1 FROM payloads WHERE arrival = NEW.arrival)
BEGIN SELECT RAISE(ABORT, 'a payload comes once'); END;

CREATE TRIGGER erasures_stay BEFORE DELETE ON erasures
BEGIN SELECT RAISE(ABORT, 'erasures are not deleted'); END;
CREATE TRIGGER erasures_do_not_change BEFORE UPDATE ON erasures
BEGIN SELECT RAISE(ABORT, 'erasures are not changed'); END;
CREATE TRIGGER erasures_are_facts BEFORE INSERT ON erasures
WHEN NOT EXISTS (SELECT 1 FROM facts WHERE arrival = NEW.by AND kind = 'erased')
BEGIN SELECT RAISE(ABORT, 'only a fact erases'); END;

-- Which originals the payloads that are here name.
CREATE TABLE named (
  digest BLOB NOT NULL CHECK (length(digest) = 32),
  fact   INTEGER NOT NULL REFERENCES facts (arrival),
  PRIMARY KEY (digest, fact)
) STRICT, WITHOUT ROWID;

-- Runs of arrival numbers that are safe at the office. Every other fact waits for its receipt; so an
-- append has nothing to write here, and receipts that come in order are one row.
CREATE TABLE safe (
  first INTEGER PRIMARY KEY,
  last  INTEGER NOT NULL CHECK (last >= first)
) STRICT;
-- Originals recorded here, until the office gave its receipt.
CREATE TABLE originals (
  digest BLOB PRIMARY KEY NOT NULL CHECK (length(digest) = 32),
  bytes  INTEGER NOT NULL,
  safe   INTEGER NOT NULL CHECK (safe IN (0, 1))
) STRICT, WITHOUT ROWID;
CREATE INDEX originals_waiting ON originals (digest) WHERE safe = 0;

-- Files whose erasure is recorded and which are still to be removed.
CREATE TABLE removals (
  digest BLOB PRIMARY KEY NOT NULL CHECK (length(digest) = 32)
) STRICT, WITHOUT ROWID;

-- What lists need; made from the facts, and anew whenever wanted.
CREATE TABLE summaries (
  stream   BLOB PRIMARY KEY NOT NULL CHECK (length(stream) = 16),
  label    TEXT NOT NULL,
  sort_key TEXT NOT NULL,
  json     TEXT NOT NULL,
  search   TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX summaries_in_order ON summaries (sort_key, stream);

-- This device's own state: settings, drafts, identity, book-keeping. A value that was forgotten
-- leaves its row, so that a salvage does not bring it back.
CREATE TABLE kept (
  number   INTEGER PRIMARY KEY,
  area     TEXT NOT NULL,
  key      TEXT NOT NULL,
  value    BLOB,
  revision INTEGER NOT NULL,
  -- The first eight bytes of SHA-256 over area, key, revision and value.
  sum      BLOB NOT NULL CHECK (length(sum) = 8),
  UNIQUE (area, key)
) STRICT;
