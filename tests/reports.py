#!/usr/bin/env python3
"""Review, rule book and comparison: what the quality lead and the physician get."""
import glob
import os
import re
import shutil
import subprocess
import sys
import tempfile
from html.parser import HTMLParser

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = ".build/dosewright"
NOW = ["--now", "2026-11-23T10:00-04:00"]
PROTOCOLS = len(glob.glob("samples/lantern-cove/protocols/*.yaml") + glob.glob("samples/northmere/protocols/*.yaml"))
PROTOCOL = "samples/lantern-cove/protocols/evening-trigger.yaml"
passed, faults = 0, []


def run(*arguments):
    return subprocess.run([PROGRAM, *arguments], capture_output=True, text=True, timeout=60)


def expect(name, fine, seen=""):
    global passed
    if fine:
        passed += 1
    else:
        faults.append(f"{name}: {seen}")


class Page(HTMLParser):
    """Tags in balance, no script, nothing from elsewhere."""
    EMPTY = {"meta", "link", "br", "img"}

    def __init__(self, text):
        super().__init__()
        self.open, self.faults, self.words = [], [], []
        self.feed(text)
        if self.open:
            self.faults.append(f"left open: {self.open}")

    def handle_starttag(self, tag, attributes):
        if tag not in self.EMPTY:
            self.open.append(tag)
        if tag in ("script", "link", "img", "iframe") or any(name in ("src", "href", "onclick") for name, _ in attributes):
            self.faults.append(f"<{tag}> with {attributes}")

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}> out of place")

    def handle_data(self, data):
        self.words.append(data)


def page(path):
    with open(path, encoding="utf-8") as file:
        return Page(file.read())


def changed(folder, *edits):
    path = os.path.join(folder, "evening-trigger.yaml")
    with open(PROTOCOL, encoding="utf-8") as file:
        text = file.read()
    for old, new in edits:
        if text.count(old) != 1:
            faults.append(f"edit {old!r} does not fit")
        text = text.replace(old, new)
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)
    return run("compare", *NOW, "--clinic", "samples/lantern-cove", PROTOCOL, path)


with tempfile.TemporaryDirectory() as scratch:
    earlier = os.path.join(scratch, "earlier")
    with open(earlier, "w", encoding="utf-8") as file:
        file.write(run("check", *NOW, "--format", "lines", "--clinic", "samples/lantern-cove",
                       "samples/wrong/protocols").stdout)
    shutil.copytree("samples/wrong/protocols", os.path.join(scratch, "protocols"))
    done = run("review", *NOW, "--out", scratch, "--since", earlier, "samples/lantern-cove", "samples/northmere")
    expect("review", done.returncode == 0, done.stderr[:300])
    review = page(os.path.join(scratch, "review.html"))
    text = " ".join(review.words)
    expect("review page", not review.faults, review.faults)
    expect("review counts", re.search(rf"protocols\s+{PROTOCOLS}\s", text) and re.search(r"accepted in writing\s+3\s", text), text[:400])
    expect("since", re.search(r"3 new, 2\d gone\.", text), re.findall(r"\d+ new, \d+ gone", text))
    expect("matrix", "site_unusual" in text and "because" in text)
    pdf = subprocess.run(["pdftotext", os.path.join(scratch, "review.pdf"), "-"], capture_output=True, text=True).stdout
    expect("a date that was typed in", "The date of this report was typed in." in text and "was typed in" in pdf)
    expect("review PDF", "Review of protocols" in pdf and "site_unusual" in pdf)
    expect("review PDF whole", subprocess.run(["qpdf", "--check", os.path.join(scratch, "review.pdf")],
                                              capture_output=True).returncode == 0)
    run("review", *NOW, "--clinic", "samples/lantern-cove", "--out", scratch, "samples/wrong/protocols")
    wrong = " ".join(page(os.path.join(scratch, "review.html")).words)
    planted = len(glob.glob("samples/wrong/protocols/*.yaml"))
    expect("review of wrong ones", re.search(rf"stopped by an error\s+{planted}\s", wrong), wrong[:300])
    run("rule-book", "--out", scratch)
    book = page(os.path.join(scratch, "rule-book.html"))
    words = " ".join(book.words)
    ids = []
    for path in ("compiler/rules/faults.def", "compiler/rules/rules.def"):
        with open(path, encoding="utf-8") as file:
            ids += re.findall(r"^(?:RULE|FAULT)\(([a-z]\w+),", file.read(), re.M)
    expect("rule book page", not book.faults, book.faults)
    expect("every rule is in the book", all(f"{rule} (" in words for rule in ids), [r for r in ids if f"{r} (" not in words])
    bad = run("review", "--since", os.path.join(scratch, "none"), "samples")
    expect("no earlier report", bad.returncode == 3, bad.returncode)

    lines = changed(scratch, ("36 h before", "35.5 h before"), ("spare_needles: 1", "spare_needles: none"),
                    ("alcohol wipe, count: 4", "alcohol wipe, count: 3")).stdout
    for wanted in ("trigger: the injection moves 30 min later (", "injecting needles handed out: 2 became 1",
                   "kit: 4 x alcohol wipe became 3", "finding appears: there is no spare injecting needle"):
        expect(f"compare says {wanted!r}", wanted in lines, lines)
    lines = changed(scratch, ("36 h before", "36.5 h before")).stdout
    expect("earlier", "moves 30 min earlier" in lines, lines)
    lines = changed(scratch, ("dose: 10,000 units", "dose: 5,000 units"),
                    ("dose_is: the whole content", "dose_is: a measured part")).stdout
    expect("filled to", "the syringe is filled to: 1 mL, line 1 became 0.5 mL, line 0.5 (" in lines, lines)
    lines = changed(scratch, ("dose: 10,000 units", "dose:   10000 units # the same")).stdout
    expect("form only", lines.startswith("only the form of the text changed"), lines)
    lines = changed(scratch, ("why: This injection readies your", "why: This injection readies the")).stdout
    expect("texts", lines.startswith("why the time matters: This injection readies your eggs.") and "became This injection readies the eggs." in lines, lines)
    copy = shutil.copytree("samples/lantern-cove", os.path.join(scratch, "clinic")) # approve keeps a copy in the clinic's folder
    done = run("approve", *NOW, "--by", "Dr R. Invented", "--review-by", "2027-10-01", copy + "/protocols/evening-trigger.yaml")
    expect("approve", re.fullmatch(r"approval: \{by: Dr R. Invented, on: 2026-11-23, review_by: 2027-10-01, seal: "
                                   r"[0-9a-f]{16}(-[0-9a-f]{4}){5}\}\n", done.stdout), done.stdout)
    expect("approve needs a name", run("approve", PROTOCOL).returncode == 2)
print("\n".join(faults))
print(f"{passed} passed, {len(faults)} failed")
sys.exit(1 if faults or not passed else 0)
