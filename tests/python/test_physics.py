"""Air, combustion and the flue against CoolProp, fluids, ht and psychrolib: a few of the inputs that
`second_opinion_physics.py` tries in greater number."""

import random

import pytest

import second_opinion_physics as second

SEED = 20260211
CASES = 12
KINDS = {
    "air": (second.air_input, second.air),
    "combustion": (second.combustion_input, second.combustion),
    "flue": (second.flue_input, second.flue),
}


@pytest.mark.parametrize("name", KINDS)
def test_other_libraries_agree(name, reckon):
    make, hold = KINDS[name]
    chance = random.Random(SEED)
    opinions = second.Opinions()
    for _ in range(CASES):
        case = make(chance)
        hold(opinions, case, reckon(name, case))
    assert opinions.worst, "something is compared"
    assert opinions.report() == 0, f"seed {SEED}"
