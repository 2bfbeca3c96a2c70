#!/usr/bin/env python3
"""Every use that is refused: exit status 2 (3 where nothing was typed wrong), words that say what to type, nothing
printed and nothing left behind.  Each refusal that the source can give is met here: its words are looked up
in the source, and one that no case meets is named.  All invented."""
import glob
import os
import re
import shutil
import subprocess
import tempfile

from tally import end, expect

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = os.path.join(ROOT, ".build/dosewright")
NOW = ["--now", "2026-11-23T10:00-04:00"]
PERSON, OTHER = "clinic/patients/LC-2041.yaml", "clinic/patients/LC-2058.yaml" # with boxes of one lot
PROTOCOL, ROSTER = "clinic/protocols/evening-trigger.yaml", "clinic/today.csv"
BY = ["--by", "P. Invented"]

# words typed, what must be said; "clinic" keeps a record, "plain" none
CASES = [
    ([], "name a command"),
    (["chekc"], 'there is no command "chekc"; did you mean "check"?'),
    (["zzzzzzzz"], 'there is no command "zzzzzzzz"'),
    (["check", "--format", "xml", PERSON], "--format is text, lines, sarif, json or fhir"),
    (["check", "--now", "today", PERSON], "--now wants a time with its offset, as 2026-11-24T09:30-04:00"),
    (["check", "--format", b"\xff", PERSON], "is not plain text in UTF-8"),
    (["check", "--frmat", "text", PERSON], "--frmat"),
    (["check"], "name a file or a folder to check"),
    (["check", "empty"], "there is no .yaml file there"),
    (["plan"], "give one protocol or patient file"),
    (["plan", "clinic/clinic.yaml"], "a plan is made from a protocol or a patient"),
    (["plan", "--format", "fhir", PROTOCOL], "a bundle is made of one person: name a patient's file"),
    (["trace", PERSON], "give a file and the name of one value, or what is printed"),
    (["trace", PERSON, "injection_tine"], 'there is no value "injection_tine"; did you mean "injection_time"?'),
    (["trace", PERSON, "zzzzzzzz"], 'there is no value "zzzzzzzz"; "dosewright plan" lists them'),
    (["explain", "window_missin"], 'there is no rule "window_missin"; did you mean "window_missing"?'),
    (["explain", "zzzzzzzz"], 'there is no rule "zzzzzzzz"'),
    (["schema", "clinics"], "a schema is of clinic, shelf, protocol or patient"),
    (["seal", "clinic/clinic.yaml"], "only a protocol has a seal"),
    (["compare", PROTOCOL], "give the old and the new protocol file, or the old and the new folder of a clinic"),
    (["compare", PROTOCOL, "clinic"], "compare two files or two folders"),
    (["compare", "empty", "empty"], 'there is no folder "protocols" with a protocol in either'),
    (["approve", *BY, "--review-by", "2027-10-01"], "give one protocol file"),
    (["approve", *BY, PROTOCOL], "say who approves and until when: --by NAME --review-by 2027-10-01"),
    (["approve", *BY, "--review-by", "soon", PROTOCOL], "--review-by wants a date, as 2027-10-01"),
    (["approve", *BY, "--review-by", "2027-10-01", PERSON], "only a protocol is approved"),
    (["roster"], "name one protocol's file"),
    (["roster", "clinic/clinic.yaml"], "an empty roster is made for a protocol's file"),
    (["letters", "en"], "name a language and one or more texts"),
    (["letters", "en", b"\xff"], "a text is not in UTF-8"),
    (["sheet"], "name a patient's file"),
    (["sheet", PROTOCOL], "a sheet is printed from a patient's file"),
    (["sheet", "--paper", "A5", PERSON], "--paper is A4 or Letter"),
    (["sheet", "--injection", "zzz", PERSON], "no injection of this protocol is named so"),
    (["sheet", "--template", "../x", PERSON], "--template is the name of a folder of the templates, of letters, digits and hyphens"),
    (["read"], "name a sheet"),
    (["day", "--out", "out"], "name one roster"),
    (["day", ROSTER], "say with --out which folder the day's sheets go into"),
    (["day", "--draft", "--out", "out", ROSTER], "a day is told as text or lines, and prints final sheets of the ordinary template"),
    (["day", "--part", "4/3", "--out", "out", ROSTER], "--part is as 3/16: the third of sixteen parts of the roster"),
    (["night"], "name the patients' files or their folder, or the clinic's with --clinic"),
    (["night", "clinic/patients", "plain/patients"], "a night is that of one clinic: clinic and plain are two"),
    (["rule-book", "--out", "out", "--paper", "A5"], "--paper is A4 or Letter"),
    (["review", "--out", "out", "--paper", "A5", "clinic"], "--paper is A4 or Letter"),
    (["night", "--now", "2026-11-24T20:00-04:00", "--out", "out", "--paper", "A5", "clinic/patients"], "--paper is A4 or Letter"),
    (["find"], "give a person's code, a spoken code, a name or a telephone number: find 9AHC6 patients"),
    (["review", "--out", "out"], "name a folder of clinics or protocols"),
    (["review", "--out", "out", "--gate", "never", "clinic"], "--gate is stops, waits or ends"),
    (["review", "--out", "out", "--since", "2026-13-45", "clinic"], '"2026-13-45" is no day of the calendar as 2026-10-01, and no file that can be read'),
    (["review", "--out", "out", "--since", "junk.lines", "clinic"], "line 1 of junk.lines is not of an earlier review: name its review.lines"),
    (["move", PERSON], "name a patient's file and the new time: '12:30 pm' or 'Friday 2026-11-27 9 am'"),
    (["move", PROTOCOL, "12:30 pm"], "only a patient's procedure is moved"),
    (["move", PERSON, "noonish"], "\"noonish\" is no time: write '12:30 pm' or 'Friday 2026-11-27 9 am'"),
    (["move", "plain/patients/LC-2041.yaml", "12:30 pm"], 'this clinic keeps no record: write the new time, "sheet:" and "replaces:" into the file and print it'),
    (["move", "--out", "out", ROSTER, "LC-2101"], "name the roster, whose procedure, the new time, and the day's folder"),
    (["move", "--out", "out", ROSTER, "LC-9999", "12:30 pm"], "LC-9999 is not in clinic/today.csv"),
    (["move", "--out", "out", ROSTER, "LC-2101", "noonish"], "\"noonish\" is no time"),
    (["move", PERSON, "9:40 PM"], "\"9:40 PM\" is no time: write '9:40 pm'\n"),
    (["move", PERSON, "Friday 2026-11-27 9:30"],
     "write 'Friday 2026-11-27 9:30 am', 'Friday 2026-11-27 9:30 pm' or 'Friday 2026-11-27 09:30'"),
    (["move", PERSON, "2026-11-27 12am"], "is no time: write '12:30 pm' or 'Friday 2026-11-27 9 am'"),
    (["move", PERSON, "Thursday 2026-11-27 9 am"], "is no time: that date is a Friday"),
    (["move", "--out", "out", "plain/today.csv", "LC-2101", "12:30 pm"], 'this clinic keeps no record: write the new time, a new "sheet" and "replaces" into the row'),
    (["cancel", "LC-2041", "no egg collection"], "say who, which sheet and why: cancel --by NAME LC-2041 'no egg collection'"),
    (["recall", *BY, "lots", "A1", "why"], "say what: protocol NAME or NAME/REVISION, shelf 'NAME', lot LOT, rule RULE, language TAG"),
    (["recall", *BY, "lot", "A1234"], "say why, behind what is called back: recall --by NAME lot A1234 'cracked vials'"),
    (["recall", *BY, "rule", "window_missin", "why"], 'no rule is called "window_missin": did you mean "window_missing"?'),
    (["recall", *BY, "rule", "zzzzzzzz", "why"], 'no rule is called "zzzzzzzz"; the rule book has them all'),
    (["recall", *BY, "--instead", "B99", "lot", "A1234", "why", ROSTER], "--instead is of a lot, and names another with its expiry: 'B99 2027-09'"),
    (["record", "verify"], "there is no clinic.yaml here or above: name its folder with --clinic"),
    (["record", "--clinic", "plain", "verify"], 'this clinic keeps no record: "record: record.db" in its clinic.yaml begins one'),
    (["record", "--clinic", "plain", "restored", *BY, "why"], 'this clinic keeps no record'),
    (["record", "--clinic", "clinic", "verfy"], "record verify, record find WORD, record note"),
    (["record", "--clinic", "clinic", "backup"], "name the file that the copy goes into"),
    (["record", "--clinic", "clinic", "find"], "give one word: a code, name, spoken code, telephone, lot, order or number"),
    (["record", "--clinic", "clinic", "restored"], "say who brought the backup back, and why: --by NAME 'REASON'"),
    (["record", "--clinic", "clinic", "note", "1", "call", "said=x"], "say who, which sheet, what and the words"),
    (["record", "--clinic", "clinic", "note", *BY, "LC-9999", "call", "said=x"], 'the record has nothing under "LC-9999"'),
    (["record", "--clinic", "clinic", "note", *BY, "1", "printed", "said=x"], '"printed" cannot be noted; what can: '),
    (["record", "--clinic", "clinic", "note", *BY, "A1234", "call", "said=x"], '"A1234" is said of 3 sheets: give the number of one'),
    (["record", "--clinic", "clinic", "received", *BY, "A1234", "many"], "say who, which lot, how many boxes: record received --by NAME A1234 20"),
    (["cancel", "--clinic", "clinic", *BY, "1", "again"], "sheet 1 of LC-2041 does not count: it is replaced"),
    (["desk", "clinic"], '"clinic" is a word too many for "desk", which takes none, as: dosewright desk --clinic clinic'),
    (["desk"], "there is no clinic.yaml here or above: name its folder with --clinic"),
    (["desk", "--clinic", "clinic", "--port", "70000"], "--port is a number up to 65535, of 127.0.0.1; --listen names both"),
    (["desk", "--clinic", "clinic", "--cert", "c.pem"], "--cert and --key belong together"),
    (["desk", "--clinic", "clinic", "--listen", "everywhere"], "--listen wants an address and a port, as 192.0.2.7:8443 or [2001:db8::7]:8443"),
    (["desk", "--clinic", "clinic", "--listen", "192.0.2.7:8443"], "the desk listens elsewhere than on 127.0.0.1 with TLS alone: name --cert and --key"),
    (["people", "--clinic", "clinic", "lst"], "say list, add NAME, roles NAME, password NAME or remove NAME"),
    (["people", "--clinic", "clinic", "add", "x\ny", "--role", "nurse"], "a name is one line of at most 100 letters"),
    (["people", "--clinic", "clinic", "add", "P. Invented", "--role", "cook"], 'there is no role "cook"; there are nurse'),
    (["people", "--clinic", "clinic", "add", "P. Invented"], "say with --role what they do at the desk"),
    (["people", "--clinic", "clinic", "add", "Q. Nobody", "--role", "nurse"], '"Q. Nobody" is not among the nurses under "governance" in clinic.yaml'),
    (["people", "--clinic", "clinic", "add", "Q. Nobody", "--role", "physician"], '"Q. Nobody" is not among the physicians under "governance" in clinic.yaml'),
    (["people", "--clinic", "clinic", "remove", "Q. Nobody"], 'nobody is called "Q. Nobody"; see "dosewright people list"'),
    (["people", "--clinic", "clinic", "add", "K. Madeup", "--role", "nurse"], 'there is a "K. Madeup" already; "people roles" and "people password" change them'),
]

# Met by what cannot be typed here, each with why.
ELSEWHERE = {
    'sheet %" G_GINT64_FORMAT " of %s is of %s: look it up': "wants a record of two clinics: tests/record.py",
    "the desk listens elsewhere than on 127.0.0.1 for named people alone": "wants a certificate: tests/gate.py",
    "sheet %s is none of %s": "a form of the desk alone can name it: tests/desk_odd.py",
    "%s holds the time in a way that cannot be changed here": "the file is another by then: no words lead there",
    "%s": "of the options' library, and of passwords: tests/gate.py",
}


def kept(folder, *words, **options):
    done = subprocess.run([PROGRAM, *words], cwd=folder, capture_output=True, timeout=120, **options)
    if done.returncode:
        raise SystemExit(f"refused: {words}: {done.stderr.decode()[:400]}")


def set_up(folder):
    for name in ("clinic", "plain"):
        shutil.copytree(os.path.join(ROOT, "samples/lantern-cove"), os.path.join(folder, name))
    with open(os.path.join(folder, "clinic/clinic.yaml"), "a", encoding="utf-8") as file:
        file.write("record: record.db\n")
    for name in (PERSON, OTHER):
        path = os.path.join(folder, name)
        with open(path, encoding="utf-8") as file:
            text = file.read()
        with open(path, "w", encoding="utf-8") as file:
            file.write(re.sub(r"^sheet: .*\n", "", text, flags=re.M))
    os.mkdir(os.path.join(folder, "empty"))
    with open(os.path.join(folder, "junk.lines"), "w", encoding="utf-8") as file:
        file.write("junk\n")
    kept(folder, "sheet", *NOW, "--out", "first", PERSON)
    kept(folder, "cancel", *NOW, *BY, "--clinic", "clinic", "1", "no egg collection")
    kept(folder, "sheet", *NOW, "--replace", "--out", "second", PERSON)
    kept(folder, "sheet", *NOW, "--out", "third", OTHER)
    kept(folder, "people", "add", "--clinic", "clinic", "--role", "nurse", "K. Madeup", input=b"a rather long sentence\n")


def all_files(folder):
    return sorted(glob.glob(folder + "/**", recursive=True, include_hidden=True))


def met(told, pattern):
    """Whether something that was told has the form of the source's words."""
    parts = [re.escape(part) for part in re.split(r'%(?:" G_G\w+ "|[-0-9]*[a-z]+)', pattern)]
    return any(re.search(".*?".join(parts), one, re.S) for one in told)


def refusals():
    """The words of each commands_usage() in the source."""
    for path in sorted(glob.glob(os.path.join(ROOT, "compiler/*/*.c"))):
        with open(path, encoding="utf-8") as file:
            text = file.read()
        for call in re.finditer(r'commands_usage\(((?:\s*(?:"(?:[^"\\]|\\.)*"|G_G\w+))+)', text):
            words = re.sub(r'"\s*(G_G\w+)\s*"', r'" \1 "', call[1])
            words = re.sub(r'"\s*\n\s*"', "", words.strip())[1:-1]
            yield path, words.replace('\\"', '"').replace('\\n', "\n")


def main():
    told = []
    with tempfile.TemporaryDirectory() as folder:
        set_up(folder)
        before = all_files(folder)
        for words, wanted in CASES:
            # the time of all runs, but where it is what is wrong
            typed = words if not words or "--now" in words or words[0] not in NOW_TAKEN else [words[0], *NOW, *words[1:]]
            done = subprocess.run([PROGRAM, *typed], cwd=folder, capture_output=True, timeout=60, stdin=subprocess.DEVNULL)
            said = done.stderr.decode("utf-8", "replace")
            told.append(said)
            expect(f"{words}: refused", done.returncode == 2 and wanted in said and not done.stdout,
                   f"exit {done.returncode}: {said[:300]} {done.stdout[:100]}")
            expect(f"{words}: points to the help", "dosewright --help" in said or "--help" in said, said[:200])
        after = all_files(folder)
        expect("nothing is left behind", after == before, sorted(set(after) ^ set(before)))
    sought = list(refusals())
    expect("the source's refusals are found", len(sought) > 70, len(sought))
    for path, words in sought:
        elsewhere = any(words.startswith(start) if start != "%s" else words == start for start in ELSEWHERE)
        expect(f"{os.path.relpath(path, ROOT)}: \"{words[:70]}\" is met by a case", elsewhere or met(told, words), "no case meets it")


NOW_TAKEN = ("check", "plan", "trace", "sheet", "day", "night", "find", "review", "move", "cancel", "recall", "record", "approve",
             "compare", "desk")
main()
end()
