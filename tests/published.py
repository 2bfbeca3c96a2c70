#!/usr/bin/env python3
"""Published limits through the program's own rules: each A and B row of the tables below is
tried on a clean clinic (tests/rules/base) or explained.  A row names its source in
tests/reference; what fails is printed with it.
"""
import csv
import importlib.util
import json
import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

HERE = os.path.dirname(os.path.abspath(__file__))
specification = importlib.util.spec_from_file_location("rules", os.path.join(HERE, "rules.py"))
rules = importlib.util.module_from_spec(specification)
specification.loader.exec_module(rules)

BASE, SHELF, PATIENT = "protocols/base.yaml", "shelf.yaml", "patients/base.yaml"
COURSE = "protocols/course.yaml"


def edit(name, old, new):
    return ["file", name, old.split("\n"), new.split("\n")]


def findings(changes, check=PATIENT):
    """Rules that the changed clinic raises, with their severities."""
    options = {"check": check, "now": rules.NOW, "command": "check", "more": []}
    with rules.clean_clinic() as work:
        rules.apply(work, changes)
        return {(f["rule"], f["severity"]) for f in rules.judge(work, options)}


def needle(length, site, route="intramuscular", weight=None, sex="woman"):
    changes = [edit(SHELF, "  - {needle: 25 G x 1.5 in, hub: orange, dead_space: 0.01 mL}",
                    f"  - {{needle: 25 G x {length} in, hub: orange, dead_space: 0.01 mL}}"),
               edit(BASE, "      needle: 25 G x 1.5 in", f"      needle: 25 G x {length} in"),
               edit(BASE, "site: ventrogluteal", f"site: {site}"), edit(BASE, "route: intramuscular", f"route: {route}")]
    if length in ("1", "0.5"):
        changes.pop(0)
    if weight:
        changes.append(edit(PATIENT, "weight: 68 kg\nsex: woman", f"weight: {weight}\nsex: {sex}"))
    return findings(changes)


def volume(millilitres, site, route="intramuscular"):
    dose = f"{millilitres * 50:g} mg"
    return findings([edit(COURSE, "dose: 50 mg", f"dose: {dose}"), edit(COURSE, "site: ventrogluteal", f"site: {site}"),
                     edit(COURSE, "route: intramuscular", f"route: {route}"),
                     edit(COURSE, "syringe: 3 mL", "syringe: ten"),
                     edit(SHELF, "syringes:", "syringes:\n  - {name: ten, capacity: 10 mL, marks: mL, mark_every: 0.1 mL, "
                          "number_every: 1 mL, scale_length: 60 mm, barrel: 16 mm}")], "patients/course.yaml")


def gauge(number, colour, name=COURSE, old="      needle: 22 G x 1.5 in"):
    return findings([edit(SHELF, "needles:", f"needles:\n  - {{needle: {number} G x 1.5 in, hub: {colour}, dead_space: 0.02 mL}}"),
                     edit(name, old, f"      needle: {number} G x 1.5 in")],
                    "patients/course.yaml" if name == COURSE else PATIENT)


def hub(number, colour):
    """18, 22 and 25 G stand on the shelf already."""
    return findings([edit(SHELF, "  - {needle: 25 G x 1.5 in, hub: orange, dead_space: 0.01 mL}",
                          f"  - {{needle: {number} G x 1.5 in, hub: {colour}, dead_space: 0.01 mL}}"),
                     edit(BASE, "      needle: 25 G x 1.5 in", f"      needle: {number} G x 1.5 in")])


def offset(hours):
    return findings([edit(BASE, "36 h before", f"{hours} h before")], BASE)


def space(nozzle=0.03, filling=0.01, put_on=0.01, dose=None):
    """Published dead spaces in syringe, filling needle and the needle put on after it."""
    changes = [edit(SHELF, "dead_space: 0.03 mL, scale_length: 49 mm", f"dead_space: {nozzle} mL, scale_length: 49 mm"),
               edit(SHELF, "18 G x 1.5 in, hub: pink, dead_space: 0.01 mL", f"18 G x 1.5 in, hub: pink, dead_space: {filling} mL"),
               edit(SHELF, "25 G x 1.5 in, hub: orange, dead_space: 0.01 mL",
                    f"25 G x 1.5 in, hub: orange, dead_space: {put_on} mL")]
    if dose:
        changes.append(edit(BASE, "    dose: 10,000 units\n    dose_is: the whole content",
                            f"    dose: {dose}\n    dose_is: a measured part"))
    return findings(changes)


def sips(days):
    """Doses so small that one vial would last for all the days."""
    return findings([edit(COURSE, "dose: 50 mg", "dose: 10 mg"), edit(COURSE, "for 10 days", f"for {days} days")], COURSE)


def allergy(word, content):
    return findings([edit(SHELF, "    contains: [mannitol]", f"    contains: [{content}]"),
                     edit(PATIENT, "allergies: []", f"allergies: [{word}]")])


def keep(label, ahead):
    return findings([edit(SHELF, "keep: [up to 6 h in the refrigerator]", f"keep: [{label}]"),
                     edit(BASE, "      needle: 18 G x 1.5 in", f"      needle: 18 G x 1.5 in\n      ahead: {ahead}")])


MIXING = """      - {add: 1 mL, strength: "10,000 units/mL", withdraw: 1 mL, keep: [up to 6 h in the refrigerator]}
      - {add: 2 mL}
      - {add: 4 mL, makes: 4 mL, most_vials: 2}"""


def mixed(row):
    """A published row of a mixing table on the shelf: what is added, results and is stated."""
    unit = "units" if "units" in row["content_unit"].lower() or row["content_unit"] == "IU" else row["content_unit"]
    parts = [f"add: {float(row['diluent_added_mL']):g} mL"]
    if row["total_volume_mL"]:
        key = "withdraw" if "withdraw" in row["volume_term"] or "drawn" in row["volume_term"] else "makes"
        parts.append(f"{key}: {float(row['total_volume_mL']):g} mL")
    if row["concentration"]:
        strength = row["conc_unit"].replace("IU", "units").replace("USP ", "")
        parts.append(f"strength: \"{int(row['concentration']):,} {strength}\"" if row["concentration"].isdigit()
                     else f"strength: {row['concentration']} {strength}")
    content = f"{float(row['vial_content']):,.12g} {unit}"
    return findings([edit(SHELF, MIXING, "      - {" + ", ".join(parts) + "}"),
                     edit(SHELF, "    content: 10,000 units", f"    content: {content}")], BASE)


def part_of(content, row, dose, syringe="marks: mL, mark_every: 1 mL, number_every: 5 mL"):
    """The volume of a measured part of one vial, by its published row."""
    changes = [edit(SHELF, MIXING, "      - " + row), edit(SHELF, "    content: 10,000 units", f"    content: {content}"),
               edit(BASE, "    dose: 10,000 units\n    dose_is: the whole content",
                    f"    dose: {dose}\n    dose_is: a measured part"),
               edit(BASE, "add: 1 mL\n      syringe: 3 mL", row.split(",")[0].strip("{") + "\n      syringe: large"),
               edit(SHELF, "syringes:", f"syringes:\n  - {{name: large, capacity: 100 mL, {syringe}, scale_length: 100 mm, "
                    "barrel: 40 mm}")]
    with rules.clean_clinic() as work:
        rules.apply(work, changes)
        done = subprocess.run([rules.PROGRAM, "plan", "--format", "json", BASE], cwd=work, capture_output=True, timeout=60)
        return {("volume", json.loads(done.stdout)["injections"][0].get("exact_volume", {}).get("text"))}


def sums(volume):
    return lambda found: found == {("volume", volume)}


# Published rows that do not hold together, and why.
NOT_TOGETHER = {"R38": "prints 5.7 mL and 100 mg/mL for 500 mg"}


def doses(row, factor=1):
    """A published range of doses, so many times as much, on the shelf for a medicine of that generic name."""
    unit = "units" if "IU" in row["unit"] or "units" in row["unit"] else row["unit"]
    low, high = (f"{float(row[key]) * factor:,.12g} {unit}" for key in ("single_low", "single_high"))
    changes = [edit(SHELF, "    generic: leuprolide acetate", f"    generic: {row['medicine']}"),
               edit(SHELF, "single: 0.5 mg to 4 mg, set_by: the clinic", f"single: \"{low} to {high}\", set_by: the label")]
    if unit == "units":
        changes += [edit(SHELF, "    content: 14 mg", "    content: 14 units\n    activity: units of the label"),
                    edit(SHELF, "    strength: 5 mg/mL", "    strength: 5 units/mL")]
    return findings(changes, "protocols/ready.yaml")


def midnight(text):
    return findings([edit(COURSE, "when: 9 pm on day", f"when: {text} on day")], COURSE)


def has(rule, severity=None):
    return lambda found: any(r == rule and severity in (None, s) for r, s in found)


def lacks(rule, severity=None):
    return lambda found: not has(rule, severity)(found)


LENGTH, VOLUME, GAUGE, OFFSET = "needle_length_site", "volume_for_site", "gauge_for_fluid", "offset_outside_practice"
# row, what is asked, what must hold
CASES = [
    ("needle_length.csv", "N09", lambda: needle("0.625", "deltoid", weight="55 kg"), lacks("weight_needle")),
    ("needle_length.csv", "N09", lambda: needle("1.5", "deltoid", weight="55 kg"), has("weight_needle")),
    ("needle_length.csv", "N10", lambda: needle("1", "deltoid", weight="65 kg"), lacks("weight_needle")),
    ("needle_length.csv", "N10", lambda: needle("0.625", "deltoid", weight="65 kg"), has("weight_needle")),
    ("needle_length.csv", "N11", lambda: needle("1.5", "deltoid", weight="80 kg"), lacks("weight_needle")),
    ("needle_length.csv", "N12", lambda: needle("1", "deltoid", weight="110 kg", sex="man"), lacks("weight_needle")),
    ("needle_length.csv", "N12", lambda: needle("0.625", "deltoid", weight="110 kg", sex="man"), has("weight_needle")),
    ("needle_length.csv", "N13", lambda: needle("1", "deltoid", weight="95 kg"), has("weight_needle")),
    ("needle_length.csv", "N19", lambda: needle("1", "deltoid"), lacks(LENGTH)),
    ("needle_length.csv", "N19", lambda: needle("0.5", "deltoid"), has(LENGTH, "error")),
    ("needle_length.csv", "N20", lambda: needle("1", "ventrogluteal"), lacks(LENGTH, "error")),
    ("needle_length.csv", "N20", lambda: needle("0.625", "ventrogluteal"), has(LENGTH, "error")),
    ("needle_length.csv", "N26", lambda: needle("0.375", "abdomen", "subcutaneous"), lacks(LENGTH)),
    ("needle_length.csv", "N26", lambda: needle("1", "abdomen", "subcutaneous"), has(LENGTH, "error")),
    ("needle_length.csv", "N27", lambda: needle("0.5", "abdomen", "subcutaneous"), lacks(LENGTH)),
    ("needle_length.csv", "N37", lambda: needle("1", "ventrogluteal"), has(LENGTH, "warning")),
    ("needle_length.csv", "N39", lambda: needle("1", "dorsogluteal"), has(LENGTH, "error")),
    ("site_volume.csv", "V01", lambda: volume(2.5, "abdomen", "subcutaneous"), has(VOLUME, "error")),
    ("site_volume.csv", "V02", lambda: volume(3, "ventrogluteal"), lacks(VOLUME)),
    ("site_volume.csv", "V02", lambda: volume(3.5, "ventrogluteal"), has(VOLUME, "warning")),
    ("site_volume.csv", "V03", lambda: volume(1, "deltoid"), lacks(VOLUME)),
    ("site_volume.csv", "V03", lambda: volume(1.5, "deltoid"), has(VOLUME, "warning")),
    ("site_volume.csv", "V07", lambda: volume(5, "dorsogluteal"), lacks(VOLUME, "error")),
    ("site_volume.csv", "V08", lambda: volume(5.5, "thigh"), has(VOLUME, "error")),
    ("site_volume.csv", "V09", lambda: volume(1, "deltoid"), lacks(VOLUME)),
    ("site_volume.csv", "V10", lambda: volume(2, "deltoid"), lacks(VOLUME, "error")),
    ("site_volume.csv", "V10", lambda: volume(2.5, "deltoid"), has(VOLUME, "error")),
    ("site_volume.csv", "V11", lambda: volume(5.5, "ventrogluteal"), has(VOLUME, "error")),
    ("gauge_viscosity.csv", "Y05", lambda: gauge(27, "medium grey", BASE, "      needle: 25 G x 1.5 in"), lacks(GAUGE)),
    ("gauge_viscosity.csv", "Y07", lambda: gauge(23, "deep blue", BASE, "      needle: 25 G x 1.5 in"), lacks(GAUGE)),
    ("gauge_viscosity.csv", "Y14", lambda: findings([edit(BASE, "      needle: 25 G x 1.5 in", "      needle: 18 G x 1.5 in")]),
     has("mix_and_give_same_needle")),
    ("gauge_viscosity.csv", "Y17", lambda: findings([edit(BASE, "diluent: water ten", "diluent: water one")]),
     has("ampoule_unfiltered")),
    ("gauge_viscosity.csv", "Y18", lambda: findings([edit(BASE, "      needle: 25 G x 1.5 in", "      needle: 18 G x 1 in")]),
     has("filter_needle_given")),
    ("needle_colour.csv", "K42", lambda: hub(20, "yellow"), lacks("needle_colour_disagrees")),
    ("needle_colour.csv", "K42", lambda: hub(20, "pink"), has("needle_colour_disagrees")),
    ("needle_colour.csv", "K43", lambda: hub(27, "grey"), lacks("needle_colour_disagrees")),
    ("syringe_graduation.csv", "G39", lambda: findings([edit(BASE, "syringe: 3 mL", "syringe: 5 mL")]), has("syringe_too_large")),
    ("syringe_graduation.csv", "G40", lambda: findings([edit(SHELF, "marks: mL, mark_every: 0.1 mL", "marks: U-100 marks, mark_every: 0.1 mL")]),
     has("wrong_scale")),
    ("syringe_graduation.csv", "G08", lambda: space(nozzle=0.07), lacks("dead_space")),
    ("syringe_graduation.csv", "G14", lambda: space(put_on=0.05), lacks("dead_space")),
    ("syringe_graduation.csv", "G15", lambda: space(put_on=0.05, dose="4,000 units"), has("dead_space", "warning")),
    ("syringe_graduation.csv", "G16", lambda: space(filling=0.07), lacks("dead_space")),
    ("syringe_graduation.csv", "G16", lambda: space(put_on=0.07, dose="6,000 units"), has("dead_space", "warning")),
    ("storage.csv", "S25", lambda: keep("at once", "up to 1 h in the refrigerator"), has("mix_before_label")),
    ("storage.csv", "S35", lambda: keep("up to 1 h at room temperature", "up to 1 h at room temperature"), lacks("mix_before_label")),
    ("storage.csv", "S35", lambda: keep("up to 1 h at room temperature", "up to 2 h at room temperature"), has("mix_before_label")),
    ("storage.csv", "S40", lambda: keep("up to 4 h at room temperature", "up to 4 h in the refrigerator"), has("mix_before_label")),
    ("storage.csv", "S22", lambda: sips(29), lacks("in_use_over")),
    ("storage.csv", "S22", lambda: sips(30), has("in_use_over")),
    ("storage.csv", "S30", lambda: findings([edit(SHELF, "temperature: 2 C to 8 C, take_out: 30 min", "temperature: 2 C to 8 C")],
                                            "protocols/ready.yaml"), has("warm_up")),
    ("storage.csv", "S04", lambda: findings([edit(SHELF, "temperature: 2 C to 8 C, take_out: 30 min", "temperature: 36 F to 46 F")],
                                            "protocols/ready.yaml"), has("warm_up")),
    ("excipients.csv", "X10", lambda: allergy("benzyl alcohol", "benzyl alcohol"), has("allergy_excipient")),
    ("excipients.csv", "X11", lambda: allergy("preservative benzyl alcohol", "benzyl alcohol"), has("allergy_excipient")),
    ("excipients.csv", "X15", lambda: allergy("sesame seeds", "sesame oil"), has("allergy_excipient")),
    ("excipients.csv", "X16", lambda: allergy("soya", "arachis oil"), has("allergy_excipient")),
    ("excipients.csv", "X17", lambda: allergy("peanut", "arachis oil"), has("allergy_excipient")),
    ("excipients.csv", "X17", lambda: allergy("peanut", "sunflower oil"), lacks("allergy_excipient")),
    ("excipients.csv", "X19", lambda: allergy("castor oil", "castor oil polyoxyl"), has("allergy_excipient")),
    ("excipients.csv", "X20", lambda: allergy("latex", "dry natural rubber"), has("allergy_excipient")),
    ("excipients.csv", "X22", lambda: allergy("mannitol", "mannitol"), has("allergy_excipient")),
    ("excipients.csv", "X23", lambda: allergy("lactose", "lactose monohydrate"), has("allergy_excipient")),
    ("excipients.csv", "X24", lambda: allergy("cresol", "m-cresol"), has("allergy_excipient")),
    ("excipients.csv", "X25", lambda: allergy("soya", "soybean lecithin"), has("allergy_excipient")),
    ("excipients.csv", "X27", lambda: allergy("local anaesthetics", "lidocaine"), has("allergy_excipient")),
    ("timing.csv", "T10", lambda: offset(38), lacks(OFFSET)), ("timing.csv", "T12", lambda: offset(37), lacks(OFFSET)),
    ("timing.csv", "T13", lambda: offset(35), lacks(OFFSET)), ("timing.csv", "T14", lambda: offset(36), lacks(OFFSET)),
    ("timing.csv", "T15", lambda: offset(34), lacks(OFFSET)), ("timing.csv", "T16", lambda: offset("34.5"), lacks(OFFSET)),
    ("timing.csv", "T17", lambda: offset(32), has(OFFSET, "warning")), ("timing.csv", "T11", lambda: offset(39), has(OFFSET, "warning")),
    ("timing.csv", "T20", lambda: offset(35), lacks(OFFSET)), ("timing.csv", "T21", lambda: offset(40), has(OFFSET, "warning")),
    ("timing.csv", "T22", lambda: offset(34), lacks(OFFSET)), ("timing.csv", "T01", lambda: offset(46), has(OFFSET, "error")),
    ("sources.csv", "SI12", lambda: needle("1.5", "dorsogluteal"), has("muscle_missed", "note")),
    ("sources.csv", "SI12", lambda: needle("1.5", "dorsogluteal"), lacks(LENGTH)),
    ("sources.csv", "SI13", lambda: needle("1", "ventrogluteal"), has(LENGTH, "warning")),
    ("sources.csv", "SI14", lambda: needle("1.25", "dorsogluteal"), has(LENGTH, "error")),
    ("sources.csv", "SI03", lambda: findings([edit(BASE, "by: self or helper", "by: self")]), has("self_reach")),
    ("sources.csv", "SI03", lambda: findings([edit(BASE, "by: self or helper", "by: helper")]), lacks("self_reach")),
    ("sources.csv", "SI30", lambda: findings([edit(PATIENT, "bleeding: []", "bleeding: [blood thinner]")]), has("bleeding_risk")),
    ("sources.csv", "CO12", lambda: findings([edit(BASE, "late: Call us now.", "late: Call us now. It is no disaster.")]),
     lacks("scare_words")),
    ("sources.csv", "CO13", lambda: findings([edit(BASE, "why: It readies your eggs.", "why: To miss it is a disaster.")]),
     has("scare_words")),
    ("sources.csv", "RU03", lambda: findings([edit(BASE, "late: Call us now.", "late: Call us now. Drink a teaspoon of it.")]),
     has("household_measure")),
    ("time_law.csv", "L01", lambda: midnight("12 am"), has("midnight_words")),
    ("time_law.csv", "L02", lambda: midnight("12 pm"), has("midnight_words")),
    ("time_law.csv", "L03", lambda: midnight("11:59 pm"), lacks("midnight_words")),
    ("time_law.csv", "L04", lambda: midnight("24:00"), has("midnight_words")),
    ("time_law.csv", "L05", lambda: midnight("midnight"), has("midnight_words")),
    ("time_law.csv", "L13", lambda: midnight("00:00"), has("midnight_words")),
    ("time_law.csv", "L14", lambda: midnight("24:00"), has("midnight_words")),
]

EXPLAINED = {
    "needle_length.csv": {"N01 N02 N05 N06 N15 N18": "children: outside what the program is for",
                          "N29": "a needle to mix with, which no published length binds"},
    "site_volume.csv": {"V31": "a limit of dose, not of volume"},
    "gauge_viscosity.csv": {"Y06": "a fixed needle; its gauge is checked by no rule", "Y13": "the change of needle, by Y14",
                            "Y19": "a pore size, which no shelf states",
                            "Y21 Y22 Y23 Y24 Y30": "evidence about particles, no limit"},
    "needle_colour.csv": {"K46 K47 K48 K49 K50 K51 K52 K53 K54 K55 K56 K57 K58 K59 K60": "wire diameters: the drawing uses ISO 9626",
                          "K76 K77 K78 K79 K80 K81 K82 K83 K84": "conversions, exact in the units: tests/unit/test_quantity.c"},
    "syringe_graduation.csv": {"G09 G10 G11 G12 G13 G41 G42": "dead spaces of syringes; tried by G08",
                               "G29 G30 G31 G32 G38": "the U-100 scale: tests/unit/test_plan.c and test_figures.c",
                               "G33 G34 G35 G36 G37": "the U-40 scale, which no shelf can state"},
    "storage.csv": {"S01 S06": "terms that no key uses", "S13 S14 S45": "compounding in a pharmacy", "S19": "vaccines",
                    "S21 S26 S31 S32 S33 S34 S36 S37 S41 S43 S44 S46": "label facts of one product, stated on a shelf"},
    "excipients.csv": {"X01 X02 X03 X04 X05 X09 X12": "neonates and routes that the program does not know",
                       "X21": "says that there is none", "X28": "a precipitation of one antibiotic"},
    "timing.csv": {"T05 T06 T07 T08 T09 T18 T19 T30 T31 T32 T33 T34 T35 T36 T37": "evidence, no limit of its own",
                   "T23": "counted from another injection: tests/rules/anchor_unknown", "T27 T28 T29": "days of other medicines"},
    "time_law.csv": {"L06": "a style of 1953", "L16": "tests/unit/test_moment.c", "L18 L19 L20 L21": "tests/reference.py, each vector",
                     "L25": "the program has no such rounding: tests/unit/test_quantity.c"},
}

# A published row whose volume and strength differ: 10 g and 96 mL are 102 mL, and 1 g in 10 mL.
CEFAZOLIN = "{add: 96 mL, makes: 102 mL, strength: 100 mg/mL}"
# A published label that gives less than it is mixed with: 125 mg, 1.2 mL in, 1 mL out
# (prescribing information, ampicillin for injection, for intramuscular use; from memory).
AMPICILLIN = "{add: 1.2 mL, strength: 125 mg/mL, withdraw: 1 mL}"
CASES += [
    ("reconstitution.csv", "R18", lambda: part_of("10 g", CEFAZOLIN, "2,500 mg"), sums("25 mL")),
    ("reconstitution.csv", "R18", lambda: findings([edit(SHELF, MIXING, "      - " + CEFAZOLIN),
                                                    edit(SHELF, "    content: 10,000 units", "    content: 10 g")], BASE),
     has("strength_disagrees", "warning")),
    ("reconstitution.csv", "R15", lambda: part_of("500 mg", "{add: 2 mL, makes: 2.2 mL, strength: 225 mg/mL}", "225 mg"),
     sums("1 mL")),
    ("reconstitution.csv", "R26", lambda: part_of("1 g", "{add: 3.5 mL, strength: 250 mg/mL, withdraw: 4 mL}", "500 mg"),
     sums("2 mL")),
    ("ampicillin", "125 mg", lambda: findings([edit(SHELF, MIXING, "      - " + AMPICILLIN),
                                               edit(SHELF, "    content: 10,000 units", "    content: 125 mg")], BASE),
     lacks("strength_disagrees")),
    ("ampicillin", "125 mg", lambda: part_of("125 mg", AMPICILLIN, "125 mg"), sums("1 mL")),
]

faults, sources = [], {}
for name in EXPLAINED:
    with open(os.path.join(HERE, "reference", name), encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["source_grade"] in ("A", "B"):
                sources[(name, row["row_id"])] = row["source"]
applied = {(name, row) for name, row, _, _ in CASES}
explained = {(name, row) for name, groups in EXPLAINED.items() for ids in groups for row in ids.split()}
for key in sources:
    if (key in applied) == (key in explained):
        faults.append(f"{key[0]} {key[1]}: {'applied and explained' if key in applied else 'neither applied nor explained'}")
for key in {key for key in applied | explained if key[0] in EXPLAINED} - set(sources):
    faults.append(f"{key[0]} {key[1]}: no row of grade A or B")


with open(os.path.join(HERE, "reference", "reconstitution.csv"), encoding="utf-8", newline="") as file:
    for row in csv.DictReader(file):
        if row["diluent_added_mL"] and row["vial_content"] and (row["total_volume_mL"] or row["concentration"]):
            sources[("reconstitution.csv", row["row_id"])] = row["drug"]
            CASES.append(("reconstitution.csv", row["row_id"], lambda row=row: mixed(row),
                          (has if row["row_id"] in NOT_TOGETHER else lacks)("strength_disagrees", "error")))

# Doses: a published range fits, and ten times the highest or a tenth of the lowest of a medicine does not.
with open(os.path.join(HERE, "reference", "dose_ranges.csv"), encoding="utf-8", newline="") as file:
    RANGES = [row for row in csv.DictReader(file) if row["source_grade"] in ("A", "B") and "/kg" not in row["unit"]]
# doses.def has wider bounds for these, from memory: a hundredfold dose stays outside.
WIDENED = ("leuprorelin", "estradiol valerate")
for row in RANGES:
    same = [other for other in RANGES if (other["medicine"], other["unit"][:3]) == (row["medicine"], row["unit"][:3])]
    sources[("dose_ranges.csv", row["row_id"])] = row["source"]
    CASES.append(("dose_ranges.csv", row["row_id"], lambda row=row: doses(row), lacks("dose_range_implausible", "error")))
    much = 100 if row["medicine"].startswith(WIDENED) else 10
    for factor, key, end in ((much, "single_high", max), (1 / much, "single_low", min)):
        if float(row[key]) == end(float(other[key]) for other in same):
            CASES.append(("dose_ranges.csv", row["row_id"], lambda row=row, factor=factor: doses(row, factor),
                          has("dose_range_implausible", "error")))


def run(case):
    name, row, ask, holds = case
    try:
        found = ask()
    except rules.CaseError as error:
        return f"{row}: {error}"
    return None if holds(found) else f"{row}: found {sorted(found)} [{sources.get((name, row))}]"


with ThreadPoolExecutor(2) as pool:
    faults += [fault for fault in pool.map(run, CASES) if fault]
print("\n".join(faults))
print(f"{len(CASES) - len(faults)} passed, {len(faults)} failed")
sys.exit(1 if faults else 0)
