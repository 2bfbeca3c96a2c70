#!/usr/bin/env python3
"""The published lists of error-prone short forms, row by row (tests/reference/error_prone.csv),
each in the ways that people write it, with and without a figure before it: every one is found
in a text for people, and none of the ordinary sentences beside them is."""
import csv
import importlib.util
import os
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
specification = importlib.util.spec_from_file_location("rules", os.path.join(HERE, "rules.py"))
rules = importlib.util.module_from_spec(specification)
specification.loader.exec_module(rules)

# row: the ways of writing it.  What follows "more" stands on the list and in no row of ours (from memory).
WAYS = {
    "E03": ["give 10 IU", "10IU", "10 iu", "10 I.U.", "so many IU"], "E06": ["1.0 mg", "5.0mL", "0.50 mL"],
    "E07": ["give .5 mg", ".5mL"], "E09": ["100 µg", "100µg", "100 ug", "100ug"],
    "E10": ["1 cc", "1cc", "1 CC", "two cc", "1 c.c."], "E11": ["give it SC", "SQ", "sub q", "subQ", "sub-q", "s.c.", "S.C.", "sq", "s/c"],
    "E12": ["take at HS", "hs", "h.s."], "E14": ["at BT"], "E15": ["qhs", "QHS", "q.h.s."], "E17": ["q1d", "Q1D"],
    "E18": ["q6PM", "q6 pm", "q 6PM", "q8 p.m."], "E19": ["TIW", "tiw", "t.i.w."], "E20": ["UD", "use u.d."],
    "E21": ["o.d.", "OD", "od"], "E22": ["D/C", "d/c"], "E26": ["ss", "SS"],
    "E27": ["5 ml", "5ml", "5 ML", "5 mls", "draw it in ml", "1 l", "1l"], "E28": ["@ the desk", "come @ ten"],
    "E29": ["you & me", "A&B"], "E30": ["syringe + needle", "2+2"], "E31": ["every 2°", "° of care"],
    "E33": ["> a day", "<10", "less < more"], "E34": ["10mg", "100mL", "10units", "5mcg", "10Units"],
    "E37": ["10000", "100000 units"], "E38": ["1/2 of it", "1/2"], "E39": ["use IV vials", "V vials", "X of them", "take ii"],
    "E40": ["1:1,000", "1:1000", "1:100", "1:10,000"], "E43": ["MTX"], "E44": ["HCT", "HCTZ", "hCG", "HCG", "hcg", "hMG"],
    "E46": ["x3d", "x 3 d", "x3 days", "3x/day"], "E47": ["≥ a day", "≤ a day"], "E48": ["10K", "10 M units", "5k", "10MM"],
    "E49": ["12 am", "12 pm", "12am", "12:00 p.m.", "12 a.m."], "E50": ["midnight", "by Midnight", "mid-night"],
    "more": ["10U", "10 u", "some U", "QD", "q.d.", "qd", "QOD", "q.o.d.", "q6h", "q 12 hrs", "BID", "t.i.d.", "PRN", "p.o.",
             "OS", "OU", "AU", "BIW", "SSI", "↑ it", "1 mg. a day", "MSO4", "10 ng", "two teaspoons", "a tablespoon",
             "a tsp", "ten drops", "2 oz", "24:00", "00:00", "twelve at night", "Take 5im"],
}
ORDINARY = [
    "Call us in the morning.", "It is as good as new.", "You may feel a drop of blood or two.", "Come at a quarter of an hour's notice.",
    "Put it in the box; the lid is on.", "A person is there at any hour.", "Use both hands.", "Lie down and rest.",
    "Ask at the desk, or ring.", "Sit, then breathe out slowly.", "Is it sore? That is normal.", "Keep the cap on until you are told.",
    "It can sting (a little).", "Wipe from the middle to the outside.", "Look on page two.", "Your helper's hands are clean too.",
    "Keep this sheet at 20 C to 25 C.", "It is one of us who answers.", "Drink two cups of water.", "Mums and dads are welcome.",
    "The screen says A or B.", "Good luck.", "The clinic is on Main Street 12.", "Odd numbers are on the left.", "The sub is in the harbour.",
]


def found(texts, folder="protocols/base.yaml"):
    """{text: rules} for texts that stand as notes of one protocol."""
    lines = [f"      - {rules.json.dumps(text, ensure_ascii=False)}" for text in texts]
    changes = [["file", folder, ["    late: Call us now."], ["    late: Call us now.", "    notes:"] + lines]]
    with rules.tempfile.TemporaryDirectory() as scratch:
        work = os.path.join(scratch, "case")
        rules.shutil.copytree(os.path.join(rules.CASES, "base"), work)
        rules.apply(work, changes)
        with open(os.path.join(work, folder), encoding="utf-8") as file:
            first = file.read().split("\n").index(lines[0]) + 1
        options = {"check": folder, "now": rules.NOW, "command": "check", "more": []}
        seen = {text: set() for text in texts}
        for finding in rules.judge(work, options):
            if finding["file"] == folder and first <= finding["line"] < first + len(texts):
                seen[texts[finding["line"] - first]].add(finding["rule"])
    return seen


FORMS = {"unsafe_abbreviation", "trailing_zero", "naked_decimal", "ungrouped_thousands", "midnight_words", "household_measure",
         "number_form", "hidden_characters"}
with open(os.path.join(HERE, "reference", "error_prone.csv"), encoding="utf-8", newline="") as table:
    ROWS = {row["row_id"]: row for row in csv.DictReader(table)}
faults = [f"{row}: is not tried" for row in ROWS if row not in WAYS]
texts = [text for ways in WAYS.values() for text in ways]
seen = found(texts)
texts.append("100 \u03bcg")  # a Greek letter among Latin ones stops the file before any other finding
WAYS["E09"].append(texts[-1])
seen.update(found(texts[-1:]))
for row, ways in WAYS.items():
    source = ROWS[row]["source"] if row in ROWS else "from memory"
    faults += [f"{row}: {text!r} is not found [{source}]" for text in ways if not seen[text] & FORMS]
faults += [f"ordinary: {text!r} raises {sorted(rule)}" for text, rule in found(ORDINARY).items() if rule]
print("\n".join(faults))
print(f"{len(texts) + len(ORDINARY) - len(faults)} passed, {len(faults)} failed")
sys.exit(1 if faults else 0)
