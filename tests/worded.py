#!/usr/bin/env python3
"""Every value of a plan in words, in every language and every form that a phrase may ask for: of some people of
the samples and of the clean clinic of tests/rules.  tests/worded.txt has them as they were read by eye.

usage: tests/worded.py [--update]"""
import difflib
import os
import re
import shutil
import subprocess
import sys
import tempfile
from glob import glob

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import needed
import pinned
import rules
from golden import lasting
from two_languages import translated

PINS = os.path.join(rules.HERE, "worded.txt")
PHRASE = "when_whole" # stands alone in a line of every sheet
SAMPLES = ("LC-2060", "LC-2063", "LC-2075", "NM-318")
TOLD_APART = {"program_version", "zone_database", "source_digest", "check_code"} # what they are changes
CASES = ("words-numbers-without-an-end", "powder-kept-for-days", "change-at-midnight-back")
FORMS = {"MOMENT": ["clock", "other", "clocks", "weekday", "days", "evening", "date", "whole"],
         "NEEDLE": [None, "gauge", "length"]}
ROWS = re.findall(r"^VALUE\((\w+), (\w+), (\w+)", needed.read(os.path.join(rules.ROOT, "compiler/plan/values.def")), re.M)
KINDS = {name: kind for name, kind, _ in ROWS}
SCOPES = {name: scope for name, _, scope in ROWS}
MOST_LINES = 60


HOURS = [f"{hour:02}:{minute:02}" for hour in range(24) for minute in ((1, 30) if hour in (0, 5, 12, 17) else (45,))]


def people(scratch):
    """[(now, path)]"""
    for name in ("base", "course", "pen"):
        yield rules.NOW, os.path.join(rules.CASES, "base/patients", name + ".yaml")
    for name in SAMPLES:
        path = glob(os.path.join(rules.ROOT, f"samples/*/patients/{name}.yaml"))[0]
        yield re.match(r"# Printed (.*)", needed.read(path))[1], path
    for name in CASES:
        yield needed.of_case(scratch, name)


def at_hours(scratch):
    """[(now, path)] of one person whose injection is at another hour each time, and on another day."""
    folder = shutil.copytree(os.path.join(rules.CASES, "base"), scratch + "/hours")
    text, made = needed.read(folder + "/patients/base.yaml"), []
    for index, clock in enumerate(HOURS):
        path = f"{folder}/patients/at-{clock.replace(':', '')}.yaml"
        month = f"2026-{1 + index % 12:02}-"
        at = text.replace("clock: 11:30 am", f'clock: "{clock}"')
        needed.write(path, at.replace("Thursday 2026-11-26", f"{month}{4 + index % 24:02}"))
        made.append((f"{month}01T10:00-04:00", path))
    return made


def asked(folder, language, everybody):
    """The five texts of each."""
    questions = "".join(f"{pinned.seconds(now)} {path}\n" for now, path in everybody)
    done = subprocess.run([os.path.join(rules.ROOT, ".build/drivers/plans"), folder, language], input=questions,
                          capture_output=True, text=True, timeout=120, check=True)
    texts, each = done.stdout.split("\n\f\n"), len(pinned.TEXTS)
    return [texts[i:i + each] for i in range(0, each * len(everybody), each)]


def names_of(plan):
    """The values of a plan; of several injections those that each has."""
    found = re.findall(r'"(\w+)":\{"text"', plan)
    injections = found.count("injection_name")
    return [name for name in dict.fromkeys(found) if name in KINDS and name not in TOLD_APART and
            found.count(name) == (injections if SCOPES[name] == "INJECTION" else 1)]


def slots(names):
    """A phrase that asks for these values, in all forms."""
    asks = [f"{name}{' ' + form if form else ''} = {{{name}{':' + form if form else ''}}}"
            for name in names for form in FORMS.get(KINDS[name], [None])]
    return "||" + "||".join(asks) + "||"


def words(folder, language, everybody, names):
    """[lines] of each, as a language says these values."""
    path = f"{folder}/languages/{language}.yaml"
    whole = needed.read(path)
    changed = re.sub(rf"(?m)^  {PHRASE}: .*", lambda _: f'  {PHRASE}: "{slots(names)}"', whole)
    needed.write(path, changed if changed != whole else whole + f'  {PHRASE}: "{slots(names)}"\n')
    answers = asked(folder, language, everybody)
    needed.write(path, whole)
    return [lasting(re.search(r"\|\|.*\|\|", answer[2])[0]).strip("|").split("||") for answer in answers]


def in_language(scratch, language, everybody):
    """The same people in clinics whose texts are there in this language too."""
    for now, path in everybody:
        clinic, name = path.split("/patients/")
        own = "en-GB" if clinic.endswith("northmere") else "en"
        folder = os.path.join(scratch, language, os.path.basename(clinic))
        if not os.path.isdir(folder):
            if own == language:
                shutil.copytree(clinic, folder)
            else:
                translated(clinic, folder, own, language)
        yield now, f"{folder}/patients/{name}"


def sections(scratch):
    """(title, lines) of all that is pinned."""
    folder = shutil.copytree(os.path.join(rules.ROOT, "templates"), scratch + "/templates")
    everybody, hours = list(people(scratch)), at_hours(scratch)
    names = [names_of(answer[1]) for answer in asked(folder, "en", everybody)]
    for language in sorted(os.path.basename(path)[:-5] for path in glob(folder + "/languages/*.yaml")):
        before = []
        for person, asks in zip(in_language(scratch, language, everybody), names):
            clinic, name = person[1][:-5].split("/patients/")
            lines = words(folder, language, [person], asks)[0]
            yield f"{language}, {name} of {os.path.basename(clinic)}", [line for line in lines if line not in before]
            before += lines
        here = list(in_language(scratch, language, hours))
        for (now, path), lines in zip(here, words(folder, language, here, ["injection_time"])):
            yield f"{language}, {os.path.basename(path)[:-5]}", lines


def main():
    with tempfile.TemporaryDirectory() as scratch:
        made = "\n".join(line for title, lines in sections(scratch) for line in (f"== {title}", *lines, ""))
    if "--update" in sys.argv:
        needed.write(PINS, made)
    kept = needed.read(PINS)
    lines = list(difflib.unified_diff(kept.split("\n"), made.split("\n"), "pinned", "now", "", "", 1, ""))
    print("\n".join(lines[:MOST_LINES]))
    print(f"{made.count(' = ')} values in words, {'as pinned' if kept == made else 'not as pinned'}")
    if kept != made:
        print("When each difference is meant: tests/worded.py --update")
    return 1 if kept != made or " = " not in made else 0


if __name__ == "__main__":
    sys.exit(main())
