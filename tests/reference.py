#!/usr/bin/env python3
"""Published tables through the program's own sums (.build/drivers/sums).

Every A and B row of reconstitution.csv, ready_to_use.csv and worked_examples.csv that
states a volume or a concentration is applied; every other A or B row must be explained
below, or this test fails.  The program's answers are compared with a third sum, in
exact fractions.  Time: dst_vectors.csv and dst_local_status.csv (computed from the IANA
database), each row.  Each failure names its row and source.
"""
import csv
import os
import subprocess
import sys
from fractions import Fraction

HERE = os.path.dirname(os.path.abspath(__file__))
SUMS = os.path.join(HERE, "..", ".build", "drivers", "sums")

# Published rows whose three figures do not fit together: they must come out as disagreeing.
BEYOND_10_PERCENT = {"Q07", "R38"}
BEYOND_2_PERCENT = {"R41"}
# A and B rows that state nothing that the mixing sum could use.
EXPLAINED = {
    "W04": "counts tablets", "W08": "counts tablets", "W53": "counts tablets",
    "W06": "an infusion rate, which this program does not do", "W12": "a dose by body surface, rounded half-way",
    "W25": "a household measure: refused on purpose", "W26": "a household measure: refused on purpose",
    "W27": "a household measure: refused on purpose", "W28": "a household measure: refused on purpose",
    "W31": "a rule that drops decimals; the program rounds half up", "W16": "a conversion, checked with the units",
}
CONVERSIONS = {"W13": ("37 lb", "kg", "1/10"), "W14": ("1000 g", None, None), "W15": ("1000 mcg", "mg", None),
               "W16": ("1000 mL", "L", None), "W18": ("1500 mg", "g", None), "W20": ("750 mg", "g", None),
               "W23": ("2.2 lb", "kg", "1/10"), "W24": ("143 lb", "kg", "1")}
EXPLAINED["W14"] = "kilograms here are a body weight, grams a mass of medicine: kept apart on purpose"

questions, checks, faults, applied = [], [], [], 0


def ask(question, check):
    questions.append(question)
    checks.append(check)


def rows(name):
    with open(os.path.join(HERE, "reference", name), encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["source_grade"] in ("A", "B"):
                yield row


def fault(row, text):
    faults.append(f"{row['row_id']}: {text} [{row['source']}]")


def unit(word):
    """Our word for a unit: the kind before it (USP, IU) is kept apart from the count."""
    return "units" if word in ("IU", "USP units", "units") else word


def expect(row, wanted, what):
    def check(answer):
        if answer == "fault" or Fraction(answer) != wanted:
            fault(row, f"{what}: {answer} instead of {wanted}")
    return check


def agree(row, content, volume, concentration):
    """Content, volume and concentration agree within 2 %, or stand on the lists above."""
    def check(answer):
        if answer == "fault":
            fault(row, "the program could not work out the volume")
            return
        apart = abs(Fraction(answer) - volume) / volume
        group = 10 if apart > Fraction(1, 10) else 2 if apart > Fraction(2, 100) else 0
        wanted = 10 if row["row_id"] in BEYOND_10_PERCENT else 2 if row["row_id"] in BEYOND_2_PERCENT else 0
        if group != wanted:
            fault(row, f"{content} at {concentration} is {answer} mL, published {volume} mL: "
                       f"apart by more than {group} %, expected {wanted} %")
    return check


def displacement(row, added):
    def check(answer):
        if answer == "fault" or Fraction(answer) < added * Fraction(98, 100):
            fault(row, f"{answer} mL results from {added} mL added: powder cannot shrink the liquid")
    return check


def decimal(text):
    """As the program reads it: no trailing zero, a leading one."""
    value = Fraction(text)
    whole = value.numerator // value.denominator
    rest = f"{value.numerator}/{value.denominator}" if value.denominator != 1 else str(value.numerator)
    return rest if whole == 0 or value.denominator == 1 else f"{whole} {value - whole}"


def mixing_row(row, content, volume, concentration, per):
    global applied
    amount = f"{decimal(content)} {unit(row.get('content_unit') or row['amount_unit'])}"
    if concentration:
        strength = f"{decimal(concentration)} {unit(row['conc_unit'].split('/')[0])}/mL"
        applied += 1
        if volume:
            ask(f"volume {amount}|{strength}", agree(row, amount, Fraction(volume), strength))
        elif row.get("diluent_added_mL"):
            ask(f"volume {amount}|{strength}", displacement(row, Fraction(row["diluent_added_mL"])))
        else:
            ask(f"volume {amount}|{strength}", lambda answer: answer != "fault" or fault(row, "no answer"))
        return
    if volume:
        applied += 1
        ask(f"dose {decimal(volume)}|{amount} per {decimal(volume)} mL",
            lambda answer: answer == "fault" and fault(row, "no answer"))
        return
    if not row.get("diluent_added_mL"):
        fault(row, "neither applied nor explained")


for row in rows("reconstitution.csv"):
    mixing_row(row, row["vial_content"], row["total_volume_mL"], row["concentration"], "vial")
for row in rows("ready_to_use.csv"):
    mixing_row(row, row["amount"], row["volume_mL"], row["concentration"], "container")

STEPS = {"tenth": "1/10", "tenth, final step only": "1/10", "whole": "1", "": None}
for row in rows("worked_examples.csv"):
    identity, kind, answer = row["row_id"], row["kind"], Fraction(row["published_answer"])
    if kind in ("volume", "reconstitution", "device"):
        applied += 1
        per = f"{decimal(row['supply_amount'])} {unit(row['supply_unit'])} per {decimal(row['supply_volume'])} mL"
        dose = f"{decimal(row['ordered_amount'])} {unit(row['ordered_unit'])}"
        factor = {("g", "mg"): 1000, ("mg", "g"): Fraction(1, 1000)}.get((row["ordered_unit"], row["supply_unit"]), 1)
        exact = Fraction(row["ordered_amount"]) * factor / Fraction(row["supply_amount"]) * Fraction(row["supply_volume"])
        ask(f"volume {dose}|{per}", expect(row, exact, "exact volume"))
        step = STEPS[row["published_rounding"]]
        if step:
            ask(f"round {exact.numerator}/{exact.denominator}|{step}", expect(row, answer, "rounded"))
        elif exact != answer:
            fault(row, f"a third sum gives {exact}")
    elif kind == "weight dose":
        applied += 1
        pounds = Fraction(row["weight"]) / Fraction("2.2")  # the textbook's round figure
        dose = pounds * Fraction(row["ordered_amount"])
        per = f"{decimal(row['supply_amount'])} {row['supply_unit']} per {decimal(row['supply_volume'])} mL"
        exact = dose / Fraction(row["supply_amount"]) * Fraction(row["supply_volume"])
        ask(f"volume {decimal(str(dose))} mg|{per}", expect(row, exact, "exact volume"))
    elif kind == "rounding" and identity not in EXPLAINED:
        applied += 1
        ask(f"round {decimal(row['ordered_amount'])}|1/10", expect(row, answer, "rounded"))
    elif identity in CONVERSIONS and identity not in ("W14",):
        applied += 1
        start, target, step = CONVERSIONS[identity]

        def check(found, row=row, step=step, answer=answer):
            value = Fraction(found) if found != "fault" else None
            if value is None or (step and round(value / Fraction(step)) * Fraction(step) != answer) or \
                    (not step and value != answer):
                fault(row, f"converted to {found}, published {answer}")
        ask(f"convert {start}|{target}", check)
    elif identity not in EXPLAINED:
        fault(row, "neither applied nor explained")

for row in rows("dst_vectors.csv"):
    applied += 1
    minutes = int(Fraction(row["interval_h"]) * 60)

    def time_check(found, row=row):
        sign = -1 if row["injection_utc_offset"][0] == "-" else 1
        hours, minutes = row["injection_utc_offset"][1:].split(":")
        offset = sign * (int(hours) * 3600 + int(minutes) * 60)
        wanted = f"{row['injection_local'].replace('T', ' ')} {offset}"
        if found != wanted:
            fault(row, f"{found} instead of {wanted}")
    ask(f"back {row['zone']}|{row['procedure_local'].replace('T', ' ')}|{minutes}", time_check)

for row in rows("dst_local_status.csv"):
    applied += 1

    def status_check(found, row=row):
        wanted = {"nonexistent": "0", "normal": "1", "ambiguous": "2"}[row["status"]]
        if found.split(" ")[0] != wanted:
            fault(row, f"{found} for a time that is {row['status']}")
    ask(f"instants {row['zone']}|{row['local_time'].replace('T', ' ')}", status_check)

done = subprocess.run([SUMS], input="\n".join(questions) + "\n", capture_output=True, text=True)
answers = done.stdout.split("\n")[:-1]
if len(answers) != len(questions):
    faults.append(f"{len(questions)} questions, {len(answers)} answers")
for answer, check in zip(answers, checks):
    check(answer)
print("\n".join(faults))
print(f"{applied - len(faults)} passed, {len(faults)} failed")
sys.exit(1 if faults or applied < 80 else 0)
