#!/usr/bin/env python3
"""A second opinion on air, combustion and the flue from independent open libraries.

Needs CoolProp, fluids, ht and psychrolib (pip install CoolProp fluids ht psychrolib), and cargo.
Random inputs from a seed go through `reckon_lines`; every figure is held against another program's within the
difference stated beside it. Ends with 0 when all agree, else with 1 and the worst cases.

    python3 tests/python/second_opinion_physics.py --seed 7 --count 200
"""

import argparse
import json
import math
import random
import subprocess
import sys

import fluids
import fluids.atmosphere
import fluids.friction
import ht.conv_internal
import psychrolib
from CoolProp.CoolProp import HAPropsSI, PropsSI

G = 9.80665
R = 8.314462618
KELVIN = 273.15
GASES = ["Nitrogen", "Oxygen", "Argon", "CarbonDioxide", "Water"]
MOLAR = [28.0134, 31.9988, 39.948, 44.0095, 18.01528]
DRY_AIR = [0.7808, 0.2095, 0.0093, 0.0004, 0.0]
FUELS = {
    "methane": {"methane": 1.0},
    "propane": {"propane": 1.0},
    "natural_gas": {
        "methane": 0.935, "ethane": 0.035, "propane": 0.007, "n_butane": 0.003,
        "carbon_dioxide": 0.008, "nitrogen": 0.012,
    },
}
ATOMS = {"methane": (1, 4), "ethane": (2, 6), "propane": (3, 8), "n_butane": (4, 10)}

psychrolib.SetUnitSystem(psychrolib.SI)


class Opinions:
    """The largest difference of each comparison, and whether it is within what is stated."""

    def __init__(self):
        self.worst = {}

    def compare(self, what, ours, theirs, allowed, case, absolute=False):
        """`allowed` is relative, or absolute in the figure's unit."""
        off = abs(ours - theirs) if absolute else abs(ours / theirs - 1.0)
        if math.isnan(off):
            off = math.inf
        count, worst, _, _ = self.worst.get(what, (0, -1.0, allowed, None))
        found = f"{ours:.7g} against {theirs:.7g} in {json.dumps(case)}"
        self.worst[what] = (count + 1, max(off, worst), allowed, found if off > worst else self.worst[what][3])

    def report(self):
        bad = False
        for what, (count, worst, allowed, found) in self.worst.items():
            verdict = "agrees" if worst <= allowed else "DIFFERS"
            bad |= worst > allowed
            print(f"{verdict:8} {what}: {count} compared, largest difference {worst:.3g}, allowed {allowed:.3g}")
            if worst > allowed:
                print(f"         {found}")
        return 1 if bad else 0


def figure(value):
    return value["value"] if isinstance(value, dict) else value


def reckon(command, lines):
    text = "\n".join(json.dumps(line) for line in lines)
    ran = subprocess.run(command, input=text, capture_output=True, text=True, check=True)
    answers = [json.loads(line) for line in ran.stdout.splitlines()]
    assert len(answers) == len(lines), "one answer a line"
    return answers


# --- the site's air ----------------------------------------------------------------------------------------

def air_input(chance):
    return {
        "altitude": f"{chance.uniform(0, 4000):.1f} m",
        "temperature": f"{chance.uniform(-40, 45):.2f} degC",
        "relative_humidity": round(chance.uniform(0.05, 1.0), 3),
    }


def air(opinions, case, answer):
    z = float(case["altitude"].split()[0])
    t = float(case["temperature"].split()[0]) + KELVIN
    humidity = case["relative_humidity"]
    p = figure(answer["pressure"])
    saturated = figure(answer["saturation_pressure"])
    vapour = figure(answer["vapour_pressure"])
    dew = figure(answer["dew_point"]) + KELVIN
    opinions.compare("pressure, fluids 1976 atmosphere", p, standard(z), 1e-5, case)
    opinions.compare("pressure, psychrolib", p, psychrolib.GetStandardAtmPressure(z), 1e-5, case)
    opinions.compare("saturation, psychrolib", saturated, psychrolib.GetSatVapPres(t - KELVIN), 1e-6, case)
    if t > KELVIN + 0.02:
        opinions.compare("saturation over water, CoolProp", saturated, PropsSI("P", "T", t, "Q", 1, "Water"), 4e-4, case)
        real = HAPropsSI("Vha", "T", t, "P", p, "R", humidity)
        opinions.compare("density of moist air, CoolProp", figure(answer["density"]), 1.0 / real, 1.5e-3, case)
    if dew > KELVIN + 0.5:
        opinions.compare("dew point, CoolProp, K", dew, PropsSI("T", "P", vapour, "Q", 1, "Water"), 0.02, case, True)
    opinions.compare("dew point, psychrolib, K", dew - KELVIN,
                     psychrolib.GetTDewPointFromVapPres(t - KELVIN, min(vapour, saturated)), 1e-4, case, True)
    opinions.compare("humidity ratio, psychrolib", answer["humidity_ratio"],
                     psychrolib.GetHumRatioFromVapPres(vapour, p), 1e-5, case)


def standard(z):
    """Pressure by the 1976 atmosphere for a geopotential altitude (the library takes a geometric one)."""
    radius = 6356766.0
    return fluids.atmosphere.ATMOSPHERE_1976(z * radius / (radius - z)).P


# --- combustion --------------------------------------------------------------------------------------------

def combustion_input(chance):
    return {
        "fuel": chance.choice(list(FUELS)),
        "air_ratio": round(chance.uniform(1.0, 6.0), 3),
        "altitude": f"{chance.uniform(0, 3000):.1f} m",
        "air_temperature": f"{chance.uniform(-30, 35):.1f} degC",
        "relative_humidity": round(chance.uniform(0, 1), 3),
    }


def burn(fuel, ratio, vapour):
    """Moles of nitrogen, oxygen, argon, carbon dioxide and water per mole of fuel, atom by atom."""
    need = sum(x * (ATOMS[s][0] + ATOMS[s][1] / 4) for s, x in fuel.items() if s in ATOMS)
    dry = ratio * need / DRY_AIR[1]
    carbon = sum(x * ATOMS[s][0] for s, x in fuel.items() if s in ATOMS) + fuel.get("carbon_dioxide", 0)
    hydrogen = sum(x * ATOMS[s][1] for s, x in fuel.items() if s in ATOMS)
    return [
        dry * DRY_AIR[0] + fuel.get("nitrogen", 0),
        dry * DRY_AIR[1] - need,
        dry * DRY_AIR[2],
        dry * DRY_AIR[3] + carbon,
        hydrogen / 2 + dry * vapour / (1 - vapour),
    ]


def combustion(opinions, case, answer):
    t = float(case["air_temperature"].split()[0])
    p = psychrolib.GetStandardAtmPressure(float(case["altitude"].split()[0]))
    vapour = case["relative_humidity"] * psychrolib.GetSatVapPres(t) / p
    moles = burn(FUELS[case["fuel"]], case["air_ratio"], vapour)
    names = ["nitrogen", "oxygen", "argon", "carbon_dioxide", "water"]
    for name, theirs in zip(names, moles):
        ours = answer["wet_fractions"][name]
        opinions.compare("wet products, atom by atom", ours, theirs / sum(moles), 2e-6, case, True)
    water = moles[4] / sum(moles) * p
    if water > 700:
        opinions.compare("exhaust dew point, CoolProp, K", figure(answer["dew_point"]) + KELVIN,
                         PropsSI("T", "P", water, "Q", 1, "Water"), 0.03, case, True)


# --- the flue ----------------------------------------------------------------------------------------------

def flue_input(chance):
    inside = chance.uniform(0.07, 0.13)
    tile = inside + chance.uniform(0.04, 0.15)
    ambient = chance.uniform(-20, 22)
    return {
        "site": {
            "altitude": f"{chance.uniform(0, 2500):.0f} m",
            "outdoor_temperature": f"{chance.uniform(-25, 25):.1f} degC",
            "relative_humidity": round(chance.uniform(0.3, 1.0), 2),
        },
        "fuel": chance.choice(list(FUELS)),
        "appliance": {
            "input": f"{chance.uniform(4, 14):.2f} kW", "flue_temperature": f"{chance.uniform(150, 320):.0f} degC",
            "air_ratio": 2.2, "pressure_drop": "6 Pa",
        },
        "segments": [{
            "length": f"{chance.uniform(2, 9):.2f} m",
            "exhaust": {
                "inside_diameter": f"{1000 * inside:.2f} mm", "outside_diameter": f"{1000 * inside + 3:.2f} mm",
                "roughness": f"{chance.uniform(0.5, 4):.2f} mm", "loss_coefficient": 0,
            },
            "intake": {"kind": "coaxial", "tile": {
                "shape": "rectangle", "a": f"{1000 * tile:.2f} mm", "b": f"{1200 * tile:.2f} mm",
                "area_factor": round(chance.uniform(0.9, 1.0), 3),
            }},
            "wall": {"layers": [
                {"thickness": "16 mm", "conductivity": "1.1 W/mK"},
                {"thickness": "20 mm", "resistance": "0.15 m2K/W"},
                {"thickness": "95 mm", "conductivity": "0.8 W/mK"},
            ], "outside_coefficient": f"{chance.uniform(8, 23):.1f} W/m2K"},
            "ambient": f"{ambient:.1f} degC",
        }],
        "solve": {"mode": "at", "air_ratio": round(chance.uniform(1.3, 4.0), 2)},
    }


def sized(text):
    """The number of a text with its unit, in metres where it is millimetres."""
    number, unit = text.split()
    return float(number) / (1000.0 if unit == "mm" else 1.0)


class Gas:
    """A mixture of ideal gases with CoolProp's pure-gas properties and Wilke's rule."""

    def __init__(self, moles):
        self.x = [m / sum(moles) for m in moles]
        self.molar = sum(x * m for x, m in zip(self.x, MOLAR)) / 1000.0

    def density(self, p, t):
        return p * self.molar / (R * t)

    def heat(self, t):
        # Water's ideal heat capacity hardly changes below its ice point, where the library does not go.
        warm = [max(t, 273.2) if g == "Water" else t for g in GASES]
        parts = (x * PropsSI("CP0MOLAR", "T", w, "P", 100.0, g) for x, w, g in zip(self.x, warm, GASES))
        return sum(parts) / self.molar

    def enthalpy(self, low, high, steps=64):
        """Simpson's rule over the ideal heat capacity."""
        width = (high - low) / steps
        weights = [1] + [4, 2] * (steps // 2 - 1) + [4, 1]
        return width / 3 * sum(w * self.heat(low + i * width) for i, w in enumerate(weights))

    def transport(self, t):
        """Viscosity and conductivity."""
        here = [(x, m, pure("V", g, t), pure("L", g, t)) for x, m, g in zip(self.x, MOLAR, GASES) if x > 0]
        viscosity = conductivity = 0.0
        for xi, mi, vi, li in here:
            total = sum(
                xj * (1 + math.sqrt(vi / vj) * (mj / mi) ** 0.25) ** 2 / math.sqrt(8 * (1 + mi / mj))
                for xj, mj, vj, _ in here
            )
            viscosity += xi * vi / total
            conductivity += xi * li / total
        return viscosity, conductivity


def pure(what, gas, t):
    """Viscosity or conductivity of a pure gas at low pressure (water as vapour, not below its ice point)."""
    if gas == "Water":
        t = max(t, 275.0)
        return PropsSI(what, "T", t, "P", min(600.0, 0.5 * PropsSI("P", "T", min(t, 640.0), "Q", 1, "Water")), gas)
    return PropsSI(what, "T", t, "P", 1e4, gas)


def flue(opinions, case, answer):
    segment = case["segments"][0]
    site = case["site"]
    p = psychrolib.GetStandardAtmPressure(float(site["altitude"].split()[0]))
    outdoors = float(site["outdoor_temperature"].split()[0])
    vapour = site["relative_humidity"] * psychrolib.GetSatVapPres(outdoors) / p
    exhaust = Gas(burn(FUELS[case["fuel"]], case["solve"]["air_ratio"], vapour))
    air_gas = Gas([x * (1 - vapour) for x in DRY_AIR[:4]] + [vapour])
    flow, air_flow = figure(answer["flue_flow"]), figure(answer["air_flow"])
    points = [
        [figure(point[key]) for key in ("height", "exhaust_temperature", "intake_temperature", "wall_temperature",
                                        "tile_temperature")]
        for point in answer["profile"]
    ]

    def kelvin(key):
        return figure(answer[key]) + KELVIN

    given_up = flow * exhaust.enthalpy(kelvin("exit_temperature"), kelvin("flue_temperature"))
    opinions.compare("heat of the exhaust, CoolProp", figure(answer["exhaust_heat"]), given_up, 1.5e-3, case)
    taken_up = air_flow * air_gas.enthalpy(outdoors + KELVIN, kelvin("intake_temperature"))
    opinions.compare("heat of the air, CoolProp, W", figure(answer["intake_heat"]), taken_up, 1.0, case, True)

    draft = integrate(points, lambda q: G * (air_gas.density(p, q[2] + KELVIN) - exhaust.density(p, q[1] + KELVIN)))
    opinions.compare("draft along the profile", figure(answer["draft"]), draft, 1e-3, case)

    inside = sized(segment["exhaust"]["inside_diameter"])
    rough = sized(segment["exhaust"]["roughness"])
    length = sized(segment["length"])
    area = math.pi * inside**2 / 4

    def reynolds(t):
        return max(2300.0, flow * inside / (area * exhaust.transport(t)[0]))

    def friction_here(q):
        t = q[1] + KELVIN
        factor = fluids.friction.Colebrook(reynolds(t), rough / inside)
        return factor / inside * (flow / area) ** 2 / (2 * exhaust.density(p, t))

    opinions.compare("friction of the liner, fluids (Colebrook)", figure(answer["exhaust_loss"]),
                     integrate(points, friction_here), 3e-3, case)

    film_of_the_liner(opinions, case, answer, points, exhaust, flow, inside, rough, length, reynolds)
    heat_through_the_wall(opinions, case, answer, points, segment)


def integrate(points, of):
    values = [of(q) for q in points]
    return sum(0.5 * (a + b) * (q[0] - o[0]) for o, q, a, b in zip(points, points[1:], values, values[1:]))


def film_of_the_liner(opinions, case, answer, points, exhaust, flow, inside, rough, length, reynolds):
    """The film that the profile implies, -m cp dT/dz = h pi D (T - Tw), against ht's short Gnielinski."""
    middle = len(points) // 2
    before, here, after = points[middle - 1], points[middle], points[middle + 1]
    slope = (after[1] - before[1]) / (after[0] - before[0])
    t = here[1] + KELVIN
    heat = exhaust.heat(t)
    implied = -flow * heat * slope / (math.pi * inside * (here[1] - here[3]))
    viscosity, conductivity = exhaust.transport(t)
    re = reynolds(t)
    rougher = fluids.friction.Colebrook(re, rough / inside) / fluids.friction.Colebrook(re, 0.0)
    nusselt = ht.conv_internal.turbulent_Gnielinski_smooth_1(re, heat * viscosity / conductivity)
    nusselt *= min(3.0, max(1.0, rougher)) ** 0.67 * (1 + (inside / length) ** 0.67)
    opinions.compare("film of the liner from the profile, ht (Gnielinski)", implied,
                     nusselt * conductivity / inside, 5e-3, case)


def heat_through_the_wall(opinions, case, answer, points, segment):
    """Heat to the surroundings against the tile temperatures of the profile and a wall of cylinders."""
    tile = segment["intake"]["tile"]
    a, b = sized(tile["a"]), sized(tile["b"])
    around = 2 * (a + b)
    inner = 4 * a * b * tile["area_factor"] / around
    resistance, d = 0.0, inner
    for layer in segment["wall"]["layers"]:
        thickness = sized(layer["thickness"])
        if "resistance" in layer:
            resistance += float(layer["resistance"].split()[0]) * inner / d
        else:
            resistance += 1.1 * inner / (2 * float(layer["conductivity"].split()[0])) * math.log((d + 2 * thickness) / d)
        d += 2 * thickness
    transfer = 1 / (resistance + inner / (d * float(segment["wall"]["outside_coefficient"].split()[0])))
    ambient = float(segment["ambient"].split()[0])
    lost = integrate(points, lambda q: transfer * around * (q[4] - ambient))
    opinions.compare("heat through the wall, W", figure(answer["ambient_heat"]), lost, 1.0, case, True)


def main():
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("--seed", type=int, default=7)
    arguments.add_argument("--count", type=int, default=200, help="inputs of each reckoning")
    arguments.add_argument("--command", nargs="+", default=[
        "cargo", "run", "--quiet", "--package", "wythe-trade", "--example", "reckon_lines",
    ])
    given = arguments.parse_args()
    chance = random.Random(given.seed)
    opinions = Opinions()
    kinds = [("air", air_input, air), ("combustion", combustion_input, combustion), ("flue", flue_input, flue)]
    for name, make, hold in kinds:
        cases = [make(chance) for _ in range(given.count)]
        answers = reckon(given.command, [{"name": name, "input": case} for case in cases])
        for case, answer in zip(cases, answers):
            assert "error" not in answer, (case, answer)
            hold(opinions, case, answer)
    print(f"seed {given.seed}, {given.count} inputs of each")
    return opinions.report()


if __name__ == "__main__":
    sys.exit(main())
