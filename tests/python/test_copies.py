"""Copies for readers, and what is left after an erasure: made by the command, judged by the stranger's checker.

They are made in copies of the demonstration's stores, so that its own stay as they are.
"""

import json
import os
import pathlib
import shutil
import subprocess
import zipfile

import check_pack
import pytest

DAY = "2026-04-07"
OWNER = b"Tansy Featherstep"
READERS = ["full", "programme", "owner", "auditor", "recycler"]


def run(*words):
    command = [os.environ["WYTHE"], *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, timeout=120)


def wythe(*words):
    ended = run(*words)
    assert ended.returncode == 0, ended.stderr
    return ended.stdout


class Stores:
    """The office and a phone, copied, each with a new epoch."""

    def __init__(self, played, folder):
        self.folder = folder
        for name in ("office", "room"):
            shutil.copytree(played / "stores" / name, folder / name)
        listed = json.loads(wythe("job", "--json", "--store", self.office, "list"))
        self.job = listed[0]["job"]
        wythe("begin", "--new-epoch", "--store", self.office)
        wythe("begin", "--new-epoch", "--store", folder / "room", "--join", self.office)

    @property
    def office(self):
        return self.folder / "office"

    def entries(self, store="office"):
        return json.loads(wythe("job", "--json", "--store", self.folder / store, "entries", self.job))

    def pack(self, reader="full", store="office"):
        path = self.folder / f"{store}-{reader}.zip"
        wythe("pack", "--store", self.folder / store, self.job, "--out", path, "--for", reader, "--today", DAY)
        return path

    def carry(self, start, goal):
        path = self.folder / "carried.wythe"
        wythe("carry", "--store", self.folder / start, "out", path)
        told = json.loads(wythe("carry", "--json", "--store", self.folder / goal, "in", path))
        assert told["set_aside"] == []
        return path


@pytest.fixture(scope="module")
def stores(pack_path, tmp_path_factory):
    return Stores(pathlib.Path(pack_path).parent, tmp_path_factory.mktemp("copies"))


@pytest.fixture(scope="module")
def copies(stores):
    """For each reader: the manifest, as the stranger's checker lets it pass, and the members."""
    made = {}
    for reader in READERS:
        made[reader] = read(stores.pack(reader))
    return made


def read(path):
    manifest = check_pack.check(path.read_bytes())
    with zipfile.ZipFile(path) as opened:
        return manifest, {name: opened.read(name) for name in opened.namelist()}


def kinds(stores):
    return {line["entry"]["id"]: line["entry"]["kind"] for line in stores.entries()}


@pytest.mark.parametrize("reader", READERS)
def test_each_copy_is_consistent_and_says_for_whom_it_is(copies, reader):
    manifest, members = copies[reader]
    assert manifest["reader"] == reader
    facts = {fact["id"]: fact for fact in json.loads(members["facts.json"])["facts"]}
    left_out = {line["fact"] for line in manifest["left_out"]}
    assert left_out == {name for name, fact in facts.items() if fact["body"] is None}
    assert set(facts) == {fact["id"] for fact in json.loads(copies["full"][1]["facts.json"])["facts"]}


def test_who_is_shown_what(stores, copies):
    kind = kinds(stores)
    left_out = {
        reader: {kind[line["fact"]] for line in manifest["left_out"]} for reader, (manifest, _) in copies.items()
    }
    assert left_out["full"] == left_out["auditor"] == set()
    assert left_out["programme"] <= {"noted"}
    assert left_out["owner"] == left_out["programme"] | {"claim_moved"}
    assert {"signed", "figures_kept", "photo_taken", "assigned", "visit"} <= left_out["recycler"]


def test_the_recycler_is_shown_the_old_stove_and_nothing_of_the_owner(stores, copies):
    members = copies["recycler"][1]
    originals = [name for name in members if name.startswith("originals/")]
    all_originals = [name for name in copies["full"][1] if name.startswith("originals/")]
    assert 0 < len(originals) < len(all_originals), "photos of the house are not for the recycler"
    asks = {
        fact["body"]["address"].split(".")[0]
        for fact in json.loads(members["facts.json"])["facts"]
        if fact["body"] and "address" in fact["body"] and fact["kind"] != "job_opened"
    }
    assert asks == {"removal", "destruction"}
    for name in ("facts.cbor", "facts.json", "claims.json"):
        assert OWNER not in members[name], name
    full = copies["full"][1]
    assert OWNER in full["facts.cbor"]


def test_the_command_says_what_was_left_out(stores, copies):
    told = wythe("check-pack", stores.folder / "office-recycler.zip")
    left_out = len(copies["recycler"][0]["left_out"])
    assert f"content of entries: {left_out}; photos and papers: " in told
    assert "Left out" not in wythe("check-pack", stores.folder / "office-full.zip")


def test_what_was_erased_is_gone_from_the_store_the_carried_file_and_the_pack(stores, copies):
    answer = next(
        line["entry"]
        for line in stores.entries()
        if line["entry"]["kind"] == "answered" and line["entry"]["body"]["address"] == "survey.owner_name@owner:1"
    )
    photo = next(line["entry"] for line in stores.entries() if line["entry"]["kind"] == "photo_taken")
    for entry, reason in ((answer, "the owner asked for it"), (photo, "a face is in it")):
        wythe("job", "--store", stores.office, "erase", stores.job, entry["id"], "--reason", reason)
    states = {line["entry"]["id"]: line for line in stores.entries()}
    for entry in (answer, photo):
        assert states[entry["id"]]["state"] == "erased"
        assert states[entry["id"]]["entry"]["body"] is None
    gone = {photo["body"][which]["digest"] for which in ("original", "preview")}

    manifest, members = read(stores.pack("full"))
    ids = {line["entry"]["body"]["fact"]: line["entry"] for line in states.values() if line["entry"]["kind"] == "erased"}
    assert set(ids) == {answer["id"], photo["id"]}
    assert {fact["body"]["reason"] for fact in ids.values()} == {"the owner asked for it", "a face is in it"}
    assert all(fact["person"] for fact in ids.values()), "who erased it is in the envelope"
    assert not any(check_pack.sha256(content) in gone for content in members.values())
    assert manifest["left_out"] == [], "an erasure speaks for itself"
    without = {fact["id"] for fact in json.loads(members["facts.json"])["facts"] if fact["body"] is None}
    assert without == {answer["id"], photo["id"]}

    carried = stores.carry("office", "room")
    salt = bytes.fromhex(answer["salt"])
    assert salt not in carried.read_bytes()
    for name in ("office", "room"):
        for file in (stores.folder / name).rglob("*"):
            content = file.read_bytes() if file.is_file() else b""
            assert salt not in content and check_pack.sha256(content) not in gone, file

    # What the phone packs now stands on the same facts, and says the same.
    stores.carry("room", "office")
    there, here = read(stores.pack("full", "room"))[1], read(stores.pack("full"))[1]
    for name in ("facts.cbor", "facts.json", "claims.json"):
        assert there[name] == here[name], name

