#!/usr/bin/env python3
"""Each row of DEVELOPERS.md's table "Adding one thing" is proved: in a copy of the project
one of each is added whole, passes check and prints; then each part is forgotten in turn, and
what stops it names what is missing.

usage: tests/adding.py [ROW...]
"""
import glob
import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile

ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..")
PATIENT = "samples/northmere/patients/NM-310.yaml"
PROTOCOL = "samples/northmere/protocols/ready-trigger.yaml"
SHELF = "samples/northmere/shelf.yaml"
SHEET = [".build/dosewright", "sheet", "--draft", "--now", "2026-11-23T09:00+00:00", "--text", "--out", "out"]
# Sets that are not based on another.
SETS = [path for path in sorted(glob.glob(f"{ROOT}/templates/languages/*.yaml"))
        if "\nbased_on:" not in open(path, encoding="utf-8").read()]
SETS = ["templates/languages/" + os.path.basename(path) for path in SETS]


class Copy:
    """A copy of the project, and edits of it that can be taken back."""

    def __init__(self, folder):
        self.folder = folder
        for name in ("Makefile", "compiler", "tests", "templates", "samples", "protocols", "DEVELOPERS.md"):
            source = os.path.join(ROOT, name)
            if os.path.isdir(source):
                shutil.copytree(source, os.path.join(folder, name),
                                ignore=shutil.ignore_patterns("node", "__pycache__", "reference"))
            else:
                shutil.copy(source, folder)
        shutil.copytree(os.path.join(ROOT, "tests/reference"), os.path.join(folder, "tests/reference"))
        self.flags = None
        self.lost = []  # edits that found nothing to change

    def read(self, path):
        with open(os.path.join(self.folder, path), encoding="utf-8") as file:
            return file.read()

    def write(self, path, text):
        full = os.path.join(self.folder, path)
        os.makedirs(os.path.dirname(full), exist_ok=True)
        with open(full, "w", encoding="utf-8") as file:
            file.write(text)

    def change(self, path, old, new):
        """old is a regular expression that must be found."""
        text = self.read(path)
        after, count = re.subn(old, lambda match: match.expand(new), text, count=1, flags=re.M | re.S)
        if not count:
            self.lost.append(f"{path} does not hold {old!r}")
        self.write(path, after)

    def run(self, command):
        done = subprocess.run(command, cwd=self.folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
        return done.returncode, done.stdout.decode("utf-8", "replace")

    def compile(self, path):
        """One file as the build compiles it, without its object."""
        if not self.flags:
            self.flags = shlex.split(self.run(["make", "-s", "say-COMPILE"])[1])
        return self.run(["gcc", *self.flags, "-O0", "-U_FORTIFY_SOURCE", "-fsyntax-only", path])


def row(text):
    """Before the end of a table."""
    return r"(?=^#undef (\w+)\n\Z|^#undef (\w+)\n#undef \w+\n\Z|^#undef (\w+)\n#undef \w+\n#undef \w+\n\Z)", text


# ---- one of each, whole: file, what is looked for, what takes its place ----

WHOLE = [
    ("compiler/language/sites.def", *row(
        'SITE(FLANK, "flank", "above the hip", HANDS, ANY_WEIGHT, NOT_GIVEN,\n'
        '     GIVEN(10, 20, "invented", 2, 10, 5, 10, "invented"))\n')),
    ("compiler/drawing/scenes_spot.c", r"(static const SpotViews spots_of_)ABDOMEN( = [^;]*;\n)",
     r"\1ABDOMEN\2\1FLANK\2"),
    # a route: its row, a column in every site, its place where a site is asked
    ("compiler/language/routes.def", *row('ROUTE(ID, "intradermal", "into the skin", FAT, 5, "5 to 15 degrees")\n')),
    ("compiler/language/sites.def", r"im, sc\)$", "im, sc, id)"),
    ("compiler/language/lists.h", r"SiteUse im, sc;", "SiteUse im, sc, id;"),
    ("compiler/language/lists.c", r"weight, im, sc\) (\[Site_##id\] = \{REACH_##reach, weight, im, sc)\}",
     r"weight, im, sc, in_skin) \1, in_skin}"),
    ("compiler/language/lists.c", r"weight, im, sc\) \\", r"weight, im, sc, in_skin) \\"),
    ("compiler/language/lists.c", r"(    case Route_SC: return )(&site_row\(site\)->)sc;\n",
     r"\1\2sc;\n    case Route_ID: return \2id;\n"),
    ("compiler/rules/basis.c", r"weight, im, sc\)", "weight, im, sc, in_skin)"),
    ("compiler/rules/basis.c", r'(    "rules.site_sc." #id "=" )sc( "\\n")',
     r'\1sc\2 "rules.site_id." #id "=" in_skin "\\n"'),
    # a rung
    ("compiler/plan/values.def", *row('VALUE(rest_time, MOMENT, INJECTION, "when to rest")\n')),
    ("compiler/plan/rungs.def", r"^RUNG\(INJECT", 'RUNG(REST, rest_time, SILENT, "rest", "", "", "")\nRUNG(INJECT'),
    ("compiler/plan/ladder.c", r"^    add_rung\(arena, injection, RUNG_INJECT,",
     "    add_rung(arena, injection, RUNG_REST, start);\n    add_rung(arena, injection, RUNG_INJECT,"),
    ("compiler/plan/ledger.c", r"^    case RUNG_INJECT: break;\n", "    case RUNG_REST:\n    case RUNG_INJECT: break;\n"),
    # a step
    ("compiler/plan/steps.def", *row("STEP(breathe)\n")),
    ("compiler/plan/steps.c", r"^    after\(&work, plan\);\n", "    after(&work, plan);\n    steps(&work, STEP_breathe);\n"),
    # units: a symbol and a word
    ("compiler/value/units.def", r"^UNIT\(L,", 'UNIT(dL, "dL", "", SYMBOL, DIM_VOLUME, 100, 1)\nUNIT(L,'),
    ("compiler/value/units.def", r"^UNIT\(L,", 'UNIT(drops, "drops", "drop", WORD, DIM_VOLUME, 1, 20)\nUNIT(L,'),
    # a word
    ("compiler/language/choices.def", r"^CHOICE\(Supply, WIPE", 'CHOICE(Supply, TOWEL, "towel", "to dry")\nCHOICE(Supply, WIPE'),
    ("compiler/wording/figures.c", r"^    case Supply_WIPE:", "    case Supply_TOWEL:\n    case Supply_WIPE:"),
    ("compiler/plan/kit.c", r"^    case Supply_WIPE: return VALUE", "    case Supply_TOWEL:\n    case Supply_WIPE: return VALUE"),
    ("compiler/plan/kit.c", r"^    case Supply_WIPE: return arena", "    case Supply_TOWEL:\n    case Supply_WIPE: return arena"),
    # a slip
    ("compiler/language/slips.def", *row('SLIP(BURIED, "buried", "it lies in the garden", ANY)\n')),
    # a container, and a way of giving that it leads to
    ("compiler/language/containers.def", *row(
        'CONTAINER(POUCH, "pouch", "soft", DRAWN, TOP, "kit_pouch", "used_pouch", READY)\n')),
    ("compiler/plan/ways.def", *row('WAY(POUCH, FALSE, DRAWN, "job_pouch", "job_syringe_ready")\n')),
    ("compiler/plan/plan.c", r"case USE_DRAWN: return powder",
     "case USE_DRAWN: return medicine->container.value == Container_POUCH ? WAY_POUCH : powder"),
    ("compiler/plan/steps.c", r"^    case WAY_READY:", "    case WAY_POUCH:\n    case WAY_READY:"),
    # a kind of entry
    ("compiler/record/entries.def", *row('ENTRY(WAVED, "waved", TRUE, "the person waved")\n')),
    ("compiler/record/sheets.c", r"^    case RECORD_TOLD:\n", "    case RECORD_TOLD:\n    case RECORD_WAVED:\n"),
    # a field
    ("compiler/language/model.h", r"Text hub;", "Text planted, hub;"),
    ("compiler/language/fields.def", r"^FIELD\(Needle, hub,",
     'FIELD(Needle, planted, TEXT, OPTIONAL, 0, "planted", "x")\nFIELD(Needle, hub,'),
    # a phrase
    ("compiler/wording/phrases.def", *row('PHRASE(planted_words, "planted")\n')),
    ("templates/home-injection/template.yaml", r"(figures: twist_on, when: not filled_fixed\}\n          - panel: find\n            lines: \[)",
     r"\1planted_words, "),
    # what a clinic writes
    (PROTOCOL, r"site: abdomen", "site: flank"),
    (PROTOCOL, r"item: gauze pad, count: 2\}\n", "item: gauze pad, count: 2}\n  - {item: towel, count: 1}\n"),
    (SHELF, r"^supplies: \[", "supplies: [towel, "),
    (SHELF, r"^(  - name: choriogonadotropin.*?routes: \[)", r"\1intradermal, "),
]
WORDS = {"word_Site_FLANK": "flank", "word_Route_ID": "into the skin",
         "rung_REST": "Rest.", "unit_drops": "drops", "word_Supply_TOWEL": "towel",
         "word_Slip_BURIED": "buried",
         "planted_words": "Planted.", "kit_pouch": "pouch", "used_pouch": "empty pouch", "job_pouch": "Soft."}

# ---- each part forgotten: row of the table, what is taken back, what must stop it and say so ----


def cc(path):
    return lambda copy: copy.compile(path)


def check(name):
    return lambda copy: copy.run([f"tests/checks/{name}"])


def sheet(copy):
    """Each time into an empty folder: a sheet is never written over."""
    shutil.rmtree(os.path.join(copy.folder, "out"), ignore_errors=True)
    return copy.run([*SHEET, PATIENT])


def no_phrase(table_row, name):
    return (table_row, [("templates/languages/en.yaml", rf"^  {name}: .*?\n", "")], sheet, name)


SITES, LISTS = "compiler/language/sites.def", "compiler/language/lists.c"
FORGOTTEN = [
    ("site", [(SITES, r'"above the hip", HANDS.*?NOT_GIVEN\)', '"above the hip")')], cc(LISTS), 'macro "SITE" requires'),
    ("site", [(SITES, r'(ANY_WEIGHT, NOT_GIVEN,\s+)GIVEN\(10, 20, "invented".*?\)', r"\1NOT_GIVEN")], cc(LISTS),
     "site FLANK has no route"),
    ("site", [(SITES, r'"invented", 2, 10, 5, 10, "invented"', '"", 2, 10, 5, 10, "invented"')], cc(LISTS),
     "site FLANK has no route with published limits and their sources"),
    ("site", [("compiler/drawing/scenes_spot.c", r"static const SpotViews spots_of_FLANK =[^;]*;\n", "")],
     cc("compiler/drawing/scenes_spot.c"), "spots_of_FLANK"),
    no_phrase("site", "word_Site_FLANK"),
    ("route", [(SITES, r", NOT_GIVEN\)\n(?=SITE\(DORSO)", ")\n")], cc(LISTS), 'macro "SITE" requires'),
    ("route", [("compiler/language/lists.c", r"    case Route_ID:.*?\n", "")], cc(LISTS), "Route_ID"),
    ("route", [("compiler/rules/basis.c", r"weight, im, sc, in_skin\)", "weight, im, sc)")], cc("compiler/rules/basis.c"),
     'macro "SITE" passed'),
    no_phrase("route", "word_Route_ID"),
    ("rung", [("compiler/plan/values.def", r"^VALUE\(rest_time.*?\n", "")], cc("compiler/plan/plan.c"), "VALUE_rest_time"),
    ("rung", [("compiler/plan/rungs.def", r'"rest", "", "", ""', '"rest"')], cc("compiler/plan/plan.c"), 'macro "RUNG" requires'),
    ("rung", [("compiler/plan/ladder.c", r"    add_rung\(arena, injection, RUNG_REST.*?\n", "")], check("rows"),
     "REST: the ladder has no place for it"),
    no_phrase("rung", "rung_REST"),
    ("step", [("compiler/plan/steps.c", r"    steps\(&work, STEP_breathe\);\n", "")], check("rows"),
     "breathe: the plan places it nowhere"),
    ("unit", [("compiler/value/units.def", r'"dL", "", SYMBOL, ', '"dL", ')], cc("compiler/value/quantity.c"),
     'macro "UNIT" requires'),
    no_phrase("unit", "unit_drops"),
    ("word that a file may use", [("compiler/wording/figures.c", r"    case Supply_TOWEL:\n", "")],
     cc("compiler/wording/figures.c"), "Supply_TOWEL"),
    no_phrase("word that a file may use", "word_Supply_TOWEL"),
    ("container", [("compiler/language/containers.def", r', "kit_pouch", "used_pouch", READY', "")], cc(LISTS),
     'macro "CONTAINER" requires'),
    ("container", [("compiler/language/containers.def", r'used_pouch", READY', 'used_pouch", POUCH')],
     cc("compiler/wording/figures.c"), "THING_POUCH"),
    no_phrase("container", "kit_pouch"),
    ("slip", [("compiler/language/slips.def", r'in the garden", ANY', 'in the garden"')], cc(LISTS), 'macro "SLIP" requires'),
    no_phrase("slip", "word_Slip_BURIED"),
    ("way of giving", [("compiler/plan/ways.def", r', "job_pouch", "job_syringe_ready"', "")], cc("compiler/plan/plan.c"),
     'macro "WAY" requires'),
    ("way of giving", [("compiler/plan/plan.c", r"medicine->container.value == Container_POUCH \? WAY_POUCH : ", "")],
     check("rows"), "POUCH: nothing leads to it"),
    ("way of giving", [("compiler/plan/steps.c", r"    case WAY_POUCH:\n", "")], cc("compiler/plan/steps.c"), "WAY_POUCH"),
    no_phrase("way of giving", "job_pouch"),
    ("kind of entry in the record", [("compiler/record/sheets.c", r"    case RECORD_WAVED:\n", "")],
     cc("compiler/record/sheets.c"), "RECORD_WAVED"),
    ("field", [("compiler/language/fields.def", r"^FIELD\(Needle, planted.*?\n", "")], check("fields"),
     "Needle.planted has no row"),
    ("field", [("compiler/language/model.h", r"Text planted, hub;", "Text hub;")], cc("compiler/language/table.c"), "planted"),
    ("value that a sheet can show", [("compiler/plan/values.def", r"^VALUE\(rest_time",
                                      'VALUE(nowhere, TEXT, PERSON, "x")\nVALUE(rest_time')], check("rows"),
     "nowhere: nothing sets it"),
    no_phrase("phrase", "planted_words"),
    ("phrase", [("templates/home-injection/template.yaml", r"planted_words, ", "")], check("rows"),
     "planted_words: nothing asks for it"),
    ("rule", [("compiler/rules/rules.def", r"^RULE\(",
               'RULE(planted, STAGE_PATIENT, SEVERITY_ERROR, "x",\n     "it is",\n     "It is.",\n     "common practice, no source")\nRULE(')],
     check("rules"), "planted: has no check"),
    ("fault of reading or printing", [("compiler/rules/rules.def", r"^FAULT\(", 'FAULT(planted, STAGE_OUTPUT, SEVERITY_ERROR, "x",\n'
                                      '     "it is",\n     "It is.",\n     "common practice, no source")\nFAULT(')],
     check("rules"), "planted: nothing raises it"),
    ("limit", [("compiler/rules/limits.def", r"\A", "#ifndef PLANTED\n#define PLANTED(x)\n#endif\n")], check("rules"),
     "no seal covers PLANTED"),
    ("picture", [("compiler/figure/figures.def", r"^FIGURE\(", "FIGURE(PLANTED, planted, NONE, planted)\nFIGURE(")],
     cc("compiler/wording/figures.c"), "fill_planted"),
    ("point of the score", [("tests/score/fails.py", r"\Z", "")], lambda copy: copy.run(["tests/score/fails.py", "Z9"]),
     "Z9: no test sheet, or no such point"),
    ("command", [("compiler/commands/commands.c", r"command_plan, DOOR_WORDS\}", "command_plan}")],
     cc("compiler/commands/commands.c"), "missing initializer for field ‘doors’"),
    ("template", [("templates/home-injection/template.yaml", r"block: minute", "block: minuet")], sheet, "minuet"),
    ("language", [("templates/languages/en.yaml", r"^  used_ready: .*?\n", "")], sheet, "used_ready"),
    ("protocol", [(PROTOCOL, r"^    late: .*?\n", "")],
     lambda copy: copy.run([".build/dosewright", "check", "--now", "2026-11-23T09:00+00:00", PROTOCOL]), "nothing says what to do when late"),
]
# One row is all: nothing else could be forgotten, and nothing can tell that it was left out.
FREE = {"medical warning", "published dose of a medicine", "sentence that goes against a plan",
        "short form that is misread", "key that has no effect in some way of giving", # tests/effects.py
        "panel"} # forgotten, it is a sentence without its phrase or a value that is not shown


def add_all(copy):
    for path, old, new in WHOLE:
        copy.change(path, old, new)
    text = copy.read(SITES)
    closed = re.sub(r"\)\n(?=SITE\(|#undef)", ", NOT_GIVEN)\n", text)
    copy.write(SITES, closed)
    for path in SETS:
        lines = "".join(f'  {name}: "{words}"\n' for name, words in WORDS.items())
        copy.change(path, r"^phrases:\n", "phrases:\n" + lines)


def whole_faults(copy):
    """All of them together build, pass check and print."""
    code, first = copy.run(["tests/precompiled", ".build", "OPTIMISE=-O0", "HARDEN="])
    if code:
        return [f"nothing can be compiled first: {first}"]
    code, said = copy.run(["make", "-s", "-j2", ".build/dosewright", ".build/dosewright-paper", "OPTIMISE=-O0", f"HARDEN={first.strip()}"])
    if code:
        return [f"all of them together do not build:\n{said[-1500:]}"]
    faults = []
    for name in ("rows", "fields", "switches"):
        code, said = check(name)(copy)
        if code:
            faults.append(f"all of them together fail tests/checks/{name}: {said[-500:]}")
    copy.run(["tests/reseal", "samples/northmere/"])
    code, said = sheet(copy)
    if code:
        return faults + [f"all of them together print no sheet: {said[-1500:]}"]
    text = "".join(copy.read(path) for path in glob.glob(os.path.join(copy.folder, "out/*.txt")))
    faults += [f"the sheet does not say {words!r}" for words in ("Planted.", "Rest.", "towel")
               if words not in text]
    copy.change(PROTOCOL, "route: subcutaneous", "route: intradermal")
    code, said = sheet(copy)
    if "site_not_for_route" not in said:
        faults.append(f"a route that no site has passes: {said[-300:]}")
    copy.change(PROTOCOL, "route: intradermal", "route: subcutaneous")
    schema = copy.run([".build/dosewright", "schema", "shelf"])[1]
    faults += [f"the editor's schema does not know {word}" for word in ("dL", "drops", "towel", "intradermal", "planted")
               if word not in schema]
    copy.change(SHELF, r"volume: 0\.5 mL", "volume: 0.005 dL")
    copy.run(["tests/reseal", "samples/northmere/"])
    code, said = sheet(copy)
    if code:
        faults.append(f"the reader does not know dL: {said[-500:]}")
    return faults


def forgotten_fault(copy, case):
    table_row, edits, stops, wanted = case
    before = {path: copy.read(path) for path, _, _ in edits}
    for edit in edits:
        copy.change(*edit)
    code, said = stops(copy)
    for path, text in before.items():
        copy.write(path, text)
    if code != 0 and wanted in said:
        return None
    return f"{table_row}: forgetting {edits[0][1]!r} exits {code} and does not say {wanted!r}:\n{said[-600:]}"


def table_rows():
    with open(os.path.join(ROOT, "DEVELOPERS.md"), encoding="utf-8") as file:
        part = file.read().split("## Adding one thing")[1].split("\n## ")[0]
    return [line.split("|")[1].strip() for line in part.split("\n") if line.startswith("| ")][2:]


def main():
    cases = [case for case in FORGOTTEN if not sys.argv[1:] or case[0] in sys.argv[1:]]
    rows = table_rows()
    proved = {case[0] for case in FORGOTTEN} | FREE
    faults = [f"DEVELOPERS.md: nothing here proves the row {name!r}" for name in rows if name not in proved]
    faults += [f"DEVELOPERS.md has no row {name!r}" for name in sorted(proved - set(rows))]
    with tempfile.TemporaryDirectory() as scratch:
        copy = Copy(scratch)
        add_all(copy)
        whole = whole_faults(copy) + copy.lost
        faults += whole
        cases = [] if whole else cases
        faults += [fault for fault in (forgotten_fault(copy, case) for case in cases) if fault]
        faults += [] if whole else copy.lost
    for line in faults:
        print(line)
    print(f"{len(cases)} parts forgotten, {len(faults)} faults")
    return 1 if faults or not cases else 0


sys.exit(main())
