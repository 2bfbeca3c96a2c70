#!/usr/bin/env python3
"""What a help offers can be pasted.  Each case of tests/rules that fires and each file of
samples/wrong is checked; where its help says 'write "X"' or 'rename', X is put in the place
that the finding marks and the file is checked again: that finding must be gone and none
about the form of a text may have come.  What looks like YAML in a help must parse (PyYAML,
a reader of YAML 1.1 that is not ours) and lose nothing to a comma.  And each
wrong sample passes once its help was followed.

usage: tests/messages.py
"""
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor

import yaml

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, HERE)
import rules  # noqa: E402  (the cases are read and applied by tests/rules.py)

os.chdir(rules.ROOT)
# About the form of what was written: a pasted text must raise none of them.
FORM = re.compile(r"_form$|^(key_unknown|key_twice|yaml_\w+|wrong_shape|choice_unknown|empty_value|trailing_zero|"
                  r"naked_decimal|ungrouped_thousands|unsafe_abbreviation|household_measure|midnight_words|"
                  r"weekday_disagrees|number_\w+)$")
# "add: ..." shows where the reader's own words go.
OPEN = "..."
# Offers that are a name out of a list, one of several edits, or not of this file.
LISTS = re.compile(r"(the words are|on the shelf|write one of|the figures only show the form)")


def check(folder, options):
    return subprocess.run([rules.PROGRAM, "check", "--now", options["now"], "--format", "lines", *options["clinic"],
                           options["check"]], cwd=folder, capture_output=True, text=True, timeout=60).stdout


def findings(text):
    return [json.loads(line) for line in text.split("\n") if line.startswith("{")]


def offers(help_text):
    """What a help says to write in the place that it marks: each alternative."""
    elsewhere = re.match(r'write "[a-z_]+" under ', help_text or "")
    if not help_text or elsewhere or "the figures only show the form" in help_text:
        return []
    said = re.match(r'write ("[^"]*"(?:(?:, | or )"[^"]*")*)', LISTS.split(help_text)[0])
    found = re.findall(r'"([^"]*)"', said.group(1)) if said else []
    return [f'"{offer}"' for offer in found] if "quotes round the whole" in help_text else found


def pasted(text, finding, offer):
    """The text with the offer in the marked place; one with its key replaces that key and its value."""
    lines = text.split("\n")
    line, column = lines[finding["line"] - 1], finding["column"] - 1
    key = re.match(r"(\w+): ", offer)
    if key:
        known = re.search(rf"\b{key.group(1)}: [^,{{}}]*", line)
        lines[finding["line"] - 1] = line.replace(known.group(0), offer) if known else line
        return "\n".join(lines) if known else None
    lines[finding["line"] - 1] = line[:column] + offer + line[column + finding["length"]:]
    return "\n".join(lines)


def looks_like_yaml(help_text):
    """The parts of a help that are YAML: between quotes or bare, with a key or braces."""
    parts = re.findall(r'"((?:- )?(?:\{[^{}]*:.*?\}|[a-z_]+: [^"]*))"', help_text or "")
    return parts + re.findall(r'(?<!")((?:- )?\{[^{}]*:[^{}]*\})(?!")', help_text or "")


def yaml_fault(part):
    """Why the part cannot be pasted, or None."""
    try:
        read = yaml.safe_load(part)
    except yaml.YAMLError as error:
        return str(error).split("\n")[0]
    read = read[0] if isinstance(read, list) else read
    if not isinstance(read, dict) or any(value is None for value in read.values()):
        return f"it reads as {read!r}"
    return None


def try_offers(folder, options, finding, before, faults, name):
    path = os.path.join(folder, finding["file"])
    with open(path, encoding="utf-8") as file:
        text = file.read()
    count = 0
    for offer in offers(finding["help"]):
        if OPEN in offer or finding["length"] == 0:
            continue
        edited = pasted(text, finding, offer)
        if edited is None:  # the key belongs on another line, which the person finds
            continue
        count += 1
        with open(path, "w", encoding="utf-8") as file:
            file.write(edited)
        after = findings(check(folder, options))
        bad = [f for f in after if f["file"] == finding["file"] and f["line"] == finding["line"]
               and (FORM.search(f["rule"]) and f["rule"] not in before or f["rule"] == finding["rule"])]
        if bad:
            faults.append(f"{name}: {finding['rule']} says {finding['help']!r}; with {offer!r} in its place: "
                          f"{bad[0]['rule']} {bad[0]['facts']} {bad[0]['help']!r}")
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)
    return count


def look(name, folder, options):
    """(faults, offers pasted, YAML parts read) of one file."""
    faults, pastes, parts = [], 0, 0
    found = findings(check(folder, options))
    before = {finding["rule"] for finding in found}
    for finding in found:
        for part in looks_like_yaml(finding["help"]):
            parts += 1
            fault = yaml_fault(part.replace(OPEN, "x"))
            if fault:
                faults.append(f"{name}: {finding['rule']} offers {part!r}: {fault}")
        if finding["file"] and os.path.exists(os.path.join(folder, finding["file"])):
            pastes += try_offers(folder, options, finding, before, faults, name)
    return faults, pastes, parts


def look_at_case(job):
    rule, side, lines = job
    name = f"{rule}/{side}"
    options, changes = rules.read_edit(name, lines)
    if options["command"] != "check":
        return [], 0, 0
    options["clinic"] = []
    with rules.clean_clinic() as work:
        rules.apply(work, changes)
        rules.seal(work, findings(check(work, options)))
        try:
            return look(name, work, options)
        except UnicodeDecodeError:
            return [], 0, 0


def look_at_wrong(path):
    with tempfile.TemporaryDirectory() as scratch:
        shutil.copytree("samples", os.path.join(scratch, "samples"))
        return look(path, scratch, {"now": rules.NOW, "check": path, "clinic": ["--clinic", "samples/lantern-cove"]})


# What a physician does who follows the help of each wrong sample; old text, new text.
FOLLOWED = {
    "between-marks": [("dose: 1.25 mg", "dose: 1.2 mg")],
    "between-marks, another syringe": [
        ("syringe: insulin 1 mL", "syringe: 1 mL\n      needle: 18 G x 1.5 in"),
        ("    give:", "    give:\n      needle: 27 G x 0.5 in\n      spare_needles: 1")],
    "key-twice": [("    site: dorsogluteal\n", "")],
    "midnight": [("midnight on day -2", "11:59 pm on day -2")],
    "mixed-too-early": [("up to 12 h", "up to 6 h")],
    "naked-decimal": [("window: .5 h", "window: 0.5 h")],
    "no-late": [("kit:", "    late: Call us now, at any hour.\nkit:")],
    "no-space": [("add: 1mL", "add: 1 mL")],
    "no-volume": [("    mix:", "    mix:\n      add: 1 mL")],
    "no-window": [("    route:", "    window: 15 min either side\n    route:")],
    "no-wipes": [("kit:", "kit:\n  - {item: alcohol wipe, count: 3}")],
    "off-the-dial": [("dose: 160 units", "dose: 150 units")],
    "other-volume": [("add: 2 mL", "add: 1 mL")],
    "short-for-units": [("10,000 IU", "10,000 units")],
    "short-needle": [("27 G x 0.5 in", "25 G x 1.5 in")],
    "small-syringe": [("syringe: 1 mL", "syringe: 3 mL")],
    "teaspoon": [("1 teaspoon", "1 mL")],
    "too-early": [("46 h before", "36 h before")],
    "too-little": [("vials: 2", "vials: 3")],
    "trailing-zero": [("1.0 mL", "1 mL")],
    "unknown-key": [("sit: vent", "site: vent")],
    "unknown-medicine": [("gonadotropin 1,000 units", "gonadotropin 10,000 units")],
    "unknown-needle": [("24 G x 1.5 in", "25 G x 1.5 in")],
    "wrong-kind": [("dose: 10 mg", "dose: 10,000 units")],
    "wrong-order": [("after frist", "after first")],
    "wrong-site": [("site: abdomen", "site: ventrogluteal")],
    "yaml-shortcut": [("&volume 1 mL", "1 mL")],
}
# What is left to do after an edit: to raise the revision and have it approved.
LEFT = {"seal_broken", "not_approved"}


def follow(name):
    """Why the sample does not pass once its help was followed, or None."""
    with tempfile.TemporaryDirectory() as scratch:
        shutil.copytree("samples", os.path.join(scratch, "samples"))
        path = f"samples/wrong/protocols/{name.split(',')[0]}.yaml"
        with open(path, encoding="utf-8") as file:
            text = file.read()
        for old, new in FOLLOWED[name]:
            if text.count(old) != 1:
                return f"{name}: {old!r} stands there {text.count(old)} times"
            text = text.replace(old, new)
        with open(os.path.join(scratch, path), "w", encoding="utf-8") as file:
            file.write(text)
        options = {"now": rules.NOW, "check": path, "clinic": ["--clinic", "samples/lantern-cove"]}
        left = [f for f in findings(check(scratch, options))
                if f["rule"] not in LEFT and f["severity"] != "note" and not f["accepted"]]
    return f"{name}: its help was followed, and now: {left[0]['rule']}: {left[0]['facts']}" if left else None


def main():
    jobs = [(rule[:-5], side, lines) for rule in sorted(os.listdir(rules.CASES)) if rule.endswith(".case")
            for side, lines in rules.read_cases(os.path.join(rules.CASES, rule)).items() if side.startswith("fires")]
    wrong = sorted(os.path.join("samples/wrong/protocols", name) for name in os.listdir("samples/wrong/protocols"))
    with ThreadPoolExecutor(2) as pool:
        results = list(pool.map(look_at_case, jobs)) + list(pool.map(look_at_wrong, wrong))
    faults = [fault for result in results for fault in result[0]] + [why for why in map(follow, FOLLOWED) if why]
    known = {name.split(",")[0] for name in FOLLOWED}
    faults += [f"{path}: nobody followed its help" for path in wrong if os.path.basename(path)[:-5] not in known]
    pastes, parts = sum(result[1] for result in results), sum(result[2] for result in results)
    print("\n".join(faults))
    print(f"{pastes} offers pasted, {parts} pieces of YAML read, {len(faults)} failed")
    return 1 if faults or pastes < 35 or parts < 50 else 0


if __name__ == "__main__":
    sys.exit(main())
