#!/usr/bin/env python3
"""Review, rule book and comparison: what the quality lead and the physician get.  With "screen" the
review is also laid out by Chromium at a telephone's width (make score)."""
import glob
import html
import os
import re
import shutil
import subprocess
import sys
import tempfile
from html.parser import HTMLParser

from tally import end, expect, faults

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = ".build/dosewright"
NOW = ["--now", "2026-11-23T10:00-04:00"]
PROTOCOL = "samples/lantern-cove/protocols/evening-trigger.yaml"


def run(*arguments):
    return subprocess.run([PROGRAM, *arguments], capture_output=True, text=True, timeout=60)


def narrow(text):
    """What would make a page wider than a telephone's 390 px: a width that cannot shrink, words that
    cannot break, a picture without bounds.  Chromium measures it in "screen"."""
    style = re.search(r"<style>(.*?)</style>", text, re.S).group(1)
    faults = [f"the page cannot shrink: {found}" for found in
              re.findall(r"white-space:\s*(?:nowrap|pre)\b[^;}]*|min-width:\s*[1-9][^;}]*|(?<![-\w])width:\s*(?!100%)[^;}]*",
                         re.sub(r"@media\([^)]*\)", "", style))]
    if "overflow-wrap:anywhere" not in style or "name=\"viewport\" content=\"width=device-width\"" not in text:
        faults.append("long words do not break, or a telephone shows the page as a desk would")
    if re.search(r"<svg[^>]* width=", text) or ("<svg" in text and "svg{display:block;width:100%" not in style):
        faults.append("a picture does not follow the page's width")
    return faults


class Page(HTMLParser):
    """Tags in balance, no script, nothing from elsewhere."""
    EMPTY = {"meta", "link", "br", "img"}

    def __init__(self, text):
        super().__init__()
        self.open, self.faults, self.words, self.names, self.links = [], [], [], [], []
        self.feed(text)
        lost = [link for link in self.links if not link.startswith("#") or link[1:] not in self.names]
        self.faults += [f"a link to nothing: {link}" for link in lost]
        self.faults += ["two items of one name"] if len(set(self.names)) < len(self.names) else []
        self.faults += narrow(text)
        if self.open:
            self.faults.append(f"left open: {self.open}")

    def handle_starttag(self, tag, attributes):
        if tag not in self.EMPTY:
            self.open.append(tag)
        own = dict(attributes)
        if tag in ("script", "link", "img", "iframe", "table", "pre") or "src" in own or "onclick" in own:
            self.faults.append(f"<{tag}> with {attributes}")
        if "id" in own:
            self.names.append(own["id"])
        if "href" in own:
            self.links.append(own["href"])

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


# ---- a quality lead's two clinics: something of each kind ----

def edit(path, *edits):
    with open(path, encoding="utf-8") as file:
        text = file.read()
    for old, new in edits:
        if text.count(old) != 1:
            faults.append(f"edit {old!r} does not fit {path}")
        text = text.replace(old, new)
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)


def approve(path, now, until="2027-10-05"):
    with open(path, encoding="utf-8") as file:
        text = file.read()
        by = re.search(r"^approval: {by: ([^,]*),", text, re.M).group(1)
        text = re.sub(r"^approval: .*\n", "", text, flags=re.M)
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)
    done = run("approve", "--now", now, "--by", by, "--review-by", until, path)
    expect(f"approval of {path}", done.returncode == 0, done.stderr[:400])
    with open(path, "a", encoding="utf-8") as file:
        file.write(done.stdout)


def prepare(scratch):
    """The clinics as of 2026-10-06, all approved; and a function that names a protocol's file."""
    clinic = os.path.join(scratch, "lantern-cove")
    shutil.copytree("samples/lantern-cove", clinic)
    shutil.copytree("samples/northmere", os.path.join(scratch, "northmere"))
    edit(os.path.join(clinic, "clinic.yaml"), ("languages: [en]", "languages: [en]\nrecord: record.db"))

    def protocol(name):
        return os.path.join(clinic, "protocols", f"{name}.yaml")
    for path in sorted(glob.glob(protocol("*"))):
        approve(path, "2026-10-05T10:00-03:00", "2026-11-12" if path == protocol("oil-course") else "2027-10-05")
    for path in glob.glob(os.path.join(clinic, "patients", "*.yaml")):
        with open(path, encoding="utf-8") as file:
            text = file.read()
        with open(path, "w", encoding="utf-8") as file:
            file.write(re.sub(r"^(sheet|replaces): .*\n", "", text, flags=re.M))
    return clinic, protocol


def worsen(clinic, protocol):
    """What happens until 2026-11-23."""
    edit(protocol("arm-trigger"), ("until: 2027-04-05", "until: 2026-12-20"))
    edit(protocol("double-trigger"), ("until: 2027-04-05", "until: 2026-11-20"))
    for name in ("arm-trigger", "double-trigger"):
        approve(protocol(name), "2026-11-01T09:00-04:00")
    person = os.path.join(clinic, "patients", "LC-2041.yaml")
    done = run("sheet", "--now", "2026-11-22T10:00-04:00", "--out", os.path.join(clinic, "out"), person)
    expect("a sheet under revision 3", done.returncode == 0, done.stderr[:400])
    edit(protocol("evening-trigger"), ("revision: 3", "revision: 4"), ("spare_needles: 1", "spare_needles: 2"))
    approve(protocol("evening-trigger"), "2026-11-23T09:00-04:00")
    edit(protocol("pen-course"), ("window: 1 h either side", "window: 2 h either side"))
    edit(protocol("agonist-trigger"), ("# ", "# moved\n# down\n# "))
    edit(protocol("three-vials"), ("revision: ", "revision: 9"))
    edit(os.path.join(clinic, "patients", "LC-2058.yaml"), ("patient: LC-2058", "patient: LC-2058\nlanguage: fr"))


def entries(path):
    """[(clinic, owner, label, text)] of the worklist."""
    with open(path, encoding="utf-8") as file:
        text = html.unescape(file.read())
    part = text[text.index("What is to be done"):text.index("<h2", text.index("What is to be done"))]
    found, clinic, owner = [], "", ""
    for tag, words, label, body in re.findall(r"<(h3|h4)[^>]*>([^<]*)|<li><p class=\"l\">([^<]*)</p><div>(.*?)</div>", part, re.S):
        clinic = words if tag == "h3" else clinic
        owner = words if tag == "h4" else owner
        if label:
            found.append((clinic, owner, label, re.sub(r"<[^>]*>", "", body)))
    return found



LATER = ["--now", "2026-11-24T10:00-04:00"]


def worklist(clinic, out):
    """What must stand on the worklist, of whom, in which order."""
    work = entries(os.path.join(out, "review.html"))
    wanted = [  # owner, label, words of the entry
        ("Dr A. Invented", "stops", ("double-trigger: this acceptance does not hold", "it has ended", "Help: weigh")),
        ("Dr A. Invented", "review overdue by 11 days", ("oil-course: ", "it was due 11 days ago")),
        ("Dr A. Invented", "waits for acceptance", ("double-trigger: ", "40 h before egg collection")),
        ("Dr A. Invented", "acceptance ends in 27 days", ("arm-trigger: accepted: ", "trained for the arm")),
        ("Dr R. Invented", "changed after it was signed", ("pen-course: ", "1 h became 2 h", "Help: undo the change")),
        ("Dr B. Madeup or Dr R. Invented", "waits for approval", ("three-vials: ", "sheets are printed from revision 1")),
        ("P. Invented", "sheets out under an old revision", ("sheet 1 of LC-2041", "revision 3 of evening-trigger; revision 4",
                                                             "injection Tuesday 2026-11-24 11:30 pm", "recall --by")),
        ('a reviewer who speaks "fr"', "language waits for a reviewer", ("LC-2058", "languages/fr.yaml")),
    ]
    for owner, label, words in wanted:
        found = [text for _, its, says, text in work if (its, says) == (owner, label)]
        expect(f"{owner}: {label}", any(all(word in text for word in words) for text in found), found or work)
    expect("all of the one clinic", {clinic for clinic, *_ in work} == {"Lantern Cove Fertility Clinic"}, work)
    ranks = ["called back, no new sheet yet", "stops", "changed after it was signed", "review overdue", "waits for approval",
             "waits for acceptance", "language waits for a reviewer", "sheets out under an old revision", "acceptance ends"]
    order = {}
    for _, owner, label, _ in work:
        order.setdefault(owner, []).append([i for i, rank in enumerate(ranks) if label.startswith(rank)][0])
    expect("most urgent first", all(mine == sorted(mine) for mine in order.values()) and
           [mine[0] for mine in order.values()] == sorted(mine[0] for mine in order.values()), order)
    expect("no digest is told", not any(re.search(r"[0-9a-f]{16}-", text) for *_, text in work), work)
    expect("what did not change is not on it", not any("agonist-trigger" in text for *_, text in work), work)


def changes(path):
    """{(label, first words): text} of what changed."""
    with open(path, encoding="utf-8") as file:
        text = html.unescape(file.read())
    part = text[text.index("What changed since"):text.index("What falls due")]
    return [(label, re.sub(r"<[^>]*>", "", body)) for label, body in
            re.findall(r"<li><p class=\"l\">([^<]*)</p><div>(.*?)</div>", part, re.S)]


def changed_since(name, path):
    seen = changes(path)
    for label, *words in (("new revision", "evening-trigger", "now revision 4: approved by", "before revision 3: approved by"),
                          ("new revision", "three-vials", "waits for approval"),
                          ("new approval", "arm-trigger", "on 2026-11-01"),
                          ("approval lost", "oil-course", "review overdue since 2026-11-12"),
                          ("approval lost", "pen-course", "changed after Dr R. Invented signed it")):
        expect(f"{name}: {label} of {words[0]}", any(says == label and all(word in text for word in words)
                                                     for says, text in seen), seen)
    expect(f"{name}: lines that moved are no change", not any("agonist-trigger" in text for _, text in seen), seen)
    return seen


def on_paper(path):
    info = subprocess.run(["pdfinfo", path], capture_output=True, text=True, check=True).stdout
    expect("tagged", re.search(r"Tagged: +yes", info), info)
    expect("on the clinic's paper", "612 x 792 pts (letter)" in info, info)
    tree = subprocess.run(["pdfinfo", "-struct", path], capture_output=True, text=True, check=True).stdout
    expect("structure", all(f"{tag} (" in tree for tag in ("H1", "H2", "H3", "H4", "L", "LI", "Lbl", "LBody")) and
           re.search(r"Figure", tree), tree[:300])
    boxes = subprocess.run(["pdftotext", "-bbox", path, "-"], capture_output=True, text=True, check=True).stdout
    right = [float(x) for x in re.findall(r'xMax="([\d.]+)"', boxes)]
    expect("no column is cut", right and max(right) < 612 - 40, max(right))
    expect("whole", subprocess.run(["qpdf", "--check", path], capture_output=True).returncode == 0)


WAY = "evening-trigger-one-of-300-" # long, so that a list of all names is longer than a page


def many(scratch):
    """A report over 300 protocols stays in a size that somebody leafs through."""
    folder = os.path.join(scratch, "many")
    os.makedirs(os.path.join(folder, "protocols"))
    for name in ("clinic.yaml", "shelf.yaml"):
        shutil.copy(os.path.join("samples/lantern-cove", name), folder)
    with open(PROTOCOL, encoding="utf-8") as file:
        text = file.read()
    for number in range(300):
        with open(os.path.join(folder, "protocols", f"{WAY}{number}.yaml"), "w", encoding="utf-8") as file:
            file.write(text.replace("protocol: evening-trigger", f"protocol: {WAY}{number}"))
    out = os.path.join(scratch, "large")
    run("review", *NOW, "--out", out, folder)
    pages = int(re.search(r"Pages: +(\d+)", subprocess.run(["pdfinfo", os.path.join(out, "review.pdf")], capture_output=True,
                                                           text=True).stdout).group(1))
    work = entries(os.path.join(out, "review.html"))
    expect("one task for one cause", len(work) == 1 and "300 times: " in work[0][3] and "and 295 more" in work[0][3], work)
    expect("few pages", pages <= 6, pages)
    boxes = subprocess.run(["pdftotext", "-bbox", os.path.join(out, "review.pdf"), "-"], capture_output=True, text=True).stdout
    lowest = max(float(at) for at in re.findall(r'<word .*yMax="([0-9.]+)"', boxes))
    expect("no list runs off its page", lowest < min(float(at) for at in re.findall(r'<page .*height="([0-9.]+)"', boxes)), lowest)
    large = page(os.path.join(out, "review.html"))
    with open(os.path.join(out, "review.html"), encoding="utf-8") as file:
        text = file.read()
    expect("the web page has every one", not large.faults and f"{WAY}299: " in text, large.faults[:3])
    expect("and shows it when it is opened", text.count("<details") >= 300 and
           text.count("<details") == text.count("</details>"), text.count("<details"))
    seen = re.sub(r"</summary>.*?</details>", "", text, flags=re.S)
    expect("what is not opened is short", 10 * len(seen) < 3 * len(text), len(seen))


def people(scratch, clinic, folders):
    """What was accepted for a person, from the file and from the record; a sheet that was called back."""
    out = os.path.join(scratch, "people")
    person = os.path.join(clinic, "patients", "LC-2060.yaml")
    run("review", *LATER, "--out", out, *folders)
    text = " ".join(page(os.path.join(out, "review.html")).words)
    expect("accepted for a person", re.search(r"until 2026-11-28\s+Lantern Cove Fertility Clinic, LC-2060: the person will be in "
                                              r"another time zone[^<]*\s+P. Invented, until 2026-11-28: She stays", text), text[:200])
    done = run("sheet", "--now", "2026-11-24T09:00-04:00", "--out", os.path.join(clinic, "out"), person)
    expect("her sheet", done.returncode == 0, done.stderr[:300])
    os.remove(person)
    done = run("recall", *LATER, "--clinic", clinic, "--by", "K. Madeup", "protocol", "evening-trigger/3", "a trial")
    expect("recall", done.returncode == 0, done.stderr)
    run("review", "--now", "2026-11-24T11:00-04:00", "--out", out, *folders)
    text = " ".join(page(os.path.join(out, "review.html")).words)
    expect("accepted on a sheet of the record", re.search(r"on sheet 2\s+Lantern Cove Fertility Clinic, LC-2060: ", text), text[-900:])
    expect("called back first", entries(os.path.join(out, "review.html"))[0][2] == "called back, no new sheet yet",
           entries(os.path.join(out, "review.html"))[:1])


def gates(scratch, folders):
    out = os.path.join(scratch, "gates")
    for gate, folder, status in (("stops", folders[0], 1), ("ends", folders[1], 0), ("nothing", folders[1], 2)):
        done = run("review", *NOW, "--out", out, "--gate", gate, folder)
        expect(f"gate {gate} of {os.path.basename(folder)}", done.returncode == status, done.stderr)
    waiting = os.path.join(scratch, "waiting")
    shutil.copytree(folders[1], waiting)
    edit(os.path.join(waiting, "protocols", "ampoule-trigger.yaml"), ("until: 2027-10-05", "until: 2026-12-20"))
    with open(os.path.join(waiting, "protocols", "ampoule-trigger.yaml"), encoding="utf-8") as file:
        text = file.read()
    with open(os.path.join(waiting, "protocols", "ampoule-trigger.yaml"), "w", encoding="utf-8") as file:
        file.write(re.sub(r"^approval: .*\n", "", text, flags=re.M))
    for gate, status in (("stops", 0), ("waits", 1), ("ends", 1)):
        done = run("review", *NOW, "--out", out, "--gate", gate, waiting)
        expect(f"gate {gate} of one that waits", done.returncode == status, done.stderr)


def measured(path):
    """The page in Chromium in a frame as wide as a telephone: how wide it is laid out."""
    with open(path, encoding="utf-8") as file:
        words = html.escape(file.read())
    with tempfile.TemporaryDirectory() as scratch:
        frame = os.path.join(scratch, "frame.html")
        with open(frame, "w", encoding="utf-8") as file:
            file.write(f'<iframe id="f" style="width:390px;height:900px;border:0" srcdoc="{words}"></iframe><script>onload=()=>'
                       '{document.title=document.getElementById("f").contentDocument.documentElement.scrollWidth}</script>')
        shown = subprocess.run(["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run",
                                "--disable-background-networking", "--disable-component-update", "--disable-sync",
                                f"--user-data-dir={scratch}", "--dump-dom", "file://" + frame],
                               capture_output=True, text=True, timeout=120).stdout
    return int(re.search(r"<title>(\d+)</title>", shown).group(1))


with tempfile.TemporaryDirectory() as scratch:
    clinic, protocol = prepare(scratch)
    out, first = os.path.join(scratch, "report"), os.path.join(scratch, "first")
    folders = [clinic, os.path.join(scratch, "northmere")]
    run("review", "--now", "2026-10-06T10:00-03:00", "--out", first, *folders)
    worsen(clinic, protocol)
    gates(scratch, folders)
    done = run("review", *NOW, "--out", out, "--since", "2026-10-06", *folders)
    expect("review since a day", done.returncode == 0, done.stderr[:300])
    changed_since("a day", os.path.join(out, "review.html"))
    done = run("review", *NOW, "--out", out, "--since", os.path.join(first, "review.lines"), *folders)
    expect("review", done.returncode == 0, done.stderr[:300])
    review = page(os.path.join(out, "review.html"))
    expect("review page", not review.faults, review.faults)
    with open(os.path.join(out, "review.html"), encoding="utf-8") as file:
        bare = re.findall(r'<h3 id="file-[0-9]+">([^<]*)</h3>\n<p>[^<]*</p>\n(?!<ul|<p)', file.read())
    expect("nobody stands there of whom nothing is said", not bare, bare)
    if sys.argv[1:] == ["screen"]:
        width = measured(os.path.join(out, "review.html"))
        expect("no wider than a telephone", width <= 390, width)
    worklist(clinic, out)
    seen = changed_since("a report", os.path.join(out, "review.html"))
    expect("accepted became lapsed", any(label == "accepted became lapsed" and "double-trigger (first)" in text
                                         for label, text in seen), seen)
    text = " ".join(review.words)
    signed = " ".join(re.findall(r"pen-course\.yaml\s+revision 1: ([^:]{0,150})", text))
    expect("a broken seal is not approved", "nobody has signed it as it stands" in signed and "approved by" not in signed, signed)
    expect("the clinic's own chart", re.search(r"Lantern Cove Fertility Clinic; overdue: 1 reviews, 1 acceptances that end; "
                                               r"December: 0 reviews, 1 acc", text), text[:400])
    pdf = subprocess.run(["pdftotext", os.path.join(out, "review.pdf"), "-"], capture_output=True, text=True).stdout
    expect("a date that was typed in", "The date of this report was typed in." in text and "was typed in" in pdf)
    on_paper(os.path.join(out, "review.pdf"))
    people(scratch, clinic, folders)
    many(scratch)
    run("review", *NOW, "--clinic", "samples/lantern-cove", "--out", scratch, "samples/wrong/protocols")
    wrong = " ".join(page(os.path.join(scratch, "review.html")).words)
    planted = glob.glob("samples/wrong/protocols/*.yaml")
    missed = [path for path in planted if not re.search(re.escape(path) + r"\s.{0,800}?\sstops\s", wrong, re.S)]
    expect("review of wrong ones", planted and not missed, missed)
    bad = run("review", "--since", "README.md", "--out", scratch, "samples")
    expect("an earlier report that is none", bad.returncode == 2 and "line 1 of README.md" in bad.stderr, bad.stderr)
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
    for typed in ("2026-13-45", "1.12.2026", "2026-02-29", "2026"):
        bad = run("review", "--since", typed, "samples")
        expect(f"{typed} is told as a mistyped day", bad.returncode == 2 and f'"{typed}" is no day' in bad.stderr, bad.stderr)

    lines = changed(scratch, ("36 h before", "35.5 h before"), ("spare_needles: 1", "spare_needles: none"),
                    ("alcohol wipe, count: 4", "alcohol wipe, count: 3")).stdout
    for wanted in ("trigger: the injection moves 30 min later (", "injecting needles handed out: 2 became 1",
                   "kit: 4 x alcohol wipe became 3", "finding appears: there is no spare injecting needle"):
        expect(f"compare says {wanted!r}", wanted in lines, lines)
    lines = changed(scratch, ("36 h before", "36.5 h before")).stdout
    expect("earlier", "moves 30 min earlier" in lines, lines)
    expect("the revision was not raised", "the revision is still 3: raise it" in lines, lines)
    for edit, wanted in ((("revision: 3", "revision: 2"), "the revision went back from 3 to 2: raise it, since the meaning changed"),
                         (("revision: 3", "revision: 4"), None), (("protocol: evening-trigger", "protocol: other-trigger"), None)):
        lines = changed(scratch, ("36 h before", "36.5 h before"), edit).stdout
        told = [line for line in lines.splitlines() if line.startswith("the revision")]
        expect(f"of {edit[1]} compare says {wanted!r}", told == ([wanted] if wanted else []), lines)
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
end()
