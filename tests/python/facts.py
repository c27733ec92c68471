"""Facts and certificates (fixtures/formats/facts.md and certificates.md)."""

import hashlib

import cbor2

from bodies import BUSINESS_ONLY, CRITICAL, DIGEST, ID16, KINDS, UINT32, body, moment, name, need, whole
from canonical import Refused, check_whole, first_item, signed_by, usable_key

MAX_FACT = 262_144


def sha256(data):
    return hashlib.sha256(data).hexdigest()


def pieces(data, least, most, what):
    """The byte strings of an array that is exactly so long."""
    check_whole(data)
    item = cbor2.loads(data)
    need(isinstance(item, list) and least <= len(item) <= most, f"{what} of another length")
    need(all(isinstance(piece, bytes) for piece in item), f"{what} of something else")
    return item


def heads(item, what):
    """Version and algorithm are looked at before anything else."""
    need(isinstance(item, list) and len(item) >= 2, f"{what} without a version")
    for member, known in zip(item, ("version", "algorithm")):
        need(type(member) is int and member >= 0, f"no {known}")
        need(member == 1, f"unknown {known} of {what}")


class Fact:
    """A fact as it is carried; refused when it breaks a rule. Its signature is checked by `fits`."""

    def __init__(self, data):
        need(len(data) <= MAX_FACT + 128, "a fact too long")
        parts = pieces(data, 2, 3, "a fact")
        self.carried, self.envelope_bytes, self.signature = data, parts[0], parts[1]
        self.payload_bytes = parts[2] if len(parts) == 3 else None
        need(len(self.envelope_bytes) + len(self.payload_bytes or b"") <= MAX_FACT, "a fact too long")
        need(len(self.signature) == 64, "a signature that is none")
        self.id = sha256(self.envelope_bytes)
        self._read_envelope()
        self._read_payload()

    def _read_envelope(self):
        check_whole(self.envelope_bytes)
        item = cbor2.loads(self.envelope_bytes)
        heads(item, "an envelope")
        need(len(item) == 16, "an envelope of another length")
        self.business, self.stream, self.device = map(ID16, item[2:5])
        self.epoch, self.number = UINT32(item[5]), whole(1)(item[6])
        self.chain = (self.device, self.epoch)
        self.previous = None if item[7] is None else DIGEST(item[7])
        need((self.number == 1) == (self.previous is None), "a predecessor missing or too many")
        self.seen = self._read_seen(item[8])
        self.person = ID16(item[9])
        self.at = moment(item[10])
        need(isinstance(item[11], list) and len(item[11]) == 2, "no stamp")
        self.stamp = {"counter": UINT32(item[11][1]), "ms": whole(0, 253_370_764_799_999)(item[11][0])}
        self._read_kind(item[12], item[13])
        need(isinstance(item[14], list) and len(item[14]) <= 1000, "too many replaced")
        self.replaces = [DIGEST(member) for member in item[14]]
        need(all(a < b for a, b in zip(self.replaces, self.replaces[1:])), "replaced out of order")
        self.payload = DIGEST(item[15])

    def _read_seen(self, item):
        need(isinstance(item, list) and len(item) <= 1000, "too many seen")
        seen = []
        for member in item:
            need(isinstance(member, list) and len(member) == 3, "no chain seen")
            chain = member[0]
            need(isinstance(chain, list) and len(chain) == 2, "no chain seen")
            entry = (ID16(chain[0]), UINT32(chain[1]), whole(1)(member[1]), DIGEST(member[2]))
            need(entry[:2] != self.chain, "a chain that has seen itself")
            need(not seen or seen[-1][:2] < entry[:2], "chains seen out of order")
            seen.append(entry)
        return seen

    def _read_kind(self, kind, critical):
        allowed = set("abcdefghijklmnopqrstuvwxyz0123456789_")
        need(isinstance(kind, str) and 1 <= len(kind) <= 40 and set(kind) <= allowed, "no kind")
        need(isinstance(critical, bool), "critical or not")
        need(kind not in KINDS or critical == (kind in CRITICAL), "critical against its kind")
        need(kind not in BUSINESS_ONLY or self.stream == self.business, "a kind of another stream")
        self.kind, self.critical = kind, critical

    def _read_payload(self):
        self.body = self.salt = None
        self.more = False
        if self.payload_bytes is None:
            return
        parts = pieces(self.payload_bytes, 2, 2, "a payload")
        need(len(parts[0]) == 16, "a salt of another length")
        need(sha256(self.payload_bytes) == self.payload, "the payload of another fact")
        self.salt, self.body_bytes = parts
        self.body, self.more = body(self.kind, self.body_bytes)

    def fits(self, key):
        return signed_by(key, self.envelope_bytes, self.signature)

    @property
    def place(self):
        return (*self.chain, self.number, self.id)

    def original(self):
        """The original that the fact records, if it records one."""
        return self.body["original"] if self.body and self.kind in ("photo_taken", "paper_added") else None

    def readable(self):
        """The fact as JSON (facts.md, "As JSON")."""
        read = {
            "algorithm": 1,
            "at": self.at,
            "body": self.body,
            "business": self.business,
            "critical": self.critical,
            "device": self.device,
            "epoch": self.epoch,
            "id": self.id,
            "kind": self.kind,
            "number": self.number,
            "payload": self.payload,
            "person": self.person,
            "previous": self.previous,
            "replaces": self.replaces,
            "salt": self.salt.hex() if self.salt else None,
            "seen": [dict(zip(("device", "epoch", "number", "id"), entry)) for entry in self.seen],
            "signature": self.signature.hex(),
            "stamp": self.stamp,
            "stream": self.stream,
            "version": 1,
        }
        return read | {"body_cbor": self.body_bytes.hex()} if self.more else read


class Certificate:
    """A business's word for a device's key, refused when it is not good."""

    def __init__(self, data):
        need(len(data) <= 1024, "a certificate too long")
        statement, signature = pieces(data, 2, 2, "a certificate")
        need(len(signature) == 64, "a signature that is none")
        check_whole(statement)
        item = cbor2.loads(statement)
        heads(item, "a certificate")
        need(len(item) == 9, "a statement of another length")
        self.business, self.device, self.epoch = ID16(item[2]), ID16(item[4]), UINT32(item[5])
        business_key, self.key = bytes.fromhex(DIGEST(item[3])), bytes.fromhex(DIGEST(item[6]))
        moment(item[7])
        name(item[8])
        need(signed_by(business_key, statement, signature), "a certificate signed by nobody")
        need(usable_key(self.key), "a key that is none")
        digits = sha256(business_key)
        self.fingerprint = "-".join(digits[at : at + 4] for at in range(0, 64, 4))
        self.chain = (self.device, self.epoch)


def sequence(data):
    """The items of a CBOR sequence, each canonical."""
    at = 0
    while at < len(data):
        end = first_item(data, at)
        yield data[at:end]
        at = end


def struck(facts):
    """The ids that are struck out, by strikes that no counting strike names."""
    strikes = {fact.id: set(fact.body["facts"]) for fact in facts if fact.kind == "struck_out" and fact.body}
    counts = {}
    open_ids = list(strikes)
    while open_ids:
        id = open_ids[-1]
        naming = [other for other, named in strikes.items() if id in named]
        unknown = [other for other in naming if other not in counts]
        if unknown:
            open_ids.extend(unknown)
            continue
        counts[id] = not any(counts[other] for other in naming)
        open_ids.pop()
    return {named for id, names in strikes.items() if counts[id] for named in names}


__all__ = ["Certificate", "Fact", "Refused", "sequence", "sha256", "struck"]
