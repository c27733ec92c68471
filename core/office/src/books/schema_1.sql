-- One office's books. The business is the first part of every key.

CREATE TABLE book (
    business BLOB NOT NULL PRIMARY KEY CHECK (length(business) = 16),
    last INTEGER NOT NULL DEFAULT 0 CHECK (last >= 0)
) STRICT, WITHOUT ROWID;

-- As whom the office acts. Keys lie here: the folder is for its owner alone.
CREATE TABLE house (
    business BLOB NOT NULL PRIMARY KEY REFERENCES book (business),
    name TEXT NOT NULL,
    business_key BLOB NOT NULL CHECK (length(business_key) = 32),
    office_key BLOB NOT NULL CHECK (length(office_key) = 32),
    certificate BLOB NOT NULL,
    person BLOB NOT NULL CHECK (length(person) = 16)
) STRICT, WITHOUT ROWID;

CREATE TABLE life (
    business BLOB NOT NULL REFERENCES book (business),
    place INTEGER NOT NULL,
    epoch BLOB NOT NULL CHECK (length(epoch) = 16),
    PRIMARY KEY (business, place),
    UNIQUE (business, epoch)
) STRICT, WITHOUT ROWID;

CREATE TABLE device (
    business BLOB NOT NULL REFERENCES book (business),
    device BLOB NOT NULL CHECK (length(device) = 16),
    person BLOB CHECK (length(person) = 16),
    name TEXT NOT NULL,
    revoked INTEGER NOT NULL CHECK (revoked IN (0, 1)),
    PRIMARY KEY (business, device)
) STRICT, WITHOUT ROWID;
CREATE INDEX device_person ON device (business, person);

CREATE TABLE token (
    business BLOB NOT NULL REFERENCES book (business),
    hash BLOB NOT NULL CHECK (length(hash) = 32),
    device BLOB NOT NULL CHECK (length(device) = 16),
    PRIMARY KEY (business, hash)
) STRICT, WITHOUT ROWID;

-- A code says of itself which business it is of.
CREATE TABLE invite (
    code BLOB NOT NULL PRIMARY KEY CHECK (length(code) = 32),
    business BLOB NOT NULL REFERENCES book (business),
    person BLOB NOT NULL CHECK (length(person) = 16),
    replaces BLOB CHECK (length(replaces) = 16),
    ends_ms INTEGER NOT NULL,
    used_device BLOB CHECK (length(used_device) = 16),
    used_key BLOB CHECK (length(used_key) = 32),
    used_token BLOB CHECK (length(used_token) = 32),
    CHECK ((used_device IS NULL) = (used_key IS NULL) AND (used_device IS NULL) = (used_token IS NULL))
) STRICT, WITHOUT ROWID;

CREATE TABLE certificate (
    business BLOB NOT NULL REFERENCES book (business),
    device BLOB NOT NULL CHECK (length(device) = 16),
    epoch INTEGER NOT NULL,
    bytes BLOB NOT NULL,
    PRIMARY KEY (business, device, epoch)
) STRICT, WITHOUT ROWID;

CREATE TABLE fact (
    business BLOB NOT NULL REFERENCES book (business),
    number INTEGER NOT NULL CHECK (number > 0),
    id BLOB NOT NULL CHECK (length(id) = 32),
    stream BLOB NOT NULL CHECK (length(stream) = 16),
    device BLOB NOT NULL CHECK (length(device) = 16),
    epoch INTEGER NOT NULL,
    chain_number INTEGER NOT NULL,
    whole INTEGER NOT NULL CHECK (whole IN (0, 1)),
    carrier_device BLOB NOT NULL CHECK (length(carrier_device) = 16),
    carrier_epoch INTEGER NOT NULL,
    bytes BLOB NOT NULL,
    PRIMARY KEY (business, number),
    UNIQUE (business, id)
) STRICT;
CREATE INDEX fact_due ON fact (business, stream, number);
CREATE INDEX fact_chain ON fact (business, stream, device, epoch, chain_number DESC, id);

CREATE TABLE erasure (
    business BLOB NOT NULL REFERENCES book (business),
    fact BLOB NOT NULL CHECK (length(fact) = 32),
    stream BLOB NOT NULL CHECK (length(stream) = 16),
    PRIMARY KEY (business, fact, stream)
) STRICT, WITHOUT ROWID;

-- Which facts name an original; `aside` is the phone that brought a fact that is kept apart.
CREATE TABLE naming (
    business BLOB NOT NULL REFERENCES book (business),
    digest BLOB NOT NULL CHECK (length(digest) = 32),
    fact BLOB NOT NULL CHECK (length(fact) = 32),
    stream BLOB NOT NULL CHECK (length(stream) = 16),
    bytes INTEGER NOT NULL CHECK (bytes >= 0),
    aside BLOB CHECK (length(aside) = 16),
    PRIMARY KEY (business, digest, fact)
) STRICT, WITHOUT ROWID;
CREATE INDEX naming_fact ON naming (business, fact);

CREATE TABLE record (
    business BLOB NOT NULL REFERENCES book (business),
    place INTEGER NOT NULL,
    bytes BLOB NOT NULL,
    ids BLOB NOT NULL CHECK (length(ids) > 0 AND length(ids) % 32 = 0),
    PRIMARY KEY (business, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE given (
    business BLOB NOT NULL REFERENCES book (business),
    device BLOB NOT NULL CHECK (length(device) = 16),
    stream BLOB NOT NULL CHECK (length(stream) = 16),
    number INTEGER NOT NULL,
    withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    PRIMARY KEY (business, device, stream)
) STRICT, WITHOUT ROWID;

CREATE TABLE aside (
    business BLOB NOT NULL REFERENCES book (business),
    id BLOB NOT NULL CHECK (length(id) = 32),
    device BLOB NOT NULL CHECK (length(device) = 16),
    epoch INTEGER NOT NULL,
    reason TEXT NOT NULL,
    at_ms INTEGER NOT NULL,
    bytes BLOB NOT NULL,
    PRIMARY KEY (business, id)
) STRICT, WITHOUT ROWID;
CREATE INDEX aside_device ON aside (business, device);

-- A fact stays as it is. Its payload goes when an erasure of it is known; one that lay here without its
-- payload may be put in again whole, further on.
CREATE TRIGGER fact_stays BEFORE UPDATE ON fact
WHEN NOT (
    new.business = old.business AND new.id = old.id AND new.stream = old.stream AND new.device = old.device
    AND new.epoch = old.epoch AND new.chain_number = old.chain_number
    AND (
        (old.whole = 1 AND new.whole = 0 AND new.number = old.number
            AND new.carrier_device = old.carrier_device AND new.carrier_epoch = old.carrier_epoch
            AND EXISTS (SELECT 1 FROM erasure
                WHERE business = old.business AND fact = old.id AND stream = old.stream))
        OR (old.whole = 0 AND new.whole = 1 AND new.number > old.number)
    )
)
BEGIN SELECT raise(ABORT, 'a fact is never changed'); END;
CREATE TRIGGER fact_goes_never BEFORE DELETE ON fact
BEGIN SELECT raise(ABORT, 'a fact is never deleted'); END;
CREATE TRIGGER erasure_stays BEFORE UPDATE ON erasure
BEGIN SELECT raise(ABORT, 'an erasure is never changed'); END;
CREATE TRIGGER erasure_goes_never BEFORE DELETE ON erasure
BEGIN SELECT raise(ABORT, 'an erasure is never taken back'); END;
CREATE TRIGGER record_stays BEFORE UPDATE ON record
BEGIN SELECT raise(ABORT, 'an arrival record is never changed'); END;
CREATE TRIGGER record_goes_never BEFORE DELETE ON record
BEGIN SELECT raise(ABORT, 'an arrival record is never deleted'); END;
CREATE TRIGGER life_stays BEFORE UPDATE ON life
BEGIN SELECT raise(ABORT, 'a life of the books is never changed'); END;
CREATE TRIGGER life_goes_never BEFORE DELETE ON life
BEGIN SELECT raise(ABORT, 'a life of the books is never deleted'); END;
CREATE TRIGGER certificate_stays BEFORE UPDATE ON certificate
BEGIN SELECT raise(ABORT, 'a certificate is never changed'); END;
CREATE TRIGGER certificate_goes_never BEFORE DELETE ON certificate
BEGIN SELECT raise(ABORT, 'a certificate is never deleted'); END;
CREATE TRIGGER numbers_rise BEFORE UPDATE OF last ON book WHEN new.last < old.last
BEGIN SELECT raise(ABORT, 'a number is never given twice'); END;
