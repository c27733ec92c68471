"""Reads the golden files of fixtures/formats with the stranger's checker.

    python3 check_golden.py FOLDER

Every fact must read as its JSON says and carry its device's signature; every certificate must be good; and
everything in refused.json must be refused.
"""

import json
import pathlib
import sys

from canonical import json_text
from facts import Certificate, Fact, Refused


def main():
    folder = pathlib.Path(sys.argv[1])
    certificates = [Certificate(path.read_bytes()) for path in sorted(folder.glob("certificates/*.cbor"))]
    keys = {certificate.chain: certificate.key for certificate in certificates}
    facts = sorted(folder.glob("facts/*.cbor"))
    for path in facts:
        fact = Fact(path.read_bytes())
        told = path.with_suffix(".json").read_text(encoding="utf-8")
        assert json_text(fact.readable()) == told, path.name
        assert fact.fits(keys[fact.chain]), path.name
    refused = json.loads((folder / "refused.json").read_text(encoding="utf-8"))
    for row in refused:
        try:
            {"fact": Fact, "certificate": Certificate}[row["what"]](bytes.fromhex(row["cbor"]))
        except Refused:
            continue
        sys.exit(f"not refused: {row['name']}")
    print(f"{len(facts)} facts, {len(certificates)} certificates, {len(refused)} refused")


if __name__ == "__main__":
    main()
