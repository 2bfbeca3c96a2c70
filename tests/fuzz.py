#!/usr/bin/env python3
"""What the fuzzer has found, and what it began with, through the ordinary build: each kept
input once (tests/fuzz/corpus, tests/fuzz/crashes), and the samples.  What must hold stands in
tests/fuzz/fuzz.h.  make fuzz looks for more."""
import glob
import os
import re
import subprocess
import sys
import tempfile

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
REPLAY = ".build/drivers/replay"
SEEDS = {
    "clinic": ["samples/*/clinic.yaml", "tests/rules/base/clinic.yaml"],
    "shelf": ["samples/*/shelf.yaml", "tests/rules/base/shelf.yaml"],
    "protocol": ["samples/*/protocols/*.yaml", "tests/rules/base/protocols/*.yaml"],
    "patient": ["samples/*/patients/*.yaml", "tests/rules/base/patients/*.yaml"],
    "roster": ["samples/*/today.csv"],
    "template": ["templates/*/template.yaml"],
    "phrases": ["templates/languages/*.yaml"],
    "sheet": ["tests/rules/base/protocols/base.yaml"],
    "read": [],
    "scan": [],
    "value": [],
    "fhir": [],
    "form": [],
}
with open("tests/fuzz/targets.def", encoding="utf-8") as file:
    TARGETS = re.findall(r"^TARGET\((\w+)\)", file.read(), re.M)


def seeds(target):
    """What a target begins with: samples, and what is kept."""
    return [path for pattern in SEEDS[target] + [f"tests/fuzz/corpus/{target}/*", f"tests/fuzz/crashes/{target}/*"]
            for path in sorted(glob.glob(pattern))]


def a_sheet(folder):
    subprocess.run([".build/dosewright", "sheet", "--draft", "--now", "2026-11-23T10:00-04:00", "--out", folder,
                    "samples/lantern-cove/patients/LC-2041.yaml"], capture_output=True)
    return glob.glob(folder + "/*.pdf")


def main():
    faults, count = [], 0
    with tempfile.TemporaryDirectory() as scratch:
        for target in TARGETS:
            paths = seeds(target) + (a_sheet(scratch) if target == "read" else [])
            done = subprocess.run([REPLAY, target, *paths], capture_output=True, text=True, errors="replace",
                                  env=dict(os.environ, FUZZ_FOLDER=scratch))
            if done.returncode or not paths:
                faults.append(f"{target}: exit {done.returncode} after {done.stderr[-500:]}")
            count += len(paths)
    print("\n".join(faults))
    print(f"{count} kept inputs of {len(TARGETS)} targets, {len(faults)} targets failed")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
