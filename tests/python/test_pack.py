"""A stranger's look at the demonstration's claim pack, from fixtures/formats/pack.md alone.

Only the standard library, cbor2 and the text of the format; section numbers are those of the text. What needs
the format of a single fact (chains, signatures, certificates) is looked at by check_pack.py.
"""

import hashlib
import json
import re
import struct
import subprocess
import zipfile

import cbor2
import pytest

FIXED = ["READ-ME-FIRST.txt", "claim.pdf", "claims.json", "facts.cbor", "facts.json"]
LAST = ["manifest.json", "manifest.sig", "SHA256SUMS"]


def sha256(content):
    return hashlib.sha256(content).hexdigest()


@pytest.fixture(scope="module")
def members(pack_path):
    with zipfile.ZipFile(pack_path) as pack:
        return {name: pack.read(name) for name in pack.namelist()}


@pytest.fixture(scope="module")
def manifest(members):
    return json.loads(members["manifest.json"])


@pytest.fixture(scope="module")
def facts(members):
    """The items of the CBOR sequence."""
    return list(sequence(members["facts.cbor"]))


def sequence(content):
    from io import BytesIO

    stream = BytesIO(content)
    while stream.tell() < len(content):
        yield cbor2.load(stream)


def test_members_stand_in_their_order(members):
    """Section 1."""
    names = list(members)
    originals = names[len(FIXED) : -len(LAST)]
    assert names == FIXED + originals + LAST
    assert originals == sorted(originals)
    assert all(name.startswith("originals/") for name in originals)


def test_the_zip_is_written_in_its_one_way(pack_path, members):
    """Section 1: built anew from its members by the tables of the text, byte for byte."""
    heads, local = b"", b""
    for name, content in members.items():
        with zipfile.ZipFile(pack_path) as pack:
            crc = pack.getinfo(name).CRC
        common = struct.pack("<HHHHHLLLHH", 20, 0, 0, 0, 0x21, crc, len(content), len(content), len(name), 0)
        heads += b"PK\x01\x02" + struct.pack("<H", 0x0314) + common
        heads += struct.pack("<HHHLL", 0, 0, 0, 0o100644 << 16, len(local)) + name.encode()
        local += b"PK\x03\x04" + common + name.encode() + content
    end = b"PK\x05\x06" + struct.pack("<HHHHLLH", 0, 0, len(members), len(members), len(heads), len(local), 0)
    with open(pack_path, "rb") as pack:
        assert pack.read() == local + heads + end


def test_sums_are_those_of_the_members(members):
    """Section 2."""
    lines = [f"{sha256(content)}  {name}\n" for name, content in members.items() if name != "SHA256SUMS"]
    assert members["SHA256SUMS"].decode() == "".join(lines)


@pytest.mark.parametrize("name", ["manifest.json", "claims.json"])
def test_json_is_written_in_its_one_way(members, name):
    """Section 3, with Python's own writer."""
    text = members[name].decode()
    assert json.dumps(json.loads(text), indent=1, sort_keys=True, ensure_ascii=False) + "\n" == text


def test_the_manifest_names_what_is_there(members, manifest):
    """Section 3, `members`."""
    before = [name for name in members if name not in LAST]
    assert manifest["members"] == [
        {"name": name, "sha256": sha256(members[name]), "size": len(members[name])} for name in before
    ]


def test_the_facts_are_as_many_as_stated(manifest, facts, members):
    """Sections 4 and 5."""
    assert len(facts) == manifest["facts"] == sum(chain["facts"] for chain in manifest["chains"])
    assert len(json.loads(members["facts.json"])["facts"]) == len(facts) > 0


def test_every_row_stands_on_facts_and_originals_that_are_there(members, facts, manifest):
    """Section 6. A fact's id is the SHA-256 of its envelope, the first thing in it."""
    ids = {sha256(fact[0]) for fact in facts}
    claims = json.loads(members["claims.json"])
    assert [claims[key] for key in ("as_of", "job", "language")] == [
        manifest[key] for key in ("as_of", "job", "language")
    ]
    assert claims["rows"]
    for row in claims["rows"]:
        assert set(row["facts"]) <= ids, row
        assert row["facts"] == sorted(row["facts"]), row
        assert set(row["members"]) <= {name for name in members if name.startswith("originals/")}, row
        assert row["facts"] or row["state"] not in ("met", "doubtful", "failed"), row


def test_originals_are_named_by_their_content(members):
    """Section 7."""
    originals = {name: content for name, content in members.items() if name.startswith("originals/")}
    assert originals
    for name, content in originals.items():
        assert re.fullmatch(r"originals/[0-9a-f]{64}\.(jpg|png|heic|webp|pdf|txt|bin)", name)
        assert name.startswith(f"originals/{sha256(content)}.")
        if name.endswith(".jpg"):
            assert content.startswith(b"\xff\xd8\xff")


def test_the_pdf_says_what_the_rows_say(members, tmp_path):
    """Section 6, `text`: what poppler reads from the PDF holds the text of every row."""
    pdf = tmp_path / "claim.pdf"
    pdf.write_bytes(members["claim.pdf"])
    read = subprocess.run(["pdftotext", "-raw", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    page = "".join(read.split())
    missing = [
        row["text"]
        for row in json.loads(members["claims.json"])["rows"]
        if "".join(row["text"].split()) not in page
    ]
    assert not missing
