#!/usr/bin/env python3
"""Nothing written is silently without effect.  Every key that may be left out (the tables of
protocols/README.md) is written into a clean clinic (tests/rules/base) in each way of giving, or taken
out of it where it stands: the plan or the findings must change, or the key is explained here.

usage: tests/effects.py
"""
import contextlib
import functools
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

NOW = {"pen-course": "2026-11-17T10:00-04:00"}
WAYS = {"powder": ("base", "powder ten"), "solution": ("ready", "ready five"), "course": ("course", "oil fifty"),
        "pen": ("pen", "cartridge six"), "pen course": ("pen-course", "cartridge six")}
# A value that would bite, for keys of the medicine, its storage, and the injection.
MEDICINE = {"activity": "other units", "volume": "3 mL", "strength": "7 mg/mL", "deliverable": "1 mg",
            "syringe": "insulin", "pen": "another pen", "single_dose": "\"yes\"", "high_alert": "\"yes\"",
            "mixing": "[{add: 3 mL, makes: 3 mL}]", "diluents": "[salt water]", "contains": "[latex]"}
STORAGE = {"light": "\"yes\"", "take_out": "20 min", "in_use": "1 h"}
INJECTION = {"vials": "2", "mix": "{diluent: water ten, add: 1 mL, syringe: 3 mL, needle: 22 G x 1.5 in}",
             "draw": "{syringe: 5 mL, needle: 22 G x 1.5 in}", "late": "Call us at once.", "notes": "[Lie still.]",
             "window": "5 min either side"}
GIVE = {"spare_needles": "3", "rotate": "a new spot each time", "technique": "Lean on a wall.",
        "needle": "25 G x 1 in", "aspirate": "\"yes\"", "fingers": "2", "least": "0.1 mL"}
OTHER = {"a new spot each time": "left and right in turn", "2": "3"} # where the first stands there already
# Why a key is silent in a way: it says again what holds there.
EXPLAINED = {("powder", "single_dose"): "a powder is mixed anew each time, unless in_use says otherwise",
             ("pen", "in_use"): "one act opens one", ("solution", "in_use"): "one act opens one",
             ("powder", "in_use"): "the whole content is given at once"}


def write(text, after, key, value):
    """The key under a line of its block, or in its place, where it stands there."""
    start = text.index(after)
    line = text.rindex("\n", 0, start) + 1
    indent = re.match(r"[ ]*", text[line:]).group(0) + ("  " if text[line:].lstrip().startswith("- ") else "")
    block = re.compile(rf"\n{indent}{key}:(?: .*|(?:\n{indent} .*)+)")
    end = re.search(rf"\n(?!{indent})", text[start:])
    end = start + end.start() if end else len(text)
    there = block.search(text, start, end)
    if there:
        return text[:there.start()] + f"\n{indent}{key}: {value}" + text[there.end():]
    stop = text.index("\n", start)
    return text[:stop] + f"\n{indent}{key}: {value}" + text[stop:]


def within(text, after, key, value, block):
    """The same in a block between braces."""
    start = text.index(block + ": {", text.index(after))
    end = text.index("}", start)
    inner = text[start:end]
    there = re.search(rf"{key}: [^,}}]*", inner)
    if there:
        return text[:start] + inner.replace(there.group(0), f"{key}: {value}") + text[end:]
    return text[:end] + f", {key}: {value}" + text[end:]


def outcome(folder, protocol):
    """What the plan says and what is found, without places and digests."""
    plan = subprocess.run([rules.PROGRAM, "plan", "--now", NOW.get(protocol, rules.NOW), f"patients/{protocol}.yaml"], cwd=folder,
                          capture_output=True, timeout=60).stdout.decode()
    plan = re.sub(r"(?m)^.*(source_digest|program_version).*$", "", plan)
    found = rules.judge(folder, {"check": f"patients/{protocol}.yaml", "now": NOW.get(protocol, rules.NOW), "command": "check", "more": []})
    return plan, sorted((f["rule"], f["severity"]) for f in found if f["rule"] != "seal_broken")


def printed(folder, protocol):
    """The words of a draft sheet; the findings, where there is none."""
    done = subprocess.run([rules.PROGRAM, "sheet", "--draft", "--text", "--now", NOW.get(protocol, rules.NOW),
                           "--out", "out", f"patients/{protocol}.yaml"], cwd=folder, capture_output=True, timeout=120)
    texts = []
    for name in sorted(os.listdir(os.path.join(folder, "out"))) if os.path.isdir(os.path.join(folder, "out")) else []:
        if name.endswith(".txt"):
            with open(os.path.join(folder, "out", name), encoding="utf-8") as file:
                texts.append(re.sub(r"\b[0-9a-f]{8}\b", "", file.read())) # the digest of the files read
    shutil.rmtree(os.path.join(folder, "out"), ignore_errors=True)
    return texts or re.sub(rb"[0-9a-f-]{8,}", b"", done.stdout + done.stderr)


@functools.lru_cache(maxsize=None)
def of_clean(way, allergic, ask):
    """What `ask` says of the clean clinic, in this way of giving."""
    protocol, _ = WAYS[way]
    with clinic_of(protocol, allergic) as work:
        return ask(work, protocol)


@contextlib.contextmanager
def clinic_of(protocol, allergic):
    with tempfile.TemporaryDirectory() as scratch:
        work = os.path.join(scratch, "case")
        shutil.copytree(os.path.join(rules.CASES, "base"), work)
        patient = os.path.join(work, f"patients/{protocol}.yaml")
        if allergic:
            with open(patient, encoding="utf-8") as file:
                asked = file.read().replace("allergies: []", "allergies: [latex]")
            with open(patient, "w", encoding="utf-8") as file:
                file.write(asked)
        yield work


def changed(way, where, key, value):
    """Whether the plan, a finding or, where both say the same, a word of the sheet is another one."""
    protocol, medicine = WAYS[way]
    allergic = key == "contains" # judged beside an allergy
    with clinic_of(protocol, allergic) as work:
        name = "shelf.yaml" if where in ("medicine", "storage") else f"protocols/{protocol}.yaml"
        path = os.path.join(work, name)
        with open(path, encoding="utf-8") as file:
            text = file.read()
        if where == "storage":
            text = within(text, f"name: {medicine}\n", key, value, "storage")
        else:
            after = {"medicine": f"name: {medicine}\n", "injection": "    dose: ", "give": "      angle: "}[where]
            text = write(text, after, key, value)
        with open(path, encoding="utf-8") as file:
            if file.read() == text:
                return changed(way, where, key, OTHER[value])
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)
        return any(ask(work, protocol) != of_clean(way, allergic, ask) for ask in (outcome, printed))


def run(case):
    way, where, key, value = case
    try:
        effect = changed(way, where, key, value)
    except (ValueError, rules.CaseError) as error:
        return f"{way}, {where}, {key}: {error}"
    explained = (way, key) in EXPLAINED
    if effect == explained:
        return f"{way}, {where}, {key}: " + ("explained, and it has an effect" if effect else "no effect and no finding")
    return None


def may_keys(record):
    """Keys of a table of protocols/README.md that may be left out."""
    with open(os.path.join(HERE, "..", "protocols", "README.md"), encoding="utf-8") as file:
        table = file.read().split(f"\n#### {record}\n", 1)[1].split("\n#### ", 1)[0]
    return set(re.findall(r"^\| `(\w+)` \| may \|", table, re.M))


TABLES = {"medicine": ("Medicine", MEDICINE, {"storage", "label", "doses", "box", "slips", "item_numbers"}), "storage": ("Storage", STORAGE, set()),
          "injection": ("Injection", INJECTION, {"together", "slips"}), "give": ("Give", GIVE, set())}
faults = []
for where, (record, tried, elsewhere) in TABLES.items():
    missing = may_keys(record) - set(tried) - elsewhere
    faults += [f"{record}: {key} is not tried here" for key in sorted(missing)]
CASES = [(way, where, key, value) for way in WAYS for where, (_, tried, _) in TABLES.items()
         for key, value in tried.items()]
with ThreadPoolExecutor(2) as pool:
    faults += [fault for fault in pool.map(run, CASES) if fault]
print("\n".join(faults))
print(f"{len(CASES)} tried, {len(faults)} failed")
sys.exit(1 if faults else 0)
