#!/usr/bin/env python3
"""Each protocol that is wrong on purpose gives exactly the findings kept beside it, and
each names one fault only; the sample clinics give none that stops; the clinic that
protocols/README.md shows is whole, and README.md shows a finding as it is printed.

usage: tests/wrong.py [--update]
"""
import glob
import os
import re
import subprocess
import sys
import tempfile

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
faults, count = [], 0


def check(path, now, *more):
    return subprocess.run([".build/dosewright", "check", "--now", now, *more, path], capture_output=True, text=True)


for path in sorted(glob.glob("samples/wrong/protocols/*.yaml")):
    count += 1
    done = check(path, "2026-11-23T10:00-04:00", "--clinic", "samples/lantern-cove")
    kept = "samples/wrong/findings/" + os.path.basename(path)[:-5] + ".txt"
    if "--update" in sys.argv:
        with open(kept, "w", encoding="utf-8") as file:
            file.write(done.stderr)
    with open(kept, encoding="utf-8") as file:
        if file.read() != done.stderr:
            faults.append(f"{path}: other findings than {kept}:\n{done.stderr}")
    errors = re.findall(r": (?:error|warning): .*\[(\w+)\]", done.stderr)
    if done.returncode != 1 or len(errors) != 1:
        faults.append(f"{path}: exit {done.returncode}, {errors}")
for path in sorted(glob.glob("samples/*/patients/*.yaml")):
    count += 1
    with open(path, encoding="utf-8") as file:
        now = file.readline().split(" ")[-1].strip()
    done = check(path, now)
    if done.returncode != 0:
        faults.append(f"{path}: {done.stderr}")
NOW = "2026-11-23T10:00-04:00"


def guide_clinic(folder):
    """The files that the guide shows, with the protocol approved."""
    with open("protocols/README.md", encoding="utf-8") as file:
        guide = file.read()
    shown = re.findall(r"<!-- file: (\S+) -->\n```yaml\n(.*?)```\n", guide, re.S)
    shown += [("protocols/evening-trigger.yaml", text)
              for text in re.findall(r"<!-- example: passes -->\n```yaml\n(.*?)```\n", guide, re.S)]
    for name, text in shown:
        path = os.path.join(folder, name)
        os.makedirs(os.path.dirname(path), exist_ok=True)
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)
    return sorted(name for name, _ in shown)


with tempfile.TemporaryDirectory() as scratch:
    count += 3
    names = guide_clinic(scratch)
    protocol = os.path.join(scratch, "protocols", "evening-trigger.yaml")
    if names != ["clinic.yaml", "patients/P-0001.yaml", "protocols/evening-trigger.yaml", "shelf.yaml"]:
        faults.append(f"protocols/README.md shows {names}")
    found = re.findall(r"\[(\w+)\]", check(protocol, NOW).stderr)
    if found != ["not_approved"]:
        faults.append(f"the guide's protocol before its approval: {found}")
    line = subprocess.run([".build/dosewright", "approve", "--now", NOW, "--by", "Dr R. Invented", "--review-by",
                           "2027-10-01", protocol], capture_output=True, text=True).stdout
    with open(protocol, "a", encoding="utf-8") as file:
        file.write(line)
    done = check(scratch, NOW)
    if done.returncode != 0 or done.stderr != "4 files checked, 0 with findings that stop a sheet\n":
        faults.append(f"the guide's clinic: {done.stderr}")
with open("README.md", encoding="utf-8") as file, \
        open("samples/wrong/findings/other-volume.txt", encoding="utf-8") as kept:
    count += 1
    if f"```\n{kept.read().split(chr(10) * 2)[0]}\n```\n" not in file.read():
        faults.append("README.md shows another finding than other-volume.txt")
print("\n".join(faults))
print(f"{count - len(faults)} passed, {len(faults)} failed")
sys.exit(1 if faults or count < 20 else 0)
