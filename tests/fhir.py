#!/usr/bin/env python3
"""Plans as bundles of HL7 FHIR release 4, and bundles in place of a patient's file.

What is written is held against the schema that HL7 publishes (tests/reference/fhir-r4.schema.json,
word for word) by python3-jsonschema, against what must be there once (from memory), and against
the plan's own values.  With "npm" the package fhir from the npm registry, which knows
cardinalities and value sets, validates it too (make score)."""
import copy
import glob
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

import jsonschema

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = os.path.abspath(".build/dosewright")
NOW = ["--now", "2026-11-23T10:00-04:00"]
CLINIC = ["--clinic", "samples/lantern-cove"]
with open("tests/reference/fhir-r4.schema.json", encoding="utf-8") as file:
    SCHEMA = json.load(file)
# FHIR 4.0.1, from memory: elements that must be there (1..1)
NEEDED = {"Bundle": ["type"], "Patient": [], "CarePlan": ["status", "intent", "subject"],
          "MedicationRequest": ["status", "intent", "medicationCodeableConcept", "subject"]}
# The Unified Code for Units of Measure, from memory, by unit and by what the label calls its units
UCUM = {"mcg": {"ug"}, "mg": {"mg"}, "mL": {"mL"}, "units": {"[iU]", "[USP'U]", "[arb'U]"}}
passed, faults = 0, []


def expect(name, fine, seen=""):
    global passed
    if fine:
        passed += 1
    else:
        faults.append(f"{name}: {str(seen)[:400]}")


def run(*words):
    return subprocess.run([PROGRAM, *words], capture_output=True, text=True, timeout=60)


def validator(kind):
    return jsonschema.Draft6Validator({"$schema": SCHEMA["$schema"], "$ref": f"#/definitions/{kind}",
                                       "definitions": SCHEMA["definitions"]})


VALIDATORS = {kind: validator(kind) for kind in NEEDED}


def errors_of(bundle):
    """What the published schema says against a bundle and its resources."""
    found = [error.message for error in VALIDATORS["Bundle"].iter_errors(bundle)]
    for resource in [bundle] + [entry["resource"] for entry in bundle["entry"]]:
        kind = resource["resourceType"]
        found += [f"{kind} {list(error.path)}: {error.message}" for error in VALIDATORS[kind].iter_errors(resource)]
        found += [f"{kind} without {name}" for name in NEEDED[kind] if name not in resource]
    return found


def values_of(path, *more):
    return json.loads(run("plan", *NOW, *more, "--format", "json", path).stdout)


def local(instant):
    """"2026-11-24 23:30" of an instant written with its offset."""
    return instant[:16].replace("T", " ")


def check_request(name, request, injection):
    dosage = request["dosageInstruction"][0]
    timing, values = dosage["timing"], injection

    def says(value):
        return values[value]["text"] if value in values else None
    ends = [says("earliest"), says("latest")] if len(timing["event"]) == 1 and says("earliest") else []
    expect(f"{name}: its minute", local(timing["event"][0]) in says("injection_time"), timing)
    expect(f"{name}: its days", timing["repeat"]["count"] == len(timing["event"]) == int(says("days_left") or 1), timing)
    expect(f"{name}: its window", not ends or all(local(timing["repeat"]["boundsPeriod"][edge]) in value
                                                  for edge, value in zip(("start", "end"), ends)), timing)
    for each in dosage["doseAndRate"]:
        amount, kind = each["doseQuantity"], each["type"]["coding"][0]["code"]
        number, unit = re.match(r"([\d,.]+) (\w+)", says("dose" if kind == "ordered" else "volume")).groups()
        expect(f"{name}: {kind}", float(number.replace(",", "")) == amount["value"] and amount["unit"] in (unit, unit + "s") and
               amount["code"] in UCUM[amount["unit"]] and amount["system"] == "http://unitsofmeasure.org", (number, unit, amount))
    expect(f"{name}: route and site", dosage["route"]["text"] == says("route") and dosage["site"]["text"] == says("site") and
           dosage["route"]["coding"][0]["code"] == {"intramuscular": "78421000", "subcutaneous": "34206005"}[says("route")], dosage)


def written():
    """Every person of the samples."""
    bundles, seen = [], set()
    for path in sorted(glob.glob("samples/*/patients/*.yaml")):
        name = os.path.basename(path)[:-5]
        done = run("plan", *NOW, "--format", "fhir", path)
        if done.returncode != 0:
            expect(f"{name}: nothing of what is stopped", done.returncode == 1 and done.stdout == "", done.stdout)
            continue
        bundle = json.loads(done.stdout)
        bundles.append(bundle)
        expect(f"{name}: the published schema", not errors_of(bundle), errors_of(bundle)[:3])
        resources = {entry["fullUrl"]: entry["resource"] for entry in bundle["entry"]}
        requests = [resource for resource in resources.values() if resource["resourceType"] == "MedicationRequest"]
        plans = [resource for resource in resources.values() if resource["resourceType"] == "CarePlan"]
        references = re.findall(r'"reference": "([^"]*)"', json.dumps(bundle))
        expect(f"{name}: references lead to entries", references and set(references) <= set(resources), references)
        expect(f"{name}: the plan names each", len(plans) == 1 and len(plans[0]["activity"]) == len(requests), plans)
        injections = values_of(path)["injections"]
        expect(f"{name}: a request for each", len(requests) == len(injections), len(requests))
        for request, injection in zip(requests, injections):
            check_request(name, request, injection)
            seen |= {each["doseQuantity"]["code"] for each in request["dosageInstruction"][0]["doseAndRate"]}
        expect(f"{name}: invented data says so", bundle["meta"]["security"][0]["code"] == "HTEST", bundle["meta"])
    expect("several units", {"[iU]", "[USP'U]", "mL"} <= seen, seen)
    expect("a protocol is no person", run("plan", *NOW, "--format", "fhir",
                                          "samples/lantern-cove/protocols/evening-trigger.yaml").returncode == 2)
    return bundles


def numberless(scratch):
    """Where a record is kept, the sheet's number comes with the sheet: a plan needs none."""
    folder = os.path.join(scratch, "kept")
    shutil.copytree("samples/lantern-cove", folder)
    path = os.path.join(folder, "patients", "LC-2041.yaml")
    for name, old, new in ((path, r"^sheet: .*\n", ""), (os.path.join(folder, "clinic.yaml"), r"\Z", "\nrecord: record.db\n")):
        with open(name, encoding="utf-8") as file:
            text = re.sub(old, new, file.read(), flags=re.M)
        with open(name, "w", encoding="utf-8") as file:
            file.write(text)
    done = run("plan", *NOW, "--format", "fhir", path)
    expect("a plan before its sheet has a number", done.returncode == 0 and not errors_of(json.loads(done.stdout)), done.stderr)


def spoiled(bundle):
    """The validator finds each of these."""
    for what, spoil in (("a status that is no word", lambda r: r.update(status=7)),
                        ("an element that is none", lambda r: r.update(sheet="7")),
                        ("a subject that is not there", lambda r: r.pop("subject")),
                        ("a time without its offset", lambda r: r["dosageInstruction"][0]["timing"].update(event=["2026-11-24T23:30"]))):
        wrong = copy.deepcopy(bundle)
        spoil([entry["resource"] for entry in wrong["entry"] if entry["resource"]["resourceType"] == "MedicationRequest"][0])
        expect(f"the schema refuses {what}", errors_of(wrong))


# ---- reading ----

REST = """sheet: 7
prepared_by: P. Invented
weight: 68 kg
sex: woman
allergies: []
bleeding: []
by: helper
boxes:
  - {medicine: "chorionic gonadotropin 10,000 units", lot: A1234, expires: 2027-08}
"""


def incoming(start="2026-11-26T11:30:00-04:00"):
    person = "urn:uuid:61ebe359-bfdc-4613-8bf2-c5e300945f0a"
    resources = [
        {"resourceType": "Patient", "active": True,
         "identifier": [{"use": "official", "value": "9000-1"}, {"use": "usual", "value": "LC-2041"}],
         "name": [{"use": "official", "family": "Tester", "given": ["Maren"]}, {"use": "usual", "text": "Maren T."}],
         "telecom": [{"system": "email", "value": "a@b.example"}, {"system": "phone", "value": "902 555 0160", "use": "mobile"}],
         "communication": [{"language": {"coding": [{"system": "urn:ietf:bcp:47", "code": "en"}]}, "preferred": True}]},
        {"resourceType": "Appointment", "status": "booked", "start": start,
         "participant": [{"actor": {"reference": person}, "status": "accepted"}]},
        {"resourceType": "ServiceRequest", "status": "active", "intent": "order", "identifier": [{"value": "R-1124-07"}],
         "instantiatesUri": ["https://clinic.example/protocols/evening-trigger"], "subject": {"reference": person}}]
    return {"resourceType": "Bundle", "type": "collection",
            "entry": [{"fullUrl": person if resource["resourceType"] == "Patient" else f"urn:uuid:{number:08}-0000-4000-8000-000000000000",
                       "resource": resource} for number, resource in enumerate(resources)]}


def texts(plan):
    """All values of a plan but those that speak of the files it was made from."""
    return [{name: value["text"] for name, value in scope.items() if isinstance(value, dict) and "text" in value and
             name != "source_digest"} for scope in (plan["plan"], *plan["injections"])]


def taken(scratch):
    path, rest = os.path.join(scratch, "LC-2041.json"), os.path.join(scratch, "rest.yaml")
    more = [*CLINIC, "--rest", rest]
    with open(rest, "w", encoding="utf-8") as file:
        file.write(REST)

    def put(bundle, text=None):
        with open(path, "w", encoding="utf-8") as file:
            file.write(text if text is not None else json.dumps(bundle, indent=2))
        return path

    put(incoming())
    expect("the example is of the published schema", not list(VALIDATORS["Bundle"].iter_errors(incoming())))
    done = run("sheet", *NOW, *more, "--out", os.path.join(scratch, "out"), path)
    expect("a sheet from a bundle", done.returncode == 0, done.stderr)
    own = texts(values_of("samples/lantern-cove/patients/LC-2041.yaml"))
    expect("the same plan as from the patient's file", texts(values_of(path, *more)) == own, texts(values_of(path, *more)))
    done = run("check", *NOW, *CLINIC, path)
    expect("what a bundle cannot give", done.returncode == 1 and 'needs "allergies"' in done.stderr and f"{path}:" in done.stderr and
           'needs "boxes"' in done.stderr, done.stderr)
    def lacking(what, spoil):
        bundle = incoming()
        spoil(bundle["entry"])
        done = run("check", *NOW, *more, put(bundle))
        expect(f"no {what}: one finding", done.returncode == 1 and done.stderr.count(": error: ") == 1, done.stderr)
    lacking("start", lambda entries: entries[1]["resource"].pop("start"))
    for index, what in enumerate(("Patient", "Appointment", "ServiceRequest")):
        lacking(what, lambda entries, index=index: entries.pop(index))
    put(incoming())
    with open(rest, "a", encoding="utf-8") as file:
        file.write("name: Marin T.\n")
    done = run("check", *NOW, *more, path)
    expect("both say it", done.returncode == 1 and f"{rest}:10:1: error: the same thing is said twice" in done.stderr and
           "the bundle says it here" in done.stderr, done.stderr)
    with open(rest, "w", encoding="utf-8") as file:
        file.write(REST)
    # clocks go back in Halifax on 2026-11-01 at 2 am: 1:30 am comes twice (IANA time-zone database)
    for offset, clock in (("-03:00", "13:30"), ("-04:00", "14:30")):
        put(incoming(f"2026-11-01T01:30:00{offset}"))
        plan = run("plan", "--now", "2026-10-25T10:00-03:00", *more, path).stdout
        expect(f"the hour that comes twice, {offset}", re.search(rf"injection_time +\w+ 2026-10-30 {clock}", plan), plan[-900:])
    hostile(scratch, put, more)


def hostile(scratch, put, more):
    def changed(change):
        bundle = incoming()
        change(*[entry["resource"] for entry in bundle["entry"]], bundle)
        return json.dumps(bundle, indent=1)
    text = json.dumps(incoming(), indent=1)
    for name, words, wanted in (
            ("cut short", text[:-40], "error"), ("nothing", "", "error"), ("a list", "[]", "wrong_shape"),
            ("no bundle", '{"resourceType": "Patient"}', "bundle_unfit"),
            ("an entry that is a number", '{"resourceType": "Bundle", "entry": [1, null, "x", []]}', "bundle_unfit"),
            ("said twice", text.replace('"status": "booked"', '"status": "booked", "status": "cancelled"'), "key_twice"),
            ("deep", "[" * 5000, "too_deep"), ("deep in a resource", text.replace('"active": true', '"x": ' + "[" * 60 + "]" * 60), "too_deep"),
            ("tabs", text.replace("\n ", "\n\t"), "tab_indent"),
            ("reversed letters", text.replace("Maren", "Maren\\u202e"), "hidden_characters"),
            ("two people", changed(lambda p, a, r, b: b["entry"].append({"resource": p})), "bundle_unfit"),
            ("two appointments", changed(lambda p, a, r, b: b["entry"].append({"resource": a})), "bundle_unfit"),
            ("another's order", changed(lambda p, a, r, b: r["subject"].update(reference="Patient/2")), "bundle_unfit"),
            ("a proposal", changed(lambda p, a, r, b: r.update(intent="proposal")), "bundle_unfit"),
            ("an order that has ended", changed(lambda p, a, r, b: r.update(status="revoked")), "bundle_unfit"),
            ("someone who died", changed(lambda p, a, r, b: p.update(deceasedBoolean=True)), "bundle_unfit"),
            ("an entry out of use", changed(lambda p, a, r, b: p.update(active=False)), "bundle_unfit"),
            ("a modifier", changed(lambda p, a, r, b: a["participant"][0].update(modifierExtension=[{"url": "urn:x"}])), "bundle_unfit"),
            ("half a minute", changed(lambda p, a, r, b: a.update(start="2026-11-26T11:30:30-04:00")), "bundle_unfit"),
            ("no such day", changed(lambda p, a, r, b: a.update(start="2026-02-30T11:30:00-04:00")), "bundle_unfit"),
            ("midnight", changed(lambda p, a, r, b: a.update(start="2026-11-26T00:00:00-04:00")), "error"),
            ("a protocol elsewhere", changed(lambda p, a, r, b: r.update(instantiatesUri=["urn:x/../../etc"])), "error"),
            ("several protocols", changed(lambda p, a, r, b: r.update(instantiatesUri=["a", "b"])), "bundle_unfit"),
            ("identifiers without a usual one", changed(lambda p, a, r, b: p["identifier"].pop()
                                                        and p["identifier"].append({"value": "2"})), "bundle_unfit"),
            ("too large", text + " " * (1 << 20), "file_too_large")):
        done = run("sheet", *NOW, *more, "--out", os.path.join(scratch, "none"), put(None, words))
        expect(f"hostile: {name}", done.returncode == 1 and wanted in done.stderr and "LC-2041.json:" in done.stderr, f"{done.returncode} {done.stderr}")
    expect("no sheet of any", not os.path.exists(os.path.join(scratch, "none")), "one was printed")
    done = run("check", *NOW, *more, os.path.join(scratch, "nowhere.json"))
    expect("a bundle that is not there", done.returncode == 3, done.returncode)


NODE = """const {Fhir} = require('fhir'); const fhir = new Fhir(); const fs = require('fs');
for (const path of process.argv.slice(1)) {
  const result = fhir.validate(fs.readFileSync(path, 'utf8'), {errorOnUnexpected: true});
  console.log(JSON.stringify([result.valid, result.messages.filter(m => m.severity === 'error' || m.severity === 'fatal')]));
}"""


def by_package(scratch, bundles):
    spoiled_one = copy.deepcopy(bundles[0])
    spoiled_one["entry"][-1]["resource"]["intent"] = "wish"
    paths = []
    for number, bundle in enumerate([*bundles, incoming(), spoiled_one]):
        paths.append(os.path.join(os.path.abspath(scratch), f"{number}.json"))
        with open(paths[-1], "w", encoding="utf-8") as file:
            json.dump(bundle, file)
    done = subprocess.run(["node", "-e", NODE, *paths], cwd=".build/node", capture_output=True, text=True, timeout=300)
    lines = [json.loads(line) for line in done.stdout.split("\n") if line]
    expect("the package judged all", len(lines) == len(paths), done.stderr)
    expect("valid by the package", all(valid for valid, _ in lines[:-1]), lines[:-1])
    expect("the package refuses a wrong code", lines and not lines[-1][0], lines[-1:])


with tempfile.TemporaryDirectory() as scratch:
    bundles = written()
    spoiled(bundles[0])
    numberless(scratch)
    if sys.argv[1:] == ["npm"]:
        by_package(scratch, bundles)
    taken(scratch)
print("\n".join(faults))
print(f"{passed} passed, {len(faults)} failed")
sys.exit(1 if faults or passed < 60 else 0)
