#!/usr/bin/env python3
"""The published lists of error-prone short forms, row by row (tests/reference/error_prone.csv),
each in the ways that people write it, with and without a figure before it: every one is found
in a text for people, and none of the ordinary sentences beside them is.  So are sentences that
go against the plan."""
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
# What a clinic may well write beside the plan, and what it must not (common practice, no source).
ADVICE = [
    "Call us now, at any hour. Do not inject until we have spoken.", "Call us now. We will tell you what to do next.",
    "Ring the night number as soon as you notice. Do not take two doses.",
    "If you miss it, call us before you do anything else.", "Call us now, even at three.",
    "Sit down and let your leg hang loose.", "Stand on the other leg, so that the muscle is loose.",
    "Choose a side. Stand with your weight on the other leg.", "Rest your arm against the corner of a wall.",
    "Ask your helper to stand behind you.", "Lie on your side with the upper knee bent.",
    "Pinch a fold of skin two fingers wide.", "Warm the vial in your hands first. The oil then runs more easily.",
    "Press for a while and do not rub.", "You may wear loose clothes in the evening.", "Take your time.",
    "Take a deep breath and let it go.", "Take the sheet with you when you come to the clinic.",
    "Give yourself time. Nobody has to hurry.", "Use a mirror if that helps.",
    "Put the needle in quickly, like a dart.", "Hold it like a pen.", "If blood comes, press a little longer.",
    "Have someone read each step to you.", "If you feel faint, lie down and call us.",
    "A second person should read the label with you.", "Keep the second needle in its wrapper until you need it.",
    "Do not eat or drink after the hour that we gave you for the procedure.", "Come with an empty stomach.",
    "You may take a shower in the morning.", "Use your free hand to steady the syringe.",
    "Look at the picture and find the spot.", "Use the other hip the next evening.", "Change sides each evening.",
    "Do it in a quiet room.", "Bring this sheet with you.", "If anything is not as shown here, stop and call us.",
    "Have your helper sit on your left.", "Let the skin dry in the air.", "Make sure that the light is good.",
    "Your partner can give it.", "Ask the nurse to show you once more.", "Inject slowly. Count to ten.",
    "Start when the alarm rings.", "If you inject late, call us at once.", "It can be given by a helper.",
    "Just give it a moment to dry.", "Do not skip it, and do not inject later without a call.",
    "Still unsure? Call us.", "Wait until the nurse calls you.", "Wait for a minute.", "Take two more breaths.",
    "Take a rest at noon.", "Keep the second box in the refrigerator.",
    "Do not shake it.", "Never rub the spot.", "Rub your hands warm.", "Call us in the morning to say how you slept.",
    "Take your clothes off first.", "If you see blood, press a little longer.", "Put the cap where you find it again.",
]
AGAINST = [
    "Take it when you remember.", "If you forget, inject as soon as possible.",
    "Take the dose as soon as you think of it and let us know.", "Just do it late.", "You can still inject later.",
    "If it is after the window, give the injection anyway.", "Take the missed dose straight away.",
    "Double up tomorrow.", "Take one extra dose.", "Inject again if some leaked.", "Inject into the belly.",
    "Use your upper arm instead.", "Inject before bedtime.", "Do it after dinner.",
    "Take it first thing in the morning.", "Better late than never: inject it.", "Catch up with a second injection.",
    "It can be taken later the same night.", "If you are late you should still take it.",
    "Skip it and take both the next day.", "Give the shot in the thigh.", "Give it when you wake up.",
    "Take two more if it is late.", "Use the second box too.", "Wait until bedtime.", "Wait for the next evening.", "Take at noon.",
    "Shake the vial well.", "Rub the spot well.", "Massage the muscle.", "Pull the plunger back and look for blood.",
    "Recap it.", "You may inject through your clothes.",
]


def found(texts, folder="protocols/base.yaml"):
    """{text: rules} for texts that stand as notes of one protocol."""
    lines = [f"      - {rules.json.dumps(text, ensure_ascii=False)}" for text in texts]
    changes = [["file", folder, ["    late: Call us now."], ["    late: Call us now.", "    notes:"] + lines]]
    with rules.clean_clinic() as work:
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
ordinary = ORDINARY + ADVICE
faults += [f"ordinary: {text!r} raises {sorted(rule)}" for text, rule in found(ordinary).items() if rule]
faults += [f"course: {text!r} raises {sorted(rule)}" for text, rule in found(ADVICE, "protocols/course.yaml").items() if rule]
faults += [f"against the plan: {text!r} is not found" for text, rule in found(AGAINST).items()
           if not rule & {"late_against_window", "text_against_plan"}]
texts += ordinary + ADVICE + AGAINST
print("\n".join(faults))
print(f"{len(texts) - len(faults)} passed, {len(faults)} failed")
sys.exit(1 if faults else 0)
