"""What the tests look at: the built command and the demonstration's claim pack.

`cargo xtask check --only python` sets WYTHE (the command) and WYTHE_PACK (the pack).
"""

import json
import os
import subprocess

import pytest


@pytest.fixture(scope="session")
def reckon():
    """Asks the command for one reckoning: a dict in, a dict out."""
    command = os.environ["WYTHE"]

    def ask(name, given):
        ended = subprocess.run(
            [command, "reckon", name], input=json.dumps(given), capture_output=True, text=True, timeout=60
        )
        assert ended.returncode == 0, ended.stderr
        return json.loads(ended.stdout)

    return ask


@pytest.fixture(scope="session")
def pack_path():
    return os.environ["WYTHE_PACK"]
