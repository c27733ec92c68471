"""The stranger's checker, check_pack.py, on the demonstration's claim pack."""

import pathlib

import check_pack
import pytest

FINGERPRINT_OF_ANOTHER = "-".join(["0000"] * 16)


def test_the_demonstrations_pack_is_consistent(pack_path):
    data = pathlib.Path(pack_path).read_bytes()
    manifest = check_pack.check(data)
    assert check_pack.check(data, manifest["fingerprint"]) == manifest
    with pytest.raises(check_pack.Fault) as fault:
        check_pack.check(data, FINGERPRINT_OF_ANOTHER)
    assert fault.value.code == "untrusted"


def test_a_flipped_byte_of_the_demonstrations_pack_is_noticed(pack_path):
    data = bytearray(pathlib.Path(pack_path).read_bytes())
    for at in range(0, len(data), len(data) // 12):
        data[at] ^= 1
        with pytest.raises(check_pack.Fault):
            check_pack.check(bytes(data))
        data[at] ^= 1
