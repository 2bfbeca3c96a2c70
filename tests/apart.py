#!/usr/bin/env python3
"""A powder mixed with one syringe and injected with another, and a mixed vial that serves several evenings
or injections: each way of tests/apart.case prints without a finding, says its work in the order of doing,
tells the two syringes apart, and never sends a person to add liquid to a vial that is mixed.

The order is common practice, no source; so are the 22 words that a panel takes at most.
usage: tests/apart.py [languages]
"languages" also prints the longest of them in each language, ordinary and large.
"""
import glob
import importlib.util
import os
import re
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor

HERE = os.path.dirname(os.path.abspath(__file__))
specification = importlib.util.spec_from_file_location("rules", os.path.join(HERE, "rules.py"))
rules = importlib.util.module_from_spec(specification)
specification.loader.exec_module(rules)
CASES = rules.read_cases(os.path.join(HERE, "apart.case"))
MIX = ["Take both lids off", "mixing needle onto the 10 mL mixing syringe", "into the liquid vial", "Pull until the rim is on 10 mL",
       "Turn upright, needle into the powder vial", "Swirl gently", "Drop needle and mixing syringe in the sharps box"]
DRAW = ["Wipe the rubber top with a new wipe", "filling needle onto the 1 mL injecting syringe", "Push needle and air into the vial",
        "Pull until the rim is on 0.5 mL", "bubbles back into the vial", "Twist the new orange injecting needle on"]
KIT = ["1 mixing syringe", "10 mL, only to mix", "1 mixing needle", "1 injecting syringe", "1 mL", "1 filling needle"]
LABEL = ["Write on the vial: mixed, today's date, the time"]
CARE = ["Read the mixed vial's label aloud", "Put the mixed vial away in the refrigerator. Do not freeze it"]
# (case, sheet, clock or None): what it says in this order, what it never says
SHEETS = {
    ("once", "trigger", None): (KIT + MIX + DRAW + ["The box says"], ["mixed vial", "Write on the vial"]),
    ("fixed", "trigger", None): (MIX + ["Take the 1 mL injecting syringe. Pull its cap", "Slide the needle into the cap"],
                                 ["filling needle", "mixed vial"]),
    ("whole", "trigger", None): (["onto the 3 mL mixing syringe", "Swirl", "onto the 3 mL injecting syringe",
                                  "until no more liquid comes"], ["bubbles back"]),
    ("vials", "trigger", None): (["Take the lids off", "into the next powder vial", "A powder vial still stands? Turn both over, pull "
                                  "back all", "Drop needle and mixing syringe", "2 powder vials are empty"], []),
    ("ampoule", "trigger", None): (["Snap its top off", "Tilt the open ampoule", "Drop needle and mixing syringe",
                                    "Push needle and air into the vial"], ["into the liquid vial"]),
    ("evenings", "trigger", None): (["5 injecting syringes", "First day only: mix the powder",
                                     "Mixed on an earlier day? Take the mixed vial, in the refrigerator. Add no liquid again. Go to page 3"]
                                    + MIX + LABEL + CARE[:1] + DRAW + CARE[1:] + ["Last day? Lay it aside", "My vial says"], ["The box says chor"]),
    # Day 3 of 5, printed again: the vial is mixed.
    ("evenings", "trigger", "2026-11-29T10:00-04:00"): (["2 of 5 days are done", "Take the mixed vial, in the refrigerator. Add no "
                                                         "liquid again"] + CARE[:1] + DRAW + CARE[1:], MIX[2:] + LABEL),
    # Day 22 of 25 comes out of the second vial, and day 12 has one powder left and one vial mixed.
    ("numbered", "trigger", "2026-12-18T10:00-04:00"): (["21 of 25 days are done", "Counted for the days left: 4", "The mixed vial waits in the refrigerator",
                                                         "1 mixed vial", "4 injecting syringes"], ["powder vial\n", "mixing syringe\n"]),
    ("numbered", "trigger", "2026-12-08T10:00-04:00"): (["11 of 25 days are done", "The mixed vial waits in the refrigerator", "At room temperature",
                                                         "1 powder vial", "1 mixing syringe", "14 injecting syringes"], ["2 powder vials"]),
    # Page one has no room for this kit: it stands at the end.
    ("numbered", "trigger", None): (["The list of your kit: page 6", "Only if today's line says new: mix",
                                     "Today's line does not say new? Take the mixed vial"] + MIX + LABEL +
                                    ["Add its number from your list", "not today's number"] + DRAW +
                                    ["2, new", "2 powder vials", "2 mixing syringes"], []),
    ("again", "trigger", None): (MIX + LABEL + CARE[:1] + DRAW + CARE[1:] + ["You need it again"], ["Last day"]),
    ("again", "again", None): (["The list of your kit: page", "Take the mixed vial, in the refrigerator. Add no liquid again"] +
                               CARE[:1] + DRAW + ["Lay the mixed vial aside. Do not use it again", "1 mixed vial",
                                                  "mixed for Tuesday, November 24, 2026"],
                               ["1 powder vial\n  ", "liquid vial", "mixing"]),
}
faults = []


def clinic(scratch, name):
    """The clean clinic with the changes of a case, approved; its findings are faults."""
    folder = shutil.copytree(os.path.join(rules.CASES, "base"), os.path.join(scratch, name))
    options, changes = rules.read_edit(name, rules.whole_case(CASES, name))
    rules.apply(folder, changes)
    if rules.seal(folder, rules.judge(folder, options)):
        findings = rules.judge(folder, options)
        faults.extend(f"{name}: {finding['rule']}" for finding in findings if finding["severity"] != "accepted")
    return folder


def sheet(folder, now, *more):
    """The words of all sheets by the name of their injection."""
    out = tempfile.mkdtemp(dir=folder)
    done = subprocess.run([rules.PROGRAM, "sheet", "--now", now or rules.NOW, "--text", "--templates",
                           os.path.join(rules.ROOT, "templates"), "--out", out, *more, "patients/base.yaml"],
                          cwd=folder, capture_output=True, text=True)
    if done.returncode:
        faults.append(f"{folder} {more}: exit {done.returncode}: {done.stdout}{done.stderr[:600]}")
    texts = {}
    for path in glob.glob(out + "/*.txt"):
        with open(path, encoding="utf-8") as file:
            texts[re.search(r"base-1-([a-z]+)", path)[1]] = file.read()
    return texts


def in_order(name, spaced, wanted, never):
    text, at = spaced.replace("\u00a0", " "), 0
    for words in wanted:
        found = text.find(words, at)
        if found < 0:
            faults.append(f"{name}: {words!r} is missing{' here, too early' if words in text else ''}")
            return
        at = found
    faults.extend(f"{name}: says {words!r}" for words in never if words in text)
    for panel in re.findall(r"^ +\d+[ab]?  (.*)", spaced, re.M):
        if re.search("vial|mix|syringe", panel) and len(panel.split(" ")) > 22: # a number and its unit count as one word
            faults.append(f"{name}: {len(panel.split(' '))} words: {panel}")


def judge_case(scratch, name):
    folder = clinic(scratch, name)
    for now in {key[2] for key in SHEETS if key[0] == name}:
        texts = sheet(folder, now)
        for key, (wanted, never) in SHEETS.items():
            if key[0] == name and key[2] == now:
                in_order(f"{name} {key[1]} {now or ''}", texts.get(key[1], ""), wanted, never)


def use_until(scratch):
    """Of five days in the label's row, counted from 8:15 pm, when it may be mixed, and of 30 days of use, counted from the dose
    at 9 pm: the earlier end stands on the vial's label."""
    for name, wanted in (("kept", "Wednesday 2026-12-02 20:15"), ("evenings", "Sunday 2026-12-27 21:00")):
        done = subprocess.run([rules.PROGRAM, "trace", "--now", rules.NOW, "patients/base.yaml", "vial_until"],
                              cwd=os.path.join(scratch, name), capture_output=True, text=True)
        if f"vial_until: {wanted}" not in done.stdout:
            faults.append(f"{name}: not to be used until {wanted}: {done.stdout[:200]}{done.stderr[:300]}")


def other_languages(scratch):
    """The longest of the ways in each set, ordinary and large: nothing is left out, and all of it fits."""
    for language in ("es", "fr", "ar", "zh-Hans"):
        folder = clinic(scratch, f"evenings")
        path = os.path.join(folder, "clinic.yaml")
        with open(path, encoding="utf-8") as file:
            text = file.read()
        with open(path, "w", encoding="utf-8") as file:
            file.write(text.replace("languages: [en]", f"languages: [{language}]"))
        for more in (), ("--large",):
            if not sheet(folder, None, "--draft", *more).get("trigger"):
                faults.append(f"evenings in {language} {more}: nothing is printed")
        shutil.rmtree(folder)


def main():
    with tempfile.TemporaryDirectory() as scratch:
        with ThreadPoolExecutor(2) as pool:
            list(pool.map(lambda name: judge_case(scratch, name), sorted({name for name, _, _ in SHEETS} | {"kept"})))
        use_until(scratch)
        if "languages" in sys.argv:
            shutil.rmtree(os.path.join(scratch, "evenings"))
            other_languages(scratch)
    print("\n".join(faults))
    print(f"{len(SHEETS)} sheets, {len(faults)} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
