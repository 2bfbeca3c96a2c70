#!/usr/bin/python3
"""Findings as SARIF against the published schema 2.1.0 (OASIS; its file is kept in
tests/reference), judged by python3-jsonschema."""
import json
import os
import subprocess
import sys
import tempfile

import jsonschema

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
SCHEMA = "tests/reference/sarif-2.1.0.schema.json"
with open(SCHEMA, encoding="utf-8") as file:
    validator = jsonschema.Draft7Validator(json.load(file))


def log_of(*paths):
    done = subprocess.run([".build/dosewright", "check", "--format", "sarif", "--now", "2026-11-23T10:00-04:00", *paths],
                          capture_output=True, check=False)
    return json.loads(done.stdout)


faults = []
wrong = log_of("--clinic", "samples/lantern-cove", "samples/wrong/protocols")
fine = log_of("samples/lantern-cove/protocols")
for log in (wrong, fine):
    faults += [f"{list(error.path)}: {error.message[:200]}" for error in validator.iter_errors(log)]
results = wrong["runs"][0]["results"]
rules = wrong["runs"][0]["tool"]["driver"]["rules"]
if len(results) < 25 or any(rules[r["ruleIndex"]]["id"] != r["ruleId"] for r in results):
    faults.append(f"{len(results)} results, or a rule index that points elsewhere")
if not any("suppressions" in result for result in fine["runs"][0]["results"]):
    faults.append("an accepted warning is not marked as suppressed")


def prints_of(log):
    return [result["partialFingerprints"]["dosewrightFinding/v1"] for result in log["runs"][0]["results"]]


# SARIF 2.1.0, 3.27.17: the same result keeps its fingerprint when what is around it changes
with tempfile.TemporaryDirectory() as scratch:
    path = os.path.join(scratch, "other-volume.yaml")
    with open("samples/wrong/protocols/other-volume.yaml", encoding="utf-8") as file:
        text = file.read()
    kept = []
    for words in (text, "# a line\n# and another\n" + text, text.replace("25 G x 1.5 in", "25 G x 0.5 in")):
        with open(path, "w", encoding="utf-8") as file:
            file.write(words)
        kept.append(prints_of(log_of("--clinic", "samples/lantern-cove", path)))
    if not kept[0] or kept[1] != kept[0]:
        faults.append("a fingerprint does not follow its finding to another line")
    if not set(kept[0]) < set(kept[2]):
        faults.append("another finding changed the fingerprints")
if len(set(prints_of(wrong))) != len(results):
    faults.append("two findings have one fingerprint")
# A roster's people are forgotten one by one, and what their findings point at must be there at the end.
people = log_of("samples/lantern-cove/patients", "samples/lantern-cove/today.csv")
beside = [place["physicalLocation"]["artifactLocation"]["uri"] for result in people["runs"][0]["results"]
          for place in result.get("relatedLocations", [])]
if not beside or not all(os.path.isfile(uri) for uri in beside):
    faults.append(f"what a roster's findings point at: {beside}")
broken = json.loads(json.dumps(wrong))
broken["runs"][0]["results"][0]["level"] = "bad"
if not list(validator.iter_errors(broken)):
    faults.append("the validator accepts anything")
print("\n".join(faults))
print(f"{8 - min(8, len(faults))} passed, {len(faults)} failed")
sys.exit(1 if faults else 0)
