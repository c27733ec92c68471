"""Checks claim packs with cbor2 and pynacl alone, written from fixtures/formats.

    python3 check_pack.py [--trust FINGERPRINT] [--json] PACK ...

For each pack it says that it is consistent, or the first thing that is wrong with it (pack.md, section 9).
It ends with 0 if all are consistent.
"""

import argparse
import itertools
import json
import re
import struct
import sys
import zlib

from bodies import date, need
from canonical import Refused, json_in_one_way, json_text, json_value, signed_by
from facts import Certificate, Fact, sequence, sha256, struck

FIRST = ["READ-ME-FIRST.txt", "claim.pdf", "claims.json", "facts.cbor", "facts.json"]
LAST = ["manifest.json", "manifest.sig", "SHA256SUMS"]
ENDINGS = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/heic": "heic",
    "image/webp": "webp",
    "application/pdf": "pdf",
    "text/plain": "txt",
}
ORIGINAL_NAME = re.compile(r"originals/([0-9a-f]{64})\.(jpg|png|heic|webp|pdf|txt|bin)")
MIB = 2**20
LIMITS = {
    "READ-ME-FIRST.txt": MIB,
    "claim.pdf": 512 * MIB,
    "claims.json": 32 * MIB,
    "facts.cbor": 256 * MIB,
    "manifest.json": 32 * MIB,
    "manifest.sig": 64,
    "SHA256SUMS": 4 * MIB,
}
ERASABLE_NOT = ("erased", "struck_out")


class Fault(Exception):
    """The first thing that is wrong, by its code."""

    def __init__(self, code, why=""):
        super().__init__(why)
        self.code = code


def must(holds, code, why=""):
    if not holds:
        raise Fault(code, why)


def refusing(code, make, *arguments):
    """Calls something; what it refuses is the fault of this code."""
    try:
        return make(*arguments)
    except Refused as refused:
        raise Fault(code, str(refused)) from refused


# ---- steps 1 to 5: the file ----


def middle(size, crc, name):
    return struct.pack("<HHHHHIIIH", 20, 0, 0, 0, 33, crc, size, size, len(name))


def members_of(data):
    must(22 <= len(data) < 2**32 and data[-22:-18] == b"PK\5\6", "not_a_pack")
    count, _, central_size, central_at = struct.unpack("<HHII", data[-14:-2])
    must(count <= 10_000, "not_a_pack")
    end = b"PK\5\6\0\0\0\0" + struct.pack("<HHII", count, count, central_size, central_at) + b"\0\0"
    must(data[-22:] == end and central_at + central_size + 22 == len(data), "zip_layout", "end record")
    at, offset, listed = central_at, 0, []
    for _ in range(count):
        entry = data[at : len(data) - 22]
        must(len(entry) >= 46, "zip_layout", "central header")
        crc, size, _, length = struct.unpack("<IIIH", entry[16:30])
        must(1 <= length <= 100 and len(entry) >= 46 + length, "zip_layout", "central header")
        name = entry[46 : 46 + length]
        made = b"PK\1\2\x14\3" + middle(size, crc, name) + bytes(8) + b"\0\0\xa4\x81"
        made += struct.pack("<I", offset) + name
        must(entry[: len(made)] == made, "zip_layout", "central header")
        listed.append((name, size, crc, offset))
        at += len(made)
        offset += 30 + length + size
        must(offset < 2**32, "zip_layout", "offsets")
    must(at == len(data) - 22 and offset == central_at, "zip_layout", "bytes that belong to no member")
    check_names([name.decode("latin-1") for name, *_ in listed])
    for name, size, *_ in listed:
        must(size <= LIMITS.get(name.decode(), 1024 * MIB), "too_long", name)
    members = {}
    for name, size, crc, offset in listed:
        start = offset + 30 + len(name)
        local = b"PK\3\4" + middle(size, crc, name) + b"\0\0" + name
        must(data[offset:start] == local, "zip_layout", "local header")
        content = data[start : start + size]
        must(len(content) == size and zlib.crc32(content) == crc, "checksum", name)
        members[name.decode()] = content
    return members


def check_names(names):
    originals = names[len(FIRST) : len(names) - len(LAST)]
    whole = len(names) >= len(FIRST) + len(LAST)
    must(whole and names[: len(FIRST)] == FIRST and names[-len(LAST) :] == LAST, "members")
    must(all(ORIGINAL_NAME.fullmatch(name) for name in originals), "members", "a name that has no place")
    must(all(a < b for a, b in itertools.pairwise(originals)), "members", "originals out of order")


# ---- steps 6 to 13: sums, manifest, signers ----


def text(least, most):
    def read(item):
        need(isinstance(item, str) and least <= len(item.encode()) <= most, "no text, or too long")

    return read


def number(most):
    def read(item):
        need(type(item) is int and 0 <= item <= most, "no number")

    return read


def digits(form):
    def read(item):
        need(isinstance(item, str) and re.fullmatch(form, item), "no hexadecimal digits")

    return read


def word(*known):
    def read(item):
        need(isinstance(item, str) and item in known, "no word that is known")

    return read


def boolean(item):
    need(isinstance(item, bool), "neither true nor false")


def record(**members):
    def read(item):
        need(isinstance(item, dict) and set(item) == set(members), "other members")
        for name, reader in members.items():
            reader(item[name])

    return read


def rows(reader, key=None):
    """A list; with a key, in ascending order and nothing twice."""

    def read(item):
        need(isinstance(item, list), "no list")
        for member in item:
            reader(member)
        keys = [key(member) for member in item] if key else []
        need(all(a < b for a, b in itertools.pairwise(keys)), "out of order, or twice")

    return read


HEX16, HEX32 = digits("[0-9a-f]{32}"), digits("[0-9a-f]{64}")
BYTES = digits("([0-9a-f]{2})*")
FINGERPRINT = digits("([0-9a-f]{4}-){15}[0-9a-f]{4}")
EPOCH, WHOLE = number(2**32 - 1), number(2**53 - 1)


def chain_of(line):
    return (line["device"], line["epoch"])


MANIFEST = record(
    as_of=date,
    business=HEX16,
    certificates=rows(BYTES),
    chains=rows(record(device=HEX16, epoch=EPOCH, facts=WHOLE, last=HEX32, revoked=boolean), chain_of),
    facts=WHOLE,
    fingerprint=FINGERPRINT,
    forks=rows(
        record(device=HEX16, epoch=EPOCH, number=WHOLE), lambda line: (*chain_of(line), line["number"])
    ),
    format=number(1),
    guide=HEX32,
    job=HEX16,
    language=text(2, 35),
    left_out=rows(record(fact=HEX32, reason=word("reader")), lambda line: line["fact"]),
    left_out_originals=rows(
        record(reason=word("reader", "erased", "not_here"), sha256=HEX32), lambda line: line["sha256"]
    ),
    members=rows(record(name=text(0, 2**32), sha256=HEX32, size=WHOLE)),
    packed_by=record(device=HEX16, epoch=EPOCH),
    programme=record(digest=HEX32, id=text(1, 80)),
    reader=word("full", "programme", "owner", "auditor", "recycler"),
    revocations=rows(BYTES),
    software=text(1, 80),
)


def check_sums(members):
    names = [name for name in members if name != "SHA256SUMS"]
    sums = "".join(f"{sha256(members[name])}  {name}\n" for name in names)
    must(members["SHA256SUMS"] == sums.encode(), "sums")


def read_manifest(members):
    data = members["manifest.json"]
    value = refusing("manifest", json_value, data)
    must(isinstance(value, dict) and type(value.get("format")) is int, "manifest", "no format")
    must(value["format"] == 1, "unknown_version")
    refusing("manifest", json_in_one_way, data)
    refusing("manifest", MANIFEST, value)
    found = [
        {"name": name, "sha256": sha256(content), "size": len(content)}
        for name, content in members.items()
        if name not in LAST
    ]
    must(value["members"] == found, "manifest_members")
    return value


def read_certificates(manifest):
    certificates = {}
    for line in manifest["certificates"]:
        certificate = refusing("certificate", Certificate, bytes.fromhex(line))
        ours = (certificate.business, certificate.fingerprint)
        must(ours == (manifest["business"], manifest["fingerprint"]), "certificate", "another business")
        must(all(chain < certificate.chain for chain in certificates), "certificate", "out of order")
        certificates[certificate.chain] = certificate
    return certificates


def check_signature(manifest, members, certificates, trust):
    packer = certificates.get(chain_of(manifest["packed_by"]))
    fits = packer and signed_by(packer.key, members["manifest.json"], members["manifest.sig"])
    must(fits, "manifest_signature")
    must(trust is None or trust == manifest["fingerprint"], "untrusted", manifest["fingerprint"])


def read_revocations(manifest, certificates):
    revocations = []
    for line in manifest["revocations"]:
        fact = refusing("revocation", Fact, bytes.fromhex(line))
        must(fact.kind == "device_revoked" and fact.body, "revocation", "no revocation")
        ours = fact.business == fact.stream == manifest["business"]
        must(ours and (not revocations or revocations[-1].id < fact.id), "revocation")
        signer = certificates.get(fact.chain)
        must(signer and fact.fits(signer.key), "revocation", "signed by nobody")
        revocations.append(fact)
    revoked = {fact.body["device"] for fact in revocations}
    must(not any(fact.device in revoked for fact in revocations), "revocation", "signer revoked")
    must(manifest["packed_by"]["device"] not in revoked, "revoked_packer")
    return revocations, revoked


# ---- steps 14 to 18: facts ----


def read_facts(data, manifest, certificates):
    facts = []
    items = sequence(data)
    while True:
        try:
            item = next(items, None)
        except Refused as refused:
            must(len(facts) < 100_000, "too_long")
            raise Fault("fact", str(refused)) from refused
        if item is None:
            return facts
        must(len(facts) < 100_000, "too_long")
        fact = refusing("fact", Fact, item)
        must(not facts or facts[-1].place < fact.place, "fact_order", fact.id)
        must(fact.business == manifest["business"], "wrong_business", fact.id)
        must(fact.stream == manifest["job"], "wrong_job", fact.id)
        must(fact.chain in certificates, "unknown_device", fact.id)
        must(fact.fits(certificates[fact.chain].key), "fact_signature", fact.id)
        facts.append(fact)


def check_chains(facts, manifest):
    told = {(*chain_of(line), line["number"]) for line in manifest["forks"]}
    found, by_place, last = set(), {}, None
    for fact in facts:
        follows = last[1] if last and last[0] == fact.chain else 0
        must(fact.number in (follows, follows + 1), "chain_gap", fact.id)
        if fact.number == follows:
            fork = (*fact.chain, fact.number)
            must(fork in told, "chain_fork", fact.id)
            found.add(fork)
        before = by_place.get((fact.chain, fact.number - 1), [])
        must(fact.previous is None or fact.previous in before, "chain_broken", fact.id)
        by_place.setdefault((fact.chain, fact.number), []).append(fact.id)
        last = (fact.chain, fact.number)
    must(told == found, "chain_fork")
    return by_place


def check_told(facts, by_place, manifest, certificates, revocations, revoked):
    chains = []
    for chain in sorted({fact.chain for fact in facts}):
        numbers = [fact.number for fact in facts if fact.chain == chain]
        chains.append(
            {
                "device": chain[0],
                "epoch": chain[1],
                "facts": len(numbers),
                "last": min(by_place[(chain, max(numbers))]),
                "revoked": chain[0] in revoked,
            }
        )
    must((manifest["facts"], manifest["chains"]) == (len(facts), chains), "chains")
    used = {fact.chain for fact in facts + revocations} | {chain_of(manifest["packed_by"])}
    must(set(certificates) <= used, "certificate", "nothing needs it")


def check_links(facts):
    places = {fact.id: (*fact.chain, fact.number) for fact in facts}
    for fact in facts:
        for *place, id in fact.seen:
            must(places.get(id) == tuple(place), "fact_missing", id)
        must(all(id in places for id in fact.replaces), "fact_missing", fact.id)


def check_payloads(facts, manifest):
    kinds = {fact.id: fact.kind for fact in facts}
    erasures = [fact.body for fact in facts if fact.kind == "erased" and fact.body]
    erased = {body["fact"] for body in erasures if kinds.get(body["fact"]) not in ERASABLE_NOT}
    left_out = {line["fact"] for line in manifest["left_out"]}
    for fact in facts:
        explained = fact.id in erased | left_out
        must(fact.payload_bytes is not None or explained, "payload_missing", fact.id)
        must(fact.payload_bytes is None or not explained, "payload_present", fact.id)
    fits = all(id in kinds and kinds[id] not in ERASABLE_NOT and id not in erased for id in left_out)
    must(fits and not (left_out and manifest["reader"] == "full"), "left_out")
    return {body["original"] for body in erasures if body["original"]}


# ---- steps 19 to 21: originals, readable facts, rows ----


def original_name(original):
    return f"originals/{original['digest']}.{ENDINGS.get(original['media_type'], 'bin')}"


def check_originals(members, facts, manifest, erased):
    named, sizes = {}, {}
    for original in filter(None, map(Fact.original, facts)):
        named.setdefault(original["digest"], original_name(original))
        sizes.setdefault(original["digest"], set()).add(original["bytes"])
    packed = set()
    for name in members:
        if match := ORIGINAL_NAME.fullmatch(name):
            digest = match[1]
            must(named.get(digest) == name, "original_unnamed", name)
            fits = sha256(members[name]) == digest and sizes[digest] == {len(members[name])}
            must(fits, "original_wrong", name)
            packed.add(digest)
    left_out = {line["sha256"]: line["reason"] for line in manifest["left_out_originals"]}
    for digest in sorted(named):
        if digest in packed:
            must(digest not in left_out and digest not in erased, "left_out", digest)
            continue
        must(digest in left_out, "original_missing", digest)
        reason = left_out[digest]
        may = reason != "reader" or manifest["reader"] != "full"
        must((reason == "erased") == (digest in erased) and may, "left_out", digest)
    must(set(left_out) <= set(named), "left_out")
    return named


def plain_ids(item):
    rows(HEX32, lambda id: id)(item)


CLAIMS = record(
    as_of=text(0, 2**32),
    format=WHOLE,
    job=HEX16,
    language=text(0, 2**32),
    rows=rows(
        record(
            facts=plain_ids,
            members=rows(text(0, 2**32), lambda name: name.encode()),
            requirement=text(1, 80),
            state=word("met", "doubtful", "failed", "open", "waiting", "not_needed"),
            text=text(0, 4_000),
        )
    ),
)


def check_claims(members, facts, manifest, named):
    claims = refusing("claims", json_in_one_way, members["claims.json"])
    refusing("claims", CLAIMS, claims)
    of_the_pack = (1, *(manifest[name] for name in ("as_of", "job", "language")))
    told = tuple(claims[name] for name in ("format", "as_of", "job", "language"))
    must(told == of_the_pack and len(claims["rows"]) <= 2_000, "claims")
    by_id, out = {fact.id: fact for fact in facts}, struck(facts)
    for row in claims["rows"]:
        must(all(id in by_id for id in row["facts"]), "claim_facts", row["requirement"])
        needs = row["state"] in ("met", "doubtful", "failed")
        must(row["facts"] or not needs, "claim_facts", row["requirement"])
        must(row["state"] != "met" or not out & set(row["facts"]), "claim_facts", row["requirement"])
        originals = filter(None, (by_id[id].original() for id in row["facts"]))
        behind = {named[original["digest"]] for original in originals} & set(members)
        must(set(row["members"]) <= behind, "claim_members", row["requirement"])


def check(data, trust=None):
    """The manifest of a pack in which nothing is wrong; else a `Fault`."""
    members = members_of(data)
    check_sums(members)
    manifest = read_manifest(members)
    certificates = read_certificates(manifest)
    check_signature(manifest, members, certificates, trust)
    revocations, revoked = read_revocations(manifest, certificates)
    facts = read_facts(members["facts.cbor"], manifest, certificates)
    by_place = check_chains(facts, manifest)
    check_told(facts, by_place, manifest, certificates, revocations, revoked)
    check_links(facts)
    erased = check_payloads(facts, manifest)
    named = check_originals(members, facts, manifest, erased)
    readable = {"facts": [fact.readable() for fact in facts], "format": 1}
    must(members["facts.json"] == json_text(readable).encode(), "facts_json")
    check_claims(members, facts, manifest, named)
    return manifest


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("packs", nargs="+", metavar="PACK")
    parser.add_argument("--trust", metavar="FINGERPRINT")
    parser.add_argument("--json", action="store_true", help="one JSON object a line")
    choice = parser.parse_args()
    trust = choice.trust and re.sub("[^0-9a-f]", "", choice.trust.lower())
    trust = trust and "-".join(trust[at : at + 4] for at in range(0, len(trust), 4))
    wrong = False
    for path in choice.packs:
        with open(path, "rb") as file:
            data = file.read()
        try:
            check(data, trust)
            code = "consistent"
            why = "signed by the business you trust" if trust else "signer not known to you"
        except Fault as fault:
            wrong, code, why = True, fault.code, str(fault)
        if choice.json:
            print(json.dumps({"code": code, "pack": path, "why": why}))
        else:
            print(f"{path}: {code}{why and ', ' + why}")
    sys.exit(wrong)


if __name__ == "__main__":
    main()
