#!/usr/bin/env python3
"""What a sheet must show, no template and no phrase may leave out: each value in turn is taken out of every
phrase, each act of the work out of the template, and two that follow one another are exchanged.  For the
samples and the clean clinic of tests/rules, what is said of each person must be what the list below says:
it is written by hand, from what a person needs who reads nothing else, and says nothing of C.

usage: tests/needed.py"""
import os
import re
import shutil
import subprocess
import sys
import tempfile
from glob import glob

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import pinned
import rules

# values: what a person's plan must have, or must not have, for one of them to be asked for
NEEDED = {
    "medicine": [], "dose": [], "site": [], "route": [], "late": [], "check_code": [], "injection_time": [],
    "dial": ["dial"], "volume": ["not dial"], "flow": ["flow"], "mark": ["part", "mark"],
    "mixing_syringe_capacity": ["mixing_syringe_capacity"], "syringe_capacity": ["mixing_syringe_capacity"],
    "vial_kept_at": ["vial_kept_at"],
    "latest": ["not course"], "last_time": ["course"],
    # of these nobody needs to be told
    "drawing_needle": ["never"], "prepared_by": ["never"], "press": ["never"],
}
SAID = {"part": "dose_is: a measured part", "course": r"when: .* for \d+ days"}
WORK = ["clean", "find", "pause", "wipe", "needle_in", "out"] # in the order of doing
CASES = ["powder-kept-for-days", "mixed-ahead-over-a-change", "words-part-of-an-ampoule"] # of tests/pinned.case
TEMPLATE = "home-injection/template.yaml"
PHRASES = "languages/en.yaml"


def read(path):
    with open(path, encoding="utf-8") as file:
        return file.read()


def write(path, text):
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)


def of_case(scratch, name):
    """(now, path) of a case, in a copy of the clean clinic."""
    lines = rules.read_cases(os.path.join(rules.HERE, "pinned.case"))[name]
    options, changes = rules.read_edit(name, lines)
    folder = shutil.copytree(os.path.join(rules.CASES, "base"), os.path.join(scratch, name))
    rules.apply(folder, changes)
    return options["now"], os.path.join(folder, options["check"])


def people(scratch):
    """[(now, path)]"""
    for name in ("base", "course", "pen", "ready"):
        yield rules.NOW, os.path.join(rules.CASES, "base/patients", name + ".yaml")
    for path in sorted(glob(os.path.join(rules.ROOT, "samples/lantern-cove/patients/*.yaml"))):
        yield re.match(r"# Printed (.*)", read(path))[1], path
    for name in CASES:
        yield of_case(scratch, name)


def asked(folder, everybody):
    """[(findings, plan)] of everybody, by the templates of a folder."""
    questions = "".join(f"{pinned.seconds(now)} {path}\n" for now, path in everybody)
    done = subprocess.run([os.path.join(rules.ROOT, ".build/drivers/plans"), folder], input=questions, capture_output=True,
                          text=True, timeout=120, check=True)
    texts, each = done.stdout.split("\n\f\n"), len(pinned.TEXTS)
    return [(texts[i], texts[i + 1]) for i in range(0, each * len(everybody), each)]


def known(person, plan):
    """The values of a person's plan, and what their protocol says of itself."""
    clinic = os.path.dirname(os.path.dirname(person[1]))
    name = re.search(r"^protocol: ([\w-]+)", read(person[1]), re.M)[1]
    protocol = read(f"{clinic}/protocols/{name}.yaml")
    return set(re.findall(r'^  "(\w+)":', plan, re.M)) | {word for word, line in SAID.items() if re.search(line, protocol)}


def missing(findings):
    return set(re.findall(r"value_not_shown\]\n +(\w+) \(", findings)) | set(re.findall(r'the sheet lacks "(\w+)"', findings))


def without_value(text, value):
    return re.sub(r"\{" + value + r"(:\w+)?\}", "something", text)


def acts(name):
    """A pattern of one act of the template, with all that belongs to it."""
    name = name.replace("out", "(?:pen_)?out")
    panel = rf"\{{panel: {name},.*\}}|panel: {name}"
    return re.compile(rf"^( +)- (?:{panel}|block: stop\n +role: {name})\n(?:\1  .*\n)*", re.M)


def moved(text, first, second):
    """Each of the one act, taken out and put behind each of the other that follows."""
    places = [(found.start(), found[0], name) for name in (first, second) for found in acts(name).finditer(text)]
    parts, at, held, before = [], 0, "", second
    for start, act, name in sorted(places):
        parts.append(text[at:start])
        at = start + len(act)
        if name == first:
            held = held + act if before == first else act
        else:
            parts.append(act + held)
        before = name
    return "".join(parts) + text[at:]


def edits():
    """(what was done, file, its text after it, {person's values} -> what must be said to be missing)"""
    phrases, template = (read(os.path.join(rules.ROOT, "templates", path)) for path in (PHRASES, TEMPLATE))
    for value, when in NEEDED.items():
        def wanted(values, value=value, when=when):
            asks = all(word[4:] not in values if word.startswith("not ") else word in values for word in when)
            return {value} if asks else set()
        yield "without {" + value + "}", PHRASES, without_value(phrases, value), wanted
    until = re.sub(r"\{(latest|last_time)\b", "{valid_until", phrases)
    yield "until when it is valid, not when it may be given", PHRASES, until, lambda values: set()
    for name in WORK:
        yield f"without {name}", TEMPLATE, acts(name).sub("", template), lambda values, name=name: {name}
    # a measured part that is drawn into a syringe: air would take the place of medicine (common practice, no source)
    yield ("without bubbles", TEMPLATE, acts("bubbles").sub("", template),
           lambda values: {"bubbles"} if "part" in values and "dial" not in values else set())
    for first, second, lacking in (("find", "wipe", "pause"), ("wipe", "needle_in", "needle_in"), ("needle_in", "out", "out")):
        yield f"{first} behind {second}", TEMPLATE, moved(template, first, second), lambda values, lacking=lacking: {lacking}


def main():
    faults, count = 0, 0
    with tempfile.TemporaryDirectory() as scratch:
        everybody = list(people(scratch))
        folder = shutil.copytree(os.path.join(rules.ROOT, "templates"), scratch + "/templates")
        plans = [known(person, plan) for person, (_, plan) in zip(everybody, asked(folder, everybody))]
        for what, path, text, wanted in edits():
            whole = read(os.path.join(folder, path))
            write(os.path.join(folder, path), text)
            for person, values, (findings, _) in zip(everybody, plans, asked(folder, everybody)):
                count += 1
                if missing(findings) != wanted(values):
                    faults += 1
                    print(f"{what}: {person[1]}: {missing(findings)} said to be missing, not {wanted(values)}")
            write(os.path.join(folder, path), whole)
    print(f"{count} sheets with something taken out or exchanged, {faults} of them not as they must be")
    return 1 if faults or not count else 0


if __name__ == "__main__":
    sys.exit(main())
