"""The points that a program decides, each on one finished sheet.  A check returns what
is wrong; nothing means the point holds.  Sources stand beside the points in words.py."""
import collections
import datetime
import hashlib
import json
import os
import re
import subprocess
import unicodedata
import zoneinfo

from panels import bare_stretches, facts_of, forms, pattern, right_to_left, saying, says, squeezed
from sheet import clean, flat, output
from words import (DENIED, EMERGENCY, FALSE_FRIENDS, MONTHS, NUMBER_WORDS, PASSIVE_FREE, SYNONYMS, VERBS, WEEKDAYS)

POINTS = {}
ENGLISH = "en"


def point(name, weight, english=False, needs=None, each=False):
    """english: decided on English words only; needs: a test of the sheet that says whether
    the point applies to it; each: decided for each injection of the sheet, with its own pages and
    panels.  Words of Arabic sheets are read in the text twin, since the readers give joined letters
    back out of order; what is decided on the structure's words is not decided for them."""
    def keep(function):
        POINTS[name] = (weight, function, english, needs, each)
        return function
    return keep


# ---- what several points need ----

def in_order(s):
    return s.language != "ar"


def local_time(s):
    weekday, year, month, day, hour, minute = re.match(r"(\w+) (\d+)-(\d+)-(\d+) (\d+):(\d+)",
                                                       s.value("injection_time")).groups()
    return weekday, datetime.datetime(int(year), int(month), int(day), int(hour), int(minute))


def twelve(hour, minute):
    if (hour, minute) == (12, 0):
        return "noon"
    return f"{hour % 12 or 12}{'' if minute == 0 else f':{minute:02}'} {'am' if hour < 12 else 'pm'}"


DATE = r"(?:(%s), (%s) (\d+), (\d{4})|(%s) (\d+) (%s) (\d{4}))" % (("|".join(WEEKDAYS), "|".join(MONTHS)) * 2)


def dates(text):
    """English dates, of either order: (as written, weekday, day, month, year)."""
    for m in re.finditer(DATE, text):
        yield (m[0], m[1], int(m[3]), MONTHS.index(m[2]) + 1, int(m[4])) if m[1] else \
              (m[0], m[5], int(m[6]), MONTHS.index(m[7]) + 1, int(m[8]))


def whole(s, when):
    """The two ways a whole English time may be written in this region."""
    date = f"{WEEKDAYS[when.weekday()]}, {MONTHS[when.month - 1]} {when.day}, {when.year}"
    if s.build["region"] == "en-GB":
        date = f"{WEEKDAYS[when.weekday()]} {when.day} {MONTHS[when.month - 1]} {when.year}"
    clocks = (twelve(when.hour, when.minute), f"{when.hour:02}:{when.minute:02}")
    return [f"{date}, {clocks[0]} ({clocks[1]})", f"{date}, {clocks[1]} ({clocks[0]})"]


def clock(s):
    """The clock time alone, as this clinic writes it."""
    _, when = local_time(s)
    forms = twelve(when.hour, when.minute), f"{when.hour:02}:{when.minute:02}"
    return forms[1] if s.build["clock"] == "24" else forms[0]


def minute_digits(s):
    """The digits of the minute, as any language writes it: of twelve hours or of 24, the minutes of a whole
    hour left out or not ("10 pm", "22:00", "22 h", "22 h 30")."""
    _, when = local_time(s)
    return {re.sub(r"\D", "", twelve(when.hour, when.minute)), f"{when.hour:02}{when.minute:02}"} | ({f"{when.hour:02}"} if when.minute == 0 else set())


def dose(s):
    return clean(s.value("dose"))


def local_dose(s):
    """As this language writes it: its mark between thousands, its word for units."""
    number, unit = dose(s).split(" ", 1)
    words = {"units": s.build["phrases"].get("unit_units", "units")}
    return number.replace(",", s.build["raw"].get("format_thousands", ",")) + " " + words.get(unit, unit)


def box_of_minute(s):
    return lead(s, whole_box=True)


def lead(s, whole_box=False):
    """The paragraphs of the box of the minute: from its heading, behind H1, to the next heading, list
    or picture.  A sheet of two injections has a box for each."""
    boxes, begun = [], False
    for node in s.trees[0].walk():
        if node.role == "H1":
            begun = True
        elif begun and node.role == "H2":
            boxes.append([])
        elif begun and node.role in ("Figure", "L") and boxes:
            break
        elif boxes and node.role == "P" and node.text():
            boxes[-1].append(node.text())
    at = ord(s.mark) - ord("A") if s.mark else 0
    found = boxes[at] if at < len(boxes) else []
    if whole_box:
        return found
    end = next((i for i, t in enumerate(found) if re.match(f"(?:{pattern(s, 'window_between')}|{pattern(s, 'window_minute')})", squeezed(t))),
               len(found))
    return found[:end]


def night_words(s):
    """The headings over the minutes."""
    heads = [n.text() for n in s.trees[0].walk() if n.role == "H2"]
    return heads[ord(s.mark) - ord("A") if s.mark else 0:][:1]


def instructions(s):
    """What is to be done, panel by panel: (name, text)."""
    return [(panel.name(), panel.text) for panel in s.panels]


def split(text):
    return [part for part in re.split(r"(?<=[.?!])\s+", text) if re.search(r"\w", part)]


def sentences(s):
    """What is read: sentences of panels, paragraphs and list items, without the furniture."""
    found = []
    for node in s.nodes:
        if node.role in ("P", "LBody", "H1", "H2", "H3", "H4", "TD", "TH") and not any(c.role == "P" for c in node.walk() if c is not node):
            found += [part for part in re.split(r"(?<=[.?!:])\s+", node.text()) if re.search("[A-Za-z]{2}", part)]
    return found


def bare(s, text):
    """Without numbers, units, names and telephone numbers (sheet's own rule for W3)."""
    for name in ("medicine", "person_name", "clinic_name", "prepared_by", "box_name", "diluent"):
        text = text.replace(clean(s.value(name) or "\0"), "it")
    text = re.sub(r"\b\d[\d.,:/-]*\b ?(?:mL|units|G|in|mg|mcg|am|pm|degrees)?", "", text)
    return re.sub(r"\(\s*\)|[×/]", "", text)


def syringe(s):
    return s.build["syringe"]


def has_syringe(s):
    return s.build["way"] != "pen"


def setting(s):
    """The number that the window of the pen must show: the dose ordered, in the unit of the dial."""
    amount, unit = dose(s).split(" ")
    assert unit == s.build["pen"]["dial_every"].split(" ")[1]
    return amount


def ratio(text):
    number = re.match(r"([\d.]+)(?:/(\d+))?", str(text).replace(",", ""))
    return float(number.group(1)) / float(number.group(2) or 1)


def filled_figures(s):
    """Syringe figures with the volume they must show, from the plan."""
    wanted = []
    for figure in s.figures:
        if figure["page"] in s.pages and len(barrel_ticks(s.in_figure(figure))) >= 10:
            wanted.append(figure)
    return wanted


def ticks(paths):
    """Upright fine strokes of one line each."""
    return [p for p in paths if p.stroke and not p.fill and not p.curved and len(p.subpaths) == 1 and
            len(p.subpaths[0]) == 2 and p.wide() < 0.01 and 0.5 < p.tall() < 6]


def barrel_ticks(paths):
    """The marks of a barrel end on one line: its lower wall."""
    upright = ticks(paths)
    floors = {}
    for p in upright:
        floors.setdefault(round(p.bottom, 1), []).append(p)
    return sorted(max(floors.values(), key=len), key=lambda p: p.left) if floors else []


def rectangles(s, wide, tall, slack):
    return [p for p in s.paths if abs(p.wide() - wide) <= slack and abs(p.tall() - tall) <= slack]


# ---- W: wording ----

@point("W1", 3, needs=in_order, each=True)
def one_main_message(s):
    """The box holds one medicine with its dose, one whole time, one minute alone."""
    texts = lead(s)
    what = squeezed(f"{clean(s.value('medicine'))} {local_dose(s)}")
    count = sum(what in squeezed(t) for t in texts)
    faults = [] if count == 1 else [f"{what} stands {count} times in the lead"]
    alone = [t for t in texts if re.sub(r"\s", "", t) == re.sub(r"\s", "", clock(s))]
    if s.language != ENGLISH:
        return faults
    faults += [] if len(alone) == 1 else [f"the minute stands {len(alone)} times"]
    joined = " ".join(texts)
    times = re.findall(DATE + r", (?:\d|noon)", joined)
    if len(times) != 1 or not any(form in joined for form in whole(s, local_time(s)[1])):
        faults.append(f"{len(times)} whole times in the lead")
    return faults


@point("W2", 2)
def most_visible(s):
    sizes = [(size, line["text"]) for line in s.lines if line["page"] == 0 for size, _, _ in line["sizes"]]
    largest = max(size for size, _ in sizes)
    wanted = [minute_digits(part) if s.language != ENGLISH else {re.sub(r"\D", "", clock(part))} for part in s.parts()]
    held = [re.sub(r"\D", "", text) for text in {(size, text) for size, text in sizes if size == largest} for text in text[1:]]
    said = len(held) == len(wanted) and all(any(one in digits for one in held) for digits in wanted)
    return [] if said and largest >= 1.5 * s.body_size() else [f"{largest} pt says {held}, the minutes are {wanted}"]


@point("W3", 2, english=True)
def reading_grade(s):
    text = "\n".join(sentence if re.search(r"[.?!]$", sentence) else sentence.rstrip(":") + "." for sentence in
                     (bare(s, t) for t in sentences(s)))
    style = subprocess.run(["style"], input=text, capture_output=True, text=True).stdout
    grades = [float(re.search(r"Kincaid: (-?[\d.]+)", style).group(1)), float(re.search(r"SMOG-Grading: ([\d.]+)", style).group(1))]
    other = json.loads(subprocess.run(["perl", "tests/score/readability.pl"], input=text,
                                      capture_output=True, text=True, check=True).stdout)
    kincaid, smog = max(grades[0], other["kincaid"]), max(grades[1], other["smog"])
    return [] if kincaid <= 5 and smog <= 7 else [f"Flesch-Kincaid {kincaid:.1f}, SMOG {smog:.1f}"]


@point("W4", 2, english=True)
def short_sentences(s):
    counts = [(len(re.findall(r"[A-Za-z0-9][\w'’:.,-]*", t)), t) for t in sentences(s)]
    mean = sum(count for count, _ in counts) / len(counts)
    return ([f"mean of {mean:.1f} words"] if mean > 10 else []) + [f"{count} words: {t}" for count, t in counts if count > 20]


@point("W5", 3, english=True)
def one_act(s):
    """A panel's own words; the remarks beside its picture explain."""
    faults = []
    for name, text in instructions(s):
        parts = split(text)
        asked = next((i for i, part in enumerate(parts) if part.endswith("?")), len(parts))
        for part in parts[:asked]:
            first = re.match(r"\w+", part)
            if not first or first.group(0) not in VERBS:
                faults.append(f"panel {name}: {part!r} starts with no verb")
        second = re.search(r"(?:\band\b|\bthen\b|;) (\w+)", text)
        if second and second.group(1).capitalize() in VERBS:
            faults.append(f"panel {name}: two acts in one sentence: {text}")
        if asked > 3 or not asked and len(parts) > 3:
            faults.append(f"panel {name}: {asked} sentences before its condition")
        words = len(re.findall(r"[A-Za-z0-9][\w'’.,-]*", text))
        if words > 22:
            faults.append(f"panel {name}: {words} words")
        later = [part for part in parts[asked + 1:] if not part.endswith("?")]
        if asked < len(parts) and len(later) > 2:
            faults.append(f"panel {name}: acts follow the condition {parts[asked]!r}")
        whole_panel = next(p for p in s.panels if p.name() == name)
        if asked < len(parts) and "Call the nurse" not in whole_panel.all():
            faults.append(f"panel {name}: {parts[asked]!r} names no call")
    return faults if s.panels else ["no panels"]


@point("W6", 2, english=True)
def active_voice(s):
    text = "\n".join(panel.all() for panel in s.panels)
    said = subprocess.run(["style", "-p"], input=text, capture_output=True, text=True).stdout
    return [line for line in said.split("\n") if line.startswith("(stdin)") and not any(w in line for w in PASSIVE_FREE)]


@point("W7", 2, english=True)
def everyday_words(s):
    return [word for word in DENIED["hard"] if re.search(rf"\b{word}", " ".join(s.flowing), re.I)]


@point("W8", 2, english=True)
def one_name_for_one_thing(s):
    text = " ".join(sentences(s))
    for part in s.parts():
        for name in ("medicine", "box_name", "box_says", "diluent"):
            text = text.replace(clean(part.value(name) or "\0"), "")
    own = " ".join(forms(s.build["raw"]["word_Supply_PLASTER"])) # a region has its own name for it, and then that one alone
    return [f"{word} for {name}" for name, words in SYNONYMS.items() for word in words
            if word not in own and re.search(rf"\b{word}\b", text, re.I)]


@point("W9", 2, each=True)
def warning_first(s):
    """What must be looked for is said before what it guards: cracked or cloudy before the needle is
    fitted (of a filled syringe with its needle in the stop box), bits before the medicine is pulled back,
    what a bare needle may not do before it is bare."""
    use_by = clean(s.value("use_by") or "\0") # of an Arabic sheet the numbers alone can be read
    faults, looked = [], [f for f in facts_of(s) if says(s, f.text(), "check_filled", "check_filled_by") or s.language == "ar" and use_by in f.text()]
    for warning, guarded in ((("read_not", "read_not_powder"), ("cap_straight_off", "fixed_cap_off", "cap_off_now", "small_cap_off")),
                             (("bits", "bits_minutes"), ("tip_in_liquid",)), (("read_not", "read_not_powder"), ("push_plunger", "push_button"))):
        first, last = saying(s, s.panels, *warning), saying(s, s.panels, *guarded)
        if warning[0] == "read_not" and looked and last:
            order = list(s.nodes)
            faults += [] if order.index(looked[0]) < order.index(s.panels[last[0]].node) else [f"the liquid is looked at behind {guarded[0]}"]
            continue
        if last and warning[0] == "bits" and not first or last and first and first[0] >= last[0] or not first and warning[0] != "bits":
            faults.append(f"{warning[0]} in panels {first}, what it guards in {last}")
    bare = [panel.page for panel in s.panels if True in panel.bare]
    order = [n for n in s.nodes if n.role in ("P", "LI")]
    told = [n for n in order if n.role == "P" and says(s, n.text(), "legend_bare")]
    for panel in s.panels:
        if True in panel.bare and in_order(s) and not any(order.index(n) < order.index(panel.node) for n in told):
            faults.append(f"panel {panel.name()}: the needle is bare before it is said what the thick line means")
    return faults[:4] if bare or faults else ["no needle is bare on this sheet"]


@point("W10", 2, needs=in_order, each=True)
def summary(s):
    """In the last section, behind all that is to be done."""
    opens = [n.page for n in s.nodes if re.fullmatch(r"H\d", n.role) and (says(s, n.text(), "heading_after_page") or says(s, n.text(), "heading_days_page"))]
    page = opens[-1] if opens else s.trees[-1].page
    texts = [n.text() for n in s.nodes if n.page >= page and n.role in ("P", "H1", "H2", "H3", "H4", "TD", "TH")]
    what, joined = f"{clean(s.value('medicine'))} {local_dose(s)}", " ".join(texts)
    faults = [] if squeezed(what) in squeezed(joined) else [f"page {page + 1} does not say {what}"]
    faults += [] if clean(s.value("phone_night")) in joined else ["the last page names no telephone in its text"]
    if s.language == ENGLISH and not (any(form in joined for form in whole(s, local_time(s)[1])) or
                                      s.build["days"] > 1 and clock(s) in joined):
        faults.append(f"page {page + 1} does not say the time")
    wanted = ("time_given",) if s.build["days"] == 1 else ("head_time",)
    return faults + [f"no place for the time done: {name}" for name in wanted if not any(says(s, t, name) for t in texts)]


@point("W11", 2, needs=in_order)
def nothing_else(s):
    page = flat(s.flowing[0])
    for marks in (s.banner(), s.build["phrases"]["draft_mark"], s.build["phrases"]["dated_by_hand"]):
        page = page.replace(flat(marks), " ") # of an invented clinic, a draft, a typed date: no sheet for use has them
    page = re.sub(r"\b([ap])\. ?m\.", r"\1m", page) # as much to read as "pm"
    words = len(re.findall(r"\S*\w\S*", page)) # a dot between two parts of the foot is no word
    return [] if words <= 350 else [f"{words} words on page 1"]


@point("W12", 1, english=True)
def calm_reason(s):
    text = " ".join(s.flowing)
    faults = [word for word in DENIED["scare"] if re.search(rf"\b{word}\b", text, re.I)]
    return faults + ([] if flat(s.value("why")) in text else ["the reason is not said"])


# ---- T: time ----

@point("T1", 3, english=True, each=True)
def whole_time(s):
    """The whole time stands in the lead, and wherever it is given its line is not broken."""
    faults = [f"digits for a date: {m.group(0)}" for m in re.finditer(r"\b\d{1,2}/\d{1,2}/\d{2,4}\b|\b\d{4}-\d{2}-\d{2}\b", s.text)]
    forms = whole(s, local_time(s)[1])
    if s.large: # the second clock may stand on the next line
        forms = [form.split(" (")[0] for form in forms]
    given = [n.text() for n in s.nodes if n.role == "P" and any(form in n.text() for form in forms)]
    lines = sum(any(form in line["text"] for form in forms) for line in s.lines)
    faults += [] if lines >= len(given) else [f"given {len(given)} times, on one line {lines} times"]
    return faults + ([] if any(form in t for form in forms for t in lead(s)) else ["not in the lead"])


@point("T2", 3, each=True)
def weekday_agrees(s):
    weekday, when = local_time(s)
    faults = [] if WEEKDAYS[when.weekday()] == weekday else [f"{weekday} for {when.date()}"]
    for written, named, day, month, year in dates(s.text):
        if WEEKDAYS[datetime.date(year, month, day).weekday()] != named:
            faults.append(written)
    instant = datetime.datetime.fromisoformat(s.value("injection_time", "instant"))
    there = instant.astimezone(zoneinfo.ZoneInfo(s.value("person_zone"))).replace(tzinfo=None)
    return faults + ([] if there == when else [f"{there} in {s.value('person_zone')}"])


@point("T3", 3, each=True)
def never_midnight(s):
    _, when = local_time(s)
    faults = ["at midnight"] if (when.hour, when.minute) == (0, 0) else []
    return faults + [m.group(0) for m in re.finditer(r"\b12(?::00)? ?[ap]m\b|(?<!before\s)(?<!after\s)\bmidnight\b|\b24:00\b|(?<![\d:])00:00(?!\d)", s.text, re.I)]


def at_night(s):
    hour = local_time(s)[1].hour
    return hour >= 22 or hour < 6


@point("T4", 3, english=True, needs=at_night, each=True)
def both_days(s):
    when = local_time(s)[1]
    first = when if when.hour >= 22 else when - datetime.timedelta(days=1)
    days = WEEKDAYS[first.weekday()], WEEKDAYS[(first.weekday() + 1) % 7]
    told = night_words(s) + lead(s)
    faults = [] if any(re.search(rf"{days[0]}\b(?: night)?,?(?: going)? (?:into|to) {days[1]}", t) for t in told) else [f"both nights are not named in {told[:4]}"]
    return faults + [t for t in night_words(s) if not re.search("|".join(days), t)]


@point("T5", 2, english=True, needs=lambda s: local_time(s)[1].hour < 6, each=True)
def stay_up(s):
    evening = local_time(s)[1] - datetime.timedelta(days=1)
    wanted = "Stay up on " + re.sub(r",? \d{4}, .*", "", whole(s, evening)[0])
    pages = " ".join(s.flowing[:2] if s.large else s.flowing[:1])
    return [] if wanted in pages else ["the evening is not named"]


@point("T6", 2, english=True)
def both_clocks(s):
    faults = [m.group(0) for m in re.finditer(r"\b(?:1[3-9]|2[0-3]):\d\d ?[ap]m", s.text)]
    pairs = re.findall(r"(\d{1,2}(?::\d\d)? [ap]m|noon|\d\d:\d\d) \((\d{1,2}(?::\d\d)? [ap]m|noon|\d\d:\d\d)\)", s.text)
    for pair in pairs:
        minutes = {to_minutes(text) for text in pair}
        if len(minutes) != 1:
            faults.append(str(pair))
        if (s.build["clock"] == "24") != bool(re.fullmatch(r"\d\d:\d\d", pair[0])):
            faults.append(f"the other clock first: {pair}")
    return faults + ([] if pairs else ["no time in both clocks"])


def to_minutes(text):
    if text == "noon":
        return 720
    hour, minute = (int(x) for x in (re.findall(r"\d+", text) + ["0"])[:2])
    return (hour % 12 + 12 * text.endswith("pm") if text.endswith("m") else hour) * 60 + minute


def strip(s):
    """The figure of page 1 that is a bar of the page's width, or, in the box of the minute, of half of it."""
    for figure in s.figures:
        bars = [p for p in s.in_figure(figure) if p.stroke and p.wide() > 70 and 2 < p.tall() < 12] if figure["page"] == 0 else []
        if bars:
            return figure, bars[0]
    return None, None


@point("T7", 2, each=True)
def night_strip(s):
    """A course has its days in place of the strip: its minute is the same each day."""
    figure, bar = strip(s)
    if figure is None and s.build["days"] > 1:
        days = [datetime.datetime.fromisoformat(act) for act in s.plan["injection"]["acts"]]
        lost = [d for d in days if str(d.day) not in re.findall(r"\d+", s.flowing[0])]
        return [f"page 1 has neither a strip nor its {len(days)} days"] if lost else []
    if figure is None:
        return ["no strip on page 1"]
    dots = [p for p in s.in_figure(figure) if p.curved and p.fill == (0, 0, 0) and 1.5 < p.wide() < 8]
    when = local_time(s)[1]
    start = 18 * 60 if when.hour >= 18 or when.hour < 6 else 6 * 60
    share = ((when.hour * 60 + when.minute - start) % 1440) / 720
    share = 1 - share if s.language == "ar" else share  # time runs as the language is read
    wanted, centres = bar.left + share * bar.wide(), [(dot.left + dot.right) / 2 for dot in dots]
    faults = [] if any(abs(c - wanted) <= 0.5 for c in centres) else [f"dots at {[round(c - bar.left, 2) for c in centres]} mm, the time at {share * bar.wide():.2f}"]
    faults += [] if len(dots) == len(s.plan.get("injections", [1])) else [f"{len(dots)} dots"]
    turn = bar.left + (0.5 if start == 18 * 60 else 1.5) * bar.wide()
    change = [p for p in s.in_figure(figure) if p.stroke and p.wide() < 0.1 and p.tall() > bar.tall()]
    return faults + ([] if start != 18 * 60 or any(abs(p.left - turn) <= 0.5 for p in change) else ["the change of the date is not marked"])


def elapsed_kind(s):
    return "anchor" in (s.value("injection_time", "how") or "") or "before" in (s.value("injection_time", "how") or "")


@point("T8", 3, needs=elapsed_kind, each=True)
def true_hours(s):
    a, b = (datetime.datetime.fromisoformat(s.value(name, "instant")) for name in ("injection_time", "anchor_time"))
    faults = [] if (b - a).total_seconds() / 60 == ratio(s.value("to_anchor", "number")) else [f"{b - a}"]
    zone = zoneinfo.ZoneInfo(s.value("person_zone"))
    changes = a.astimezone(zone).utcoffset() != b.astimezone(zone).utcoffset()
    if s.language == ENGLISH and changes != ("The clocks change on" in " ".join(s.flowing)):
        faults.append("a change of the clocks is not told" if changes else "a change that there is not")
    hours = ratio(s.value("to_anchor", "number")) / 60
    if s.language == ENGLISH and (changes or not s.mark) and f"{int(hours)} hour" not in " ".join(s.flowing):
        faults.append("the hours are not printed")
    return faults


@point("T9", 3, each=True)
def real_time(s):
    when, zone = local_time(s)[1], zoneinfo.ZoneInfo(s.value("person_zone"))
    back = when.replace(tzinfo=zone).astimezone(datetime.timezone.utc).astimezone(zone).replace(tzinfo=None)
    faults = [] if back == when else ["this time is skipped"]
    offsets = {when.replace(tzinfo=zone, fold=fold).utcoffset() for fold in (0, 1)}
    return faults + (["this time comes twice"] if len(offsets) > 1 else [])


@point("T10", 2)
def zone_said(s):
    place = s.value("person_zone").split("/")[-1].replace("_", " ")
    faults = [] if s.says(place) else [f"{place} is not named"]
    if s.value("person_zone") != s.value("clinic_zone") and not any(s.says(place, p) for p in ((0, 1) if s.large else (0,))):
        faults.append("away from the clinic's zone, and page 1 does not say so")
    return faults


def rungs(s):
    """The clock times of the ladder, in order, as minutes of the day."""
    ladders = []
    for node in s.roles("L"):
        found = [flat(c.text()) for item in node.children for c in item.children if item.role == "LI" and c.role == "Lbl"]
        clocks = [text for text in found if re.fullmatch(r"\d{1,2}(:\d\d)?( [ap]m)?|noon", text) and (":" in text or "m" in text or text == "noon")]
        if clocks and len(clocks) == len(found):
            ladders.append([to_minutes(text) for text in clocks])
    at = ord(s.mark) - ord("A") if s.mark else 0
    if s.build["days"] == 1 and not s.mark and len(ladders) > 1: # the list of a ladder goes on behind the name of the next day
        return sum(ladders, [])
    return ladders[at] if at < len(ladders) else []


@point("T11", 2, each=True)
def ladder(s):
    planned = [datetime.datetime.fromisoformat(rung["at"]) for rung in s.plan["injection"]["ladder"]]
    faults = [] if planned == sorted(planned) and len(planned) >= 4 else ["the plan's ladder is out of order"]
    if s.language != ENGLISH:
        return faults
    zone = zoneinfo.ZoneInfo(s.value("person_zone"))
    wanted = [at.astimezone(zone).hour * 60 + at.astimezone(zone).minute for at in planned]
    return faults + ([] if rungs(s) == wanted else [f"rungs {rungs(s)}, planned {wanted}"])


def clock_of(s, name):
    """The clock time of a value, in this clinic's own form."""
    at = datetime.datetime.fromisoformat(s.value(name, "instant")).astimezone(zoneinfo.ZoneInfo(s.value("person_zone")))
    return f"{at.hour:02}:{at.minute:02}" if s.build["clock"] == "24" else twelve(at.hour, at.minute)


@point("T12", 3, english=True, each=True)
def window(s):
    exact = s.value("window_before", "number") == "0" and s.value("window_after", "number") == "0"
    latest = clock_of(s, "latest")
    wanted = rf"exactly at {clock(s)}\. Later\? Do not inject\. Call" if exact else \
        rf"only between {clock_of(s, 'earliest')} and {latest}\. After {latest} do not inject\. Call\."
    if s.mark: # in the box of its own minute
        wanted = r"Exactly then\. Later\? Do not inject\. Call\." if exact else rf"Only {clock_of(s, 'earliest')} to {latest}\. Later\? Do not inject\. Call\."
        return [] if re.search(wanted, " ".join(box_of_minute(s))) else [f"the box of {s.mark} does not say {wanted!r}"]
    return [] if re.search("Inject " + wanted, s.flowing[0]) else [f"page 1 does not say {wanted!r}"]


@point("T13", 2, english=True)
def no_bare_tonight(s):
    """The work of a course is of the day on which it is done: its list holds the dates, and "today's"
    line is found there."""
    words = r"\b(?:tonight|tomorrow|this evening|today)\b"
    if s.build["days"] > 1:
        told = [part for node in s.nodes if node.role in ("P", "LBody", "H2", "H3") for part in split(node.text())]
        return [part for part in told if re.search(words + r"(?!'s)", part, re.I) and part != "Done for today."]
    return [line["text"] for line in s.lines if re.search(words, line["text"], re.I) and not list(dates(line["text"]))]


# ---- N: numbers and units ----

@point("N1", 3)
def no_trailing_zero(s):
    return [m.group(0) for m in re.finditer(r"\d+\.\d*0(?!\d) ?(?:mL|mg|mcg|units|in)\b", s.text)]


@point("N2", 3)
def leading_zero(s):
    return [m.group(0) for m in re.finditer(r"(?<![\d\w.])\.\d", s.text)]


@point("N3", 3)
def units_in_full(s):
    return [m.group(0) for m in re.finditer(r"\bIU\b|\bcc\b|\bug\b|\d ?U\b|\d ?ml\b|\bmLs\b|\bmL\.(?= [a-z])|[µμ]g?", s.text)]


@point("N4", 3)
def thousands(s):
    faults = [m.group(0) for m in re.finditer(r"(?<![\d,.:/+-])\d{4,} ?(?:units|mL|mg|mcg)\b", s.text)]
    number = local_dose(s).split(" ")[0]
    return faults + ([] if squeezed(number) in squeezed(s.text) else [f"{number} is not there"])


@point("N5", 3, needs=in_order)
def unbroken(s):
    faults = [m.group(0) for m in re.finditer(r"\d(?:mL|mg|mcg|units|G)\b", s.text)]
    lines = [line for line in s.lines if any(size >= 11.5 for size, _, _ in line["sizes"])]
    for line, following in zip(lines, lines[1:]):
        if re.search(r"(?:^|\s)\d[\d,.]*$", line["text"].strip()) and re.match(r"(?:mL|mg|mcg|units|G|in)\b", following["text"].strip()) \
                and following["page"] == line["page"]:
            faults.append(f"{line['text']!r} | {following['text']!r}")
    return faults


@point("N6", 3, english=True)
def digits(s):
    return [m.group(0) for m in re.finditer(r"\b(?:%s|half)\b (?:an? )?(?:mL|units|vials?|hours?|minutes?|needles?|syringes?)\b"
                                            % "|".join(NUMBER_WORDS), " ".join(s.flowing), re.I)]


@point("N7", 3, english=True)
def no_sums(s):
    return [f"panel {n}: {t}" for n, t in instructions(s) if re.search(r"[×÷=]|\b(?:half|divide|times|per)\b", t)]


@point("N8", 3, each=True, needs=lambda s: s.language == ENGLISH and measures(s))
def unit_of_the_syringe(s):
    """The line is named as the barrel prints it: bare on a scale of units, with mL on one of mL; a volume
    in mL beside a scale of units stands once.  The window of a pen shows a bare number."""
    if not has_syringe(s):
        said = [p.text for p in s.panels if "window says" in p.text or re.match(r"Dial \d", p.text)]
        return [t for t in said if re.search(r"(?:says|Dial) [\d,.]+ (units|m)", t)] + ([] if said else ["no window"])
    u100 = syringe(s)["marks"].startswith("U-100")
    filling = [p.text for p in s.panels if re.search(r"rim is on \d", p.text)]
    faults = [t for t in filling if bool(re.search(r"rim is on [\d.]+ mL", t)) == u100]
    twice = len(re.findall(rf"(?<![\d.]){re.escape(clean(s.value('volume')))}", " ".join(s.flowing)))
    return faults + ([f"{clean(s.value('volume'))} stands {twice} times"] if u100 and twice > 1 else []) + \
        ([] if filling or s.build["whole"] else ["no line is named"])


@point("N9", 3, needs=lambda s: s.build["way"] != "prefilled" or not s.build["whole"], each=True)
def smallest_syringe(s):
    if not has_syringe(s):
        wanted, every, most = (ratio(x) for x in (dose(s), s.build["pen"]["dial_every"], s.build["pen"]["dial_most"]))
        return [] if 0 < wanted <= most and wanted % every == 0 else [f"{wanted:g} by {every:g} to {most:g}"]
    volume, capacity, every = (round(ratio(x) * 1000) for x in
                               (s.value("volume", "number"), syringe(s)["capacity"], syringe(s)["mark_every"]))
    faults = [] if 0 < volume <= capacity else [f"{volume} of {capacity} microlitres"]
    return faults + ([] if volume % every == 0 else [f"{volume} is no multiple of {every}"])


@point("N10", 3)
def traced(s):
    most = max([len(s.layout)] + [panel.number for panel in s.panels] + [len(f.children) for f in facts_of(s)])
    allowed = numerals(json.dumps(s.plan)) | numerals(s.twin) | {str(n) for n in range(1, 1 + most)}
    for part in s.parts():
        if has_syringe(part) and syringe(part):
            u100 = syringe(part)["marks"].startswith("U-100")
            every, capacity = ratio(syringe(part)["number_every"]), ratio(syringe(part)["capacity"])
            allowed |= {f"{i * every * (100 if u100 else 1):g}" for i in range(round(capacity / every) + 1)}
    if any(not has_syringe(part) for part in s.parts()):
        allowed |= {"0"} # a pen's window when it is pressed home
    for hour in range(0, 24, 2):
        allowed |= {str(hour % 12 or 12), f"{hour:02}:00"} | ({str(hour)} if s.language == "fr" else set()) # "20 h"
    printed = numerals(s.text)
    lost = {number for part in s.parts() for number in (squeezed(local_dose(part).split(" ")[0]), str(local_time(part)[1].year))
            if number not in squeezed(s.text)}
    return [f"from nowhere: {n}" for n in sorted(printed - allowed)] + [f"not printed: {n}" for n in lost]


def numerals(text):
    return set(re.findall(r"\d+(?:[.,:]\d+)*", clean(text)))


# ---- L: layout and type ----

SMALL = ("page_clinic", "page_clinic_invented", "made_words")  # of the foot's size although they stand outside it


@point("L1", 2)
def sizes(s):
    """Outside the foot only the clinic's name and the line of where the sheet comes from are of its size."""
    from fontTools.ttLib import TTFont
    font = TTFont("/usr/share/fonts/truetype/andika/Andika-Regular.ttf")
    x_height = font["OS/2"].sxHeight / font["head"].unitsPerEm * s.body_size() * 25.4 / 72
    faults = [] if x_height >= 2.195 and s.body_size() >= 12 else [f"body {s.body_size()} pt, x-height {x_height:.2f} mm"]
    inside = [(f["page"], box(s.in_figure(f))) for f in s.figures if s.in_figure(f)]
    feet = [foot_top(s, page) for page in range(len(s.layout))]
    small = [squeezed(n.text()) for n in s.nodes if n.role == "P" and any(says(s, n.text(), name) for name in SMALL)]
    def of_scale(line, text, left): # in Arabic in one line with the words beside the barrel
        return re.fullmatch(r"[\d., ]+", text) and any(page == line["page"] and b[0] - 2 <= left <= b[1] + 2 and
                                                       b[2] - 6 <= line["top"] <= b[3] + 6 for page, b in inside)
    for line in s.lines:
        apart = [size for size, text, left in line["runs"] if not (size >= 7.9 and of_scale(line, text, left))] if s.language == "ar" else []
        low = min(apart or [size for size, _, _ in line["sizes"]])
        foot = line["base"] > feet[line["page"]]
        drawn = re.fullmatch(r"[\d., ]+", line["text"].strip()) and any(
            page == line["page"] and b[0] - 2 <= line["left"] <= b[1] + 2 and b[2] - 6 <= line["top"] <= b[3] + 6
            for page, b in inside)
        head = line["page"] >= 0 and line["top"] < 15 and low >= 9.5
        furniture = foot or any(squeezed(line["text"]) in words if len(line["text"]) > 9 else words.endswith(squeezed(line["text"]))
                                for words in small) or s.language == "ar" and (line["top"] < (17 if s.paper == "Letter" else 24) or line["page"] == len(s.layout) - 1) or head and squeezed(line["text"]) in squeezed(s.furniture[line["page"]])
        least = 7.9 if drawn else 9.4 if furniture else 11.9
        if low < least:
            faults.append(f"{low:.1f} pt: {line['text'][:40]!r}")
    return faults


def foot_top(s, page):
    """Where the foot begins: its rule, the lowest one that goes across the page."""
    rules = [p.top for p in s.paths if p.page == page and p.stroke and p.tall() < 0.01 and p.wide() > 150 and p.top > 200]
    return max(rules) - 0.5 if rules else 1000


def box(paths):
    return (min(p.left for p in paths), max(p.right for p in paths), min(p.top for p in paths), max(p.bottom for p in paths))


@point("L2", 2, needs=lambda s: s.large)
def large_print(s):
    faults = [] if s.body_size() >= 17.9 else [f"body {s.body_size()} pt"]
    headings = {n.text() for n in s.roles("H1", "H2", "H3", "H4") if n.text()}
    for line in s.lines:
        if flat(line["text"]) in headings and line["sizes"][0][0] != s.body_size():
            size = line["sizes"][0][0]
            if not 19.9 <= size <= 22.1:
                faults.append(f"heading at {size:.1f} pt: {line['text']}")
    return faults


@point("L3", 1, needs=in_order)
def leading(s):
    paragraphs, pitches = [re.sub(r"\s+", "", n.text()) for n in s.roles("P")], []
    for one, two in zip(s.lines, s.lines[1:]):
        size, joined = one["sizes"][0][0], re.sub(r"\s+", "", one["text"] + two["text"])
        level = abs(two["base"] - one["base"]) < 0.5 # two faces on one line
        if not level and one["page"] == two["page"] and abs(size - s.body_size()) < 0.2 and any(joined in p for p in paragraphs):
            pitches.append((two["base"] - one["base"]) / (size * 25.4 / 72))
    low, high = (1.25, 1.5) if s.language in ("en", "es", "fr") else (1.25, 1.9)
    return sorted({f"line pitch {p:.2f} em" for p in pitches if not low - 0.01 <= p <= high + 0.01}) or \
        ([] if pitches else ["no paragraph of two lines"])


@point("L4", 1)
def line_length(s):
    longest = 40 if s.language.startswith("zh") else 70
    feet = [foot_top(s, page) for page in range(len(s.layout))]
    faults = []
    for line in s.lines:
        text = re.sub(r"^\d+\s+", "", line["text"].strip()) # the number of a step is not read with its line
        skipped = len(line["text"].strip()) - len(text)
        wide = line["right"] - (line["chars"][skipped][1] if skipped < len(line["chars"]) else line["left"])
        letters = sum(1 if c > "\u2e80" or not longest == 40 else 0.5 for c in text) # a Latin letter is half as wide
        if 17 <= line["top"] < feet[line["page"]] and abs(line["sizes"][0][0] - s.body_size()) < 0.2 \
                and (letters > longest or wide > 154.5):
            faults.append(f"{letters:.0f} letters, {wide:.0f} mm: {text[:50]!r}")
    return faults


@point("L5", 1)
def ragged(s):
    faults = ["a soft hyphen"] if "\u00ad" in s.raw else []
    words = set(re.findall(r"\w+-$", s.text, re.M))
    return faults + [f"broken with a hyphen: {w}" for w in words if w not in s.twin and not s.value("program_version").startswith(w)]


@point("L6", 2)
def faces(s):
    allowed = ("Andika", "NotoSansArabic", "NotoSansCJK")
    names = {name for line in s.lines for _, name, _ in line["sizes"]}
    return [name for name in names if not any(a in name for a in allowed)]


@point("L7", 1)
def no_shouting(s):
    faults = [name for line in s.lines for _, name, _ in line["sizes"] if re.search("italic|oblique", name, re.I)]
    return faults + re.findall(r"\b[A-Z]{2,}(?: [A-Z]{2,}){3,}", s.text)


@point("L8", 2)
def contrast(s):
    """White on black only for the mark of an injection and of an invented clinic or a draft, 18 pt and bold."""
    faults = []
    black = [p for p in s.paths if p.fill == (0, 0, 0) and p.wide() > 4 and abs(p.wide() - p.tall()) < 0.2 and not p.curved]
    marks = [min(size for size, _, _ in l["sizes"]) for l in s.lines if l["text"].strip() == "A" and any(
        p.page == l["page"] and p.left < l["left"] < p.right and p.top < l["base"] < p.bottom for p in black)]
    for painter in s.painters:
        for fill, in_artifact in painter.fills_of_text:
            if in_artifact and s.build["draft"] and fill[0] > 0.8:
                continue # the mark across a draft is meant to be seen through
            if min(fill) > 0.99 and in_artifact and s.banner():
                continue # of what size it is says V1
            if min(fill) > 0.99 and len(s.parts()) > 1:
                faults += [f"a white mark of {size:.1f} pt" for size in marks if size < 18]
                continue
            luminance = sum(w * (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4)
                            for w, c in zip((0.2126, 0.7152, 0.0722), fill))
            if 1.0 / (luminance + 0.05) < 7 * 0.9 and 1.05 / (luminance + 0.05) < 7:
                faults.append(f"text in {fill}")
            elif min(1.05, 0.95 + 0.05) / (luminance + 0.05) < 7:
                faults.append(f"text in {fill}")
    return sorted(set(faults))


@point("L9", 3, needs=lambda s: s.language == ENGLISH and s.value("drawing_needle_hub") and s.value("injecting_needle_hub"), each=True)
def not_by_colour_alone(s):
    """Hubs differ in lightness or are told apart by words beside them: both must stand there."""
    text = " ".join(s.flowing)
    return [f"nowhere in words: {hub}, {gauge}" for hub, gauge in
            ((s.value(k + "_hub"), clean(s.value(k)).split(" x ")[0]) for k in ("drawing_needle", "injecting_needle"))
            if not re.search(rf"{hub}, (?:[a-z ]+, )?{gauge}", text)]


@point("L10", 2)
def short_lists(s):
    counts = {}
    for node in s.roles("L"):
        items = [c for c in node.children if c.role == "LI"]
        counts[id(node)] = len(items)
    return [f"{count} items in one list" for count in counts.values() if count > 7]


TOLD = ("when_night", "when_course", "title_late", "title_late_course", "title_late_two", "emergency_title", "title_times", "title_times_mark",
        "title_times_course", "heading_after_page", "heading_days_page", "title_is_normal", "title_now", "title_signs_days", "title_signs",
        "title_morning", "title_script")  # headings of what is told, not of work


@point("L11", 2, english=True)
def headings_are_tasks(s):
    """A heading of work begins with a verb behind its clock time; any other is one of those that tell."""
    faults = []
    for node in s.roles("H2", "H3", "H4"):
        words = re.sub(r"^(?:\w+day, )?[\d:]+(?: [ap]m)? (?:Helper: )?", "", node.text())
        first = re.match(r"\w+", words)
        work = re.match(r"(?:\w+day, )?\d{1,2}(?::\d\d| [ap]m)", node.text())
        told = not work and any(re.fullmatch(pattern(s, name), squeezed(node.text())) for name in TOLD)
        if not told and (not first or first.group(0).capitalize() not in VERBS):
            faults.append(node.text())
    works = [n for n in s.roles("H2", "H3") if re.match(r"(?:\w+day, )?\d{1,2}(?::\d\d| [ap]m).*(?:syringe|ready|kit)\b", n.text())]
    return faults + ([] if works else ["no heading of work"])


NEEDED = ("pull_to_add", "pull_to_dose", "pull_slowly", "push_to_line", "look_rim", "cap_one_hand", "cap_it_one_hand", "straight_in", "in_at_angle", "push_plunger",
          "bits", "bits_minutes", "make_v", "palm_hip_own", "upper_outer", "under_fingers", "hands_thigh", "pick_belly", "dial_dose", "dial_flow",
          "push_button", "cap_big", "count_left", "count_used")  # what must be seen to be done right; other pictures may yield to words


@point("L12", 3)
def kept_together(s):
    faults = [f"a figure without a page: {f['alt']}" for f in s.figures if f["page"] is None]
    twice = [(p.number, p.half) for p in s.panels]
    faults += [f"panel {n}{h} stands in two parts" for n, h in sorted({x for x in twice if twice.count(x) > 1})]
    pictured = {(n, half): count for n, half, count in s.build["numbering"]}
    for panel in s.panels:
        wanted, found = pictured.get((panel.number, panel.half), 0), len(panel.figures)
        if wanted and not found and saying(s, [panel], *NEEDED) or found > wanted:
            faults.append(f"panel {panel.name()} has {found} pictures, of {wanted}")
        if any(n.role == "Figure" and n.page != panel.page for n in panel.node.walk()):
            faults.append(f"panel {panel.name()} and its picture are on two pages")
    first = s.flowing[0]
    for part in s.parts():
        digits = re.sub(r"\D", "", first)
        if clean(s.value("phone_night")) not in first or not any(minute in digits for minute in minute_digits(part)):
            faults.append("page 1 lacks the telephone or the time")
    return faults


MARGIN = 12  # mm


@point("L13", 2)
def paper(s):
    wide, tall = (215.9, 279.4) if s.paper == "Letter" else (210, 297)
    faults = [f"page {i + 1} is {b[2]:.1f} x {b[3]:.1f} mm" for i, b in enumerate(s.boxes) if abs(b[2] - wide) > 0.3 or abs(b[3] - tall) > 0.3]
    for line in s.lines:
        right = line["right"] - (1.5 if line["text"].endswith(" ") else 0) # a trailing space may stand out
        if not s.build["draft"] and line not in banners(s) and (line["left"] < MARGIN - 0.1 or right > wide - MARGIN + 0.1 or line["top"] < MARGIN - 3.5 or line["base"] > tall - MARGIN):
            faults.append(f"in the margin: {line['text'][:30]!r} {line['left']:.1f}..{right:.1f}, {line['top']:.1f}..{line['base']:.1f}")
    if not s.build["draft"]:
        edge = int(MARGIN * 100 / 25.4)
        for number, image in enumerate(s.rendered(), 1):
            inner = image.copy()
            inner.paste(255, (edge, edge, image.width - edge, image.height - edge))
            if s.banner(): # stands above the block: a printer that cuts it off cuts no word of the sheet
                inner.paste(255, (edge, 0, image.width - edge, edge))
            if inner.getextrema()[0] < 200:
                dark = inner.point(lambda v: 255 if v < 200 else 0).getbbox()
                faults.append(f"page {number}: drawn within 12 mm of an edge, at {[round(v * 0.254, 1) for v in dark]}")
    for number, page in enumerate(s.furniture, 1):
        if s.language != "ar" and not re.search(rf"(?<!\d){number}(?!\d)\D+(?<!\d){len(s.furniture)}(?!\d)", page):
            faults.append(f"page {number} does not say its number")
    return faults[:6] + way_of_the_eye(s)


def way_of_the_eye(s):
    """Each panel hangs from a line with an arrow, and the tags follow the lines."""
    faults = [f"panel {p.name()} has no number or no line" for p in s.panels if p.rail is None]
    faults += [f"the line over panel {p.name()} has no arrow" for p in s.panels if p.rail and not p.rail.arrow]
    placed = [p for p in s.panels if p.rail]
    side = -1 if right_to_left(s) else 1
    for page in {p.page for p in placed}:
        tagged = [p.name() for p in placed if p.page == page]
        seen = [p.name() for p in sorted((p for p in placed if p.page == page), key=lambda p: (round(p.rail.y, 1), side * p.left))]
        if tagged != seen:
            faults.append(f"page {page + 1}: tags {tagged}, along the lines {seen}")
    return faults


# ---- P: pictures ----

def measures(s):
    return s.build["way"] != "prefilled" or not s.build["whole"]


def measured_by_syringe(s):
    return measures(s) and has_syringe(s)


def windows(s):
    """Where a figure of a pen shows a number: lines of text inside a closed outline not much larger."""
    found = []
    for figure in s.figures:
        frames = [p for p in s.in_figure(figure) if p.stroke and p.curved and 7 < p.wide() < 26 and 4 < p.tall() < 14]
        for line in s.lines:
            around = [frame for frame in frames if line["page"] == figure["page"] and frame.left < line["left"] and
                      line["right"] < frame.right + 0.5 and frame.top < line["base"] < frame.bottom]
            if around:
                found.append((line, min(around, key=lambda frame: frame.wide()), figure))
    return sorted(found, key=lambda one: (one[0]["page"], round(one[0]["base"]), one[0]["left"]))


@point("P1", 3, needs=lambda s: measures(s) and in_order(s), each=True)
def drawn_volume(s):
    """Each panel that names a line holds the barrel on it; a pen's panels hold their windows.  Which pulls to it
    again, once the bubbles are out, has the barrel of the panel before: in Chinese both have the same words."""
    faults, named = [], LINES if has_syringe(s) else ("dial_dose", "dial_flow", "push_button")
    again = saying(s, s.panels, "pull_again")
    panels = [s.panels[at] for at in saying(s, s.panels, *named) if at not in again]
    for panel in panels:
        inside = [f for f in s.figures if f["page"] == panel.page and any(squeezed(n.alt or "") == squeezed(f["alt"]) for n in panel.figures)]
        if not has_syringe(s):
            shown = [line["text"].strip() for line, _, figure in windows(s) if figure in inside]
            drop, zero = s.build["pen"]["flow_check"].split(" ")[0], "0"
            wanted = [setting(s)] if says(s, panel.text, "dial_dose") else [drop, zero] if says(s, panel.text, "dial_flow") else None
            if wanted and shown != wanted or wanted is None and (len(shown) != 2 or shown[0] != zero):
                faults.append(f"panel {panel.name()}: the windows show {shown}")
        elif not any(len(barrel_ticks(s.in_figure(f))) >= 10 for f in inside):
            faults.append(f"panel {panel.name()} names a line, and no syringe is drawn in it")
    return faults + ([] if panels else ["no panel names a line or a number to set"])


LINES = ("pull_to_add", "pull_to_dose", "pull_slowly", "push_to_line", "look_rim")


@point("P2", 3, needs=measured_by_syringe, each=True)
def rim(s):
    """The rim's stroke stands at the volume on the scale that is drawn, within 0.1 mm; at least one
    figure for each volume that is measured."""
    faults, met = [], set()
    volumes = [ratio(s.value(n, "number")) for n in ("volume", "add") if s.value(n, "number")]
    for figure in filled_figures(s):
        paths = s.in_figure(figure)
        marks = barrel_ticks(paths)
        zero, last = marks[0].left, marks[-1].left
        scale = (last - zero) / ratio(syringe(s)["capacity"])
        pointer = [p for p in ticks_long(paths)]
        if not pointer:
            faults.append(f"no rim line in {figure['alt']!r}")
            continue
        near = min(volumes, key=lambda v: abs(pointer[0].left - (zero + v * scale)))
        met.add(near)
        if abs(pointer[0].left - (zero + near * scale)) > 0.1:
            faults.append(f"the rim stands at {(pointer[0].left - zero) / scale:.3f} mL in {figure['alt']!r}")
    return faults + [f"no figure for {v} mL" for v in set(volumes) - met]


def ticks_long(paths):
    """The pointer line: the one upright stroke that is as strong as what is pointed at."""
    return [p for p in paths if p.stroke and p.width > 0.6 and p.wide() < 0.01 and p.tall() > 8]


@point("P3", 3, needs=measured_by_syringe, each=True)
def all_marks(s):
    """As many marks as the barrel has, evenly; its numbers at their marks, growing from the needle."""
    faults = []
    every, capacity, numbered = (ratio(syringe(s)[name]) for name in ("mark_every", "capacity", "number_every"))
    wanted, times_ = round(capacity / every) + 1, 100 if syringe(s)["marks"].startswith("U-100") else 1
    for figure in filled_figures(s):
        marks = barrel_ticks(s.in_figure(figure))
        if len(marks) != wanted:
            faults.append(f"{len(marks)} marks, the syringe has {wanted}: {figure['alt']!r}")
            continue
        step = (marks[-1].left - marks[0].left) / (wanted - 1)
        off = max(abs(m.left - (marks[0].left + i * step)) for i, m in enumerate(marks))
        if off > 0.1:
            faults.append(f"a mark is {off:.2f} mm off")
        below = [l for l in s.lines if l["page"] == figure["page"] and marks[0].bottom - 2 < l["base"] < marks[0].bottom + 8
                 and l["left"] < marks[-1].right + 3 and l["right"] > marks[0].left - 3]
        read = {}
        for line in below: # by place: in Arabic lines the letters come in another order
            letters, word = sorted((x, c) for c, x in line["chars"] if marks[0].left - 3 < x < marks[-1].right + 3), []
            apart = 0.8 * min(size for size, _, _ in line["sizes"]) * 25.4 / 72 # a digit takes 0.55 em
            for (x, c), (after, _) in zip(letters, letters[1:] + [(line["right"], " ")]):
                if c in "0123456789.,":
                    word.append((x, c, after))
                if word and (c not in "0123456789.," or after - x > apart or after == line["right"]):
                    end = min(word[-1][2], word[-1][0] + 2)
                    read["".join(c for _, c, _ in word).replace(",", ".")] = (word[0][0] + end) / 2
                    word = []
        for i in range(1, round(capacity / numbered) + 1):
            text, at = f"{i * numbered * times_:g}", marks[0].left + step * (i * numbered / every)
            if text not in read:
                faults.append(f"the number {text} is not at its mark in {figure['alt']!r}")
            elif abs(read[text] - at) > 1.2:
                faults.append(f"the number {text} stands {read[text] - at:.1f} mm off")
    return faults[:6]


def drawn_life_size(s):
    """A barrel, the window of a pen, or a needle in its pack.  A filled syringe that is given whole, with its needle
    fixed to it, is drawn small."""
    return measured_by_syringe(s) or s.build["way"] == "pen" or any("needle" in item["kind"] for item in s.build["kit"])


@point("P4", 2, needs=drawn_life_size, each=True)
def life_size(s):
    """A bank card's length (ISO/IEC 7810: 85.60 mm) proves the print's size, since a print is scaled
    alike both ways; it is drawn as a line or as the whole card."""
    faults = [] if s.viewer and s.viewer.get("PrintScaling") == "None" else ["no word against scaling"]
    ends = [p for p in s.paths if p.wide() < 1.2 and 3 < p.tall() < 5]  # of a line that words stand in
    between = [1 for a in ends for b in ends if a.page == b.page and abs(a.top - b.top) < 0.1 and abs(b.left - a.left - 85.60) <= 0.2]
    whole = [p for p in s.paths if abs(p.wide() - 85.60) <= 0.2 and (p.tall() < 5 or abs(p.tall() - 53.98) <= 0.2)]
    if not between and not whole:
        faults.append("nothing of a bank card's length of 85.60 mm")
    for name in ("drawing_needle", "injecting_needle") if has_syringe(s) else ():
        if not s.value(name) or not s.build["syringe"] or name == "injecting_needle" and not s.value("drawing_needle"):
            continue # a needle that cannot come off is drawn with its syringe
        length = ratio(clean(s.value(name)).split(" x ")[1])
        mm = length * 25.4 if s.value(name).rstrip().endswith("in") else length
        if not [p for p in s.paths if abs(p.wide() - mm) <= 0.2 and p.tall() < 3]:
            faults.append(f"no line of {mm:.1f} mm for the {name}")
    for figure in filled_figures(s) if measured_by_syringe(s) else []:
        marks, scale = barrel_ticks(s.in_figure(figure)), ratio(syringe(s)["scale_length"])
        if abs(marks[-1].left - marks[0].left - scale) > 0.2:
            faults.append(f"a scale of {marks[-1].left - marks[0].left:.2f} mm for {scale:g}")
    return faults


@point("P5", 2)
def in_their_panels(s):
    """A picture of the work is tagged in a panel and stands under or beside its words, below its own
    line and above the next; what must be read (a barrel, the strip) says how."""
    faults = []
    pages = {p.page for p in s.panels}
    inside = [id(n) for p in s.panels for n in p.figures]
    for node in s.roles("Figure"):
        if node.page in pages and node.page not in (0, len(s.layout) - 1) and id(node) not in inside and not in_kit(s, node) \
                and not in_loop(s, node):
            faults.append(f"page {node.page + 1}: in no panel: {node.alt!r}")
    for panel in s.panels:
        if panel.rail is None:
            continue
        lower = [r.y for r in s.rails if r.page == panel.page and r.y > panel.rail.y + 5 and r.wide() > 100]
        for node in panel.figures:
            found = [box(s.in_figure(f)) for f in s.figures if f["page"] == panel.page and squeezed(f["alt"]) == squeezed(node.alt or "")
                     and s.in_figure(f)]
            middles = [((b[0] + b[1]) / 2, (b[2] + b[3]) / 2) for b in found] # what is cut off at a frame is in the file
            fits = [x for x, y in middles if panel.rail.y < y < min(lower or [1000]) and
                    (x < panel.left + 6 if right_to_left(s) else x > panel.left)]
            if found and not fits:
                faults.append(f"panel {panel.name()}: {node.alt!r} stands elsewhere")
    for figure in filled_figures(s):
        words = figure_words(s, figure)
        if in_order(s) and not re.search(r"\d[^\d]*[A-Za-z\u00c0-\uffff]{2}", words):
            faults.append(f"no word says how to read {figure['alt']!r}: {words!r}")
    if strip(s)[0] and s.language == ENGLISH and not re.search(r"\bdot\b", s.flowing[0], re.I):
        faults.append("page 1 does not say what the dot of the strip is")
    return faults[:8]


def in_kit(s, node):
    """Named with its number; in Arabic the word of a thing, or of a pair, stands before it."""
    words = r"\d+ |\D{1,40} \d+$" if right_to_left(s) else r"\d+ "
    return re.match(words, clean(node.alt or "")) is not None


def in_loop(s, node):
    """The picture of a way back stands beside the words of it."""
    at = s.nodes.index(node)
    near = [n.text() for n in s.nodes[max(0, at - 6):at + 6] if n.role == "P"]
    if right_to_left(s): # words that join are read in another order: the same letters as often
        return arabic_letters(s.build["phrases"]["loop_words"]) in map(arabic_letters, near)
    return any(says(s, text, "loop_words") for text in near)


def arabic_letters(text):
    """The Unicode Standard: letters from hamza to yeh, without marks."""
    return collections.Counter(re.findall("[\u0621-\u064a]", unicodedata.normalize("NFKC", text)))


def figure_words(s, figure):
    nodes = [n for n in s.roles("Figure") if n.page == figure["page"] and squeezed(n.alt or "") == squeezed(figure["alt"])]
    return " ".join(n.own + " ".join(c.text() for c in n.children) for n in nodes)


@point("P6", 2)
def uncluttered(s):
    def things(figure):
        count = re.match(r"(\d+) ", clean(figure["alt"]))
        return int(count[1]) if count else 1
    return [f"{len(s.in_figure(f))} paths: {f['alt'][:40]}" for f in s.figures if len(s.in_figure(f)) > 160 * things(f)]


SEVEN = 7  # from here on one is drawn beside its number: a heap of sixteen wipes tells nothing


@point("P7", 3, each=True)
def kit_counts(s):
    """Each thing of the kit has a picture named with its number, in which the largest shape stands as
    often as there are things."""
    faults = []
    for item in s.build["kit"]:
        before = r"\D*" if s.language == "ar" else r"\D{0,3}" # the word of a pair of things stands before its number
        if not [f for f in s.figures if re.match(rf"{before}{item['shown']}\b", clean(f["alt"]))]:
            faults.append(f"no picture of {item['shown']} {item['item']}")
    for figure in s.figures:
        count = re.match(r"(\d+) ", clean(figure["alt"]))
        if count and s.in_figure(figure):
            wanted, found = int(count[1]), largest_shapes(s.in_figure(figure))
            if (found % wanted or found // wanted > 4) and not (wanted >= SEVEN and found == 1):
                faults.append(f"{found} shapes for {figure['alt']!r}")
    return faults


def largest_shapes(paths):
    paths = [p for p in paths if len(p.subpaths) < 4] # no hatch: what of it is cut off is in the file
    largest = max(paths, key=lambda p: p.wide() * p.tall())
    return sum(abs(p.wide() - largest.wide()) < 0.1 and abs(p.tall() - largest.tall()) < 0.1 and (p.fill is None) == (largest.fill is None)
               for p in paths)


@point("P8", 3, english=True, needs=lambda s: s.value("injecting_needle") and s.value("drawing_needle"), each=True)
def needles_told_apart(s):
    """In the kit: the job in the needle's name, its hub's colour, gauge and length in words, and the drawn
    colours apart."""
    faults, drawn = [], {}
    for name, job in (("drawing_needle", "filling needle"), ("injecting_needle", "injecting needle")):
        gauge, length = (clean(t) for t in clean(s.value(name)).split(" x "))
        wanted = rf"\d {job}s?\b.{{0,30}}?{s.value(name + '_hub')}, (?:[a-z ]+, )?{gauge}, {length}"
        where = [i for i, n in enumerate(s.nodes) if n.role == "Figure" and re.match(rf"\d+ {job}", clean(n.alt or ""))]
        if not any(re.search(wanted, " ".join(n.text() for n in s.nodes[i:i + 12] if n.role == "P")) for i in where):
            faults.append(f"the kit does not say: {job}, {s.value(name + '_hub')}, {gauge}, {length}")
        for f in s.figures:
            if re.match(rf"\d+ {job}", clean(f["alt"])):
                drawn.setdefault(name, set()).update(p.fill for p in s.in_figure(f) if p.fill and max(p.fill) - min(p.fill) > 0.05 or p.fill and 0 < max(p.fill) < 0.8)
    if s.value("drawing_needle_hub") != s.value("injecting_needle_hub") and drawn.get("drawing_needle") == drawn.get("injecting_needle"):
        faults.append(f"both needles are drawn in {drawn}")
    return faults


@point("P9", 1)
def own_drawings(s):
    """All drawings are paths of our own: no picture is embedded."""
    images = output("pdfimages", "-list", s.path).strip().split("\n")[2:]
    return [f"an embedded picture: {line}" for line in images if " image " in line or " smask " in line]


PAIRS = {"tip": ("pair_in_liquid", "pair_in_air"), "powder": ("pair_clear", "pair_bits"), "push": ("pair_empty", "pair_some_left"),
         "zero": ("pair_all", "pair_not_all")}


@point("P10", 2, needs=in_order, each=True)
def pairs(s):
    """In one figure: a tick and a cross of two strokes, and both names."""
    wanted = {"powder": ("tip", "powder", "push"), "pen": ("zero",), "prefilled": ("push",)}.get(s.build["way"], ("tip", "push"))
    if s.build["ampoule"]: # an open ampoule needs no word about air
        wanted = ("push",)
    faults = []
    for name in wanted:
        words = [squeezed(s.build["phrases"][x]) for x in PAIRS[name]]
        found = [f for f in s.figures if f["page"] in (*s.pages, *(p.page for p in s.panels)) and crossed(s.in_figure(f)) and
                 all(word in squeezed(figure_words(s, f)) for word in words)]
        faults += [] if found else [f"no pair {PAIRS[name]}"]
    return faults


def crossed(paths):
    """A tick (one stroke of three points) and a cross (two strokes in one square)."""
    strong = [p for p in paths if p.stroke and not p.fill and p.width > 0.8 and 1 < p.wide() < 8 and 1 < p.tall() < 8 and len(p.subpaths) == 1]
    lines = [p for p in strong if len(p.subpaths[0]) == 2]
    return any(len(p.subpaths[0]) == 3 for p in strong) and any(
        a is not b and abs(a.left - b.left) < 0.1 and abs(a.top - b.top) < 0.1 for a in lines for b in lines)


# ---- A: actions and recovery ----

@point("A1", 3)
def phone_everywhere(s):
    faults, phone = [], clean(s.value("phone_night"))
    dial = "tel:" + s.build["dial"]
    for number, (page, links) in enumerate(zip(s.layout, s.links), 1):
        if phone not in page:
            faults.append(f"page {number} lacks the number")
        if dial not in links:
            faults.append(f"page {number} has no link to {dial}")
        sizes_of = [size for line in s.lines if line["page"] == number - 1 for size, name, _ in line["sizes"]
                    if phone in line["text"] and "Bold" in name]
        if not sizes_of or max(sizes_of) < 17.9:
            faults.append(f"page {number}: the number at {max(sizes_of or [0]):.1f} pt")
        if flat(s.build["answers"]) not in flat(page):
            faults.append(f"page {number} does not say who answers")
    return faults


@point("A2", 3)
def late(s):
    return [] if s.says(s.build["late"], 0) else ["page 1 does not say what to do when late"]


@point("A3", 3)
def script(s):
    """Name and code, medicine, planned time, and places to write the time now and what happened."""
    texts = [n.text() for n in s.nodes if n.role == "P"]
    mine = [i for i, t in enumerate(texts) if clean(s.value("person_name")) in t and clean(s.value("check_code")) in t]
    if s.language == "ar":
        mine = [0] if s.says(s.build["phrases"]["script_now"]) else []
    faults = [] if mine else ["no words for the telephone"]
    spoken = " ".join(texts[mine[-1]:mine[-1] + 8]) if mine else ""
    for part in s.parts() if in_order(s) and mine else []:
        faults += [] if squeezed(f"{clean(part.value('medicine'))} {local_dose(part)}") in squeezed(spoken) else ["the medicine is not said"]
        if s.language == ENGLISH and not any(form in spoken for form in whole(s, local_time(part)[1])) and \
                not (part.build["days"] > 1 and clock(part) in spoken):
            faults.append("the planned time is not said")
    for name in ("script_now", "script_happened"):
        if not writing_beside(s, name, 35, 8):
            faults.append(f"no place to write: {name}")
    return faults


def writing_boxes(s, wide, tall):
    return [p for p in s.paths if p.stroke and p.wide() >= wide - 0.1 and tall - 0.1 <= p.tall() <= 30 and p.fill in (None, (1, 1, 1)) and p.mark is None]


def label_lines(s, name):
    """Lines in which a label stands, in any language but Arabic."""
    alone = [line for line in s.lines if re.fullmatch(pattern(s, name), squeezed(line["text"]))]
    return alone or [line for line in s.lines if re.search(pattern(s, name), squeezed(line["text"]))]


def writing_beside(s, name, wide, tall):
    """Boxes at least so large on the line of the label, or under it.  Arabic labels are not read: any box
    of that size counts."""
    boxes = writing_boxes(s, wide, tall)
    if not in_order(s):
        return boxes
    return [b for b in boxes if any(line["page"] == b.page and b.top - 8 < line["base"] < b.bottom + 3 for line in label_lines(s, name))]


SLIPS = {"powder": ["slip_mix", "slip_lost", "slip_amount", "slip_wrong_needle"], "ready": ["slip_lost", "slip_amount", "slip_wrong_needle"],
         "pen": ["slip_drop", "slip_cartridge", "slip_pricked"], "prefilled": ["slip_left_in", "slip_fell"]}


@point("A4", 3, each=True)
def slips(s):
    """Injected liquid only or powder left, spilled or leaked, wrong or bent needle, wrong volume, late: as far
    as the way of giving has them; and each of them leads to a call."""
    exact = s.value("window_before", "number") == "0" and s.value("window_after", "number") == "0"
    wanted = SLIPS[s.build["way"]] + (["slip_amount"] if s.build["way"] == "prefilled" and not s.build["whole"] else [])
    wanted += ["slip_two"] if s.mark else ["slip_course"] if s.build["days"] > 1 else ["slip_minute" if exact else "slip_late"]
    text = " ".join(s.flowing)
    faults = [f"missing: {name}" for name in wanted if not says(s, text, name)]
    return faults + ([] if says(s, text, "title_now") else ["the slips lead to no call"])


@point("A5", 2)
def normal(s):
    return [f"missing: {t}" for t in s.build["normal"] if not s.says(t, None)] + ([] if s.build["normal"] else ["nothing is said to be normal"])


def from_each_run(line):
    """What is left of a line from each change of type: a heading and what stands behind it are one line to
    the reader of the file when they stand near each other."""
    runs = [text for _, text, _ in line["runs"]]
    return [squeezed("".join(runs[at:])) for at in range(len(runs))]


@point("A6", 2, needs=in_order, each=True)
def tick_boxes(s):
    """One for each band of work, at its end: after the kit, after filling, when done.  It says what comes next
    (a page, a minute, the count that a panel behind it asks for, or the box for the time), and the needle is not bare."""
    faults = []
    done = ("done_tick", "done_tick_count", "done_tick_course", "done_tick_mark")
    for names in (("kit_all", "kit_all_cold"), ("filled_tick", "filled_tick_course") if s.build["way"] in ("powder", "ready") else (), done):
        opens = [squeezed(s.build["phrases"][name].split("{")[0])[:3 if s.language.startswith("zh") else 9] for name in names] # a line may break behind it
        lines = [line for line in s.lines for words in opens if any(text.startswith(words or "\0") for text in from_each_run(line))
                 or s.mark and says(s, line["text"], names[-1])]
        boxes = [b for b in squares(s) if any(l["page"] == b.page and b.top - 3 < l["base"] < b.bottom + 3 for l in lines)]
        if names and not boxes:
            faults.append(f"no box beside {names[0]}")
        said = [n.text() for n in s.nodes if n.role == "P" and any(says(s, n.text(), name) for name in names)]
        counts = any(says(s, text, "done_tick_count") for text in said) and any(says(s, p.text, "count_left", "count_used") for p in s.panels)
        writes = any(says(s, text, "done_tick") for text in said) and any(says(s, n.text(), "time_given") for n in s.nodes)
        if names and said and s.language == ENGLISH and not any(re.search(r"\d", text) for text in said) and not s.mark and not (counts or writes):
            faults.append(f"{said[0]!r} does not say what comes next")
    for panel in s.panels:
        inside = [b for b in squares(s) if panel.rail and b.page == panel.page and panel.bare[1] and b.top > panel.rail.y and
                  b.bottom < min([r.y for r in s.rails if r.page == panel.page and r.y > panel.rail.y + 5 and r.wide() > 100] or [foot_top(s, panel.page)])
                  and panel.left <= b.left and all(q.left > b.right or q.left <= panel.left for q in s.panels if q.rail is panel.rail)]
        faults += [f"a box to tick in panel {panel.name()}, where the needle is bare"] if inside else []
    return faults


def squares(s):
    """Boxes to tick, at least 5 mm."""
    return [p for p in s.paths if p.stroke and abs(p.wide() - p.tall()) < 0.1 and 5 <= p.wide() <= 12 and not p.curved and p.mark is None]


@point("A7", 3, needs=in_order, each=True)
def pause(s):
    """At most five facts, read aloud, behind the spot and before the cap comes off: the box's name, the
    amount or line, the day, the time."""
    lists = [f for f in facts_of(s) if f.page in s.pages]
    if len(lists) != 1:
        return [f"{len(lists)} stop boxes"]
    facts = [" ".join(child.text() for child in item.children if child.role == "LBody") for item in lists[0].children if item.role == "LI"]
    faults = [] if 4 <= len(facts) <= 5 else [f"{len(facts)} facts"]
    joined = " ".join(facts)
    wanted = [("check_box", "check_box_helper", "check_cartridge", "check_bag"), ("check_today", "check_today_course", "check_side"),
              ("check_clock", "check_clock_filled", "check_clock_course")]
    if measures(s) and has_syringe(s) or s.build["way"] == "prefilled" and not s.build["whole"]:
        wanted.append(("check_all", "check_all_helper", "check_mixed", "check_mixed_part", "check_rim", "check_part"))
    faults += [f"no fact {names[0]}" for names in wanted if not any(says(s, joined, name) for name in names)]
    nodes = list(s.nodes)
    at = nodes.index(lists[0])
    off = saying(s, s.panels, "cap_off_now", "small_cap_off")
    spot = saying(s, s.panels, "pick_belly", "hands_thigh", "arm_loose", "make_v", "palm_hip_own", "upper_outer")
    faults += [] if off and nodes.index(s.panels[off[0]].node) > at else ["not before the cap comes off"]
    return faults + ([] if not spot or nodes.index(s.panels[spot[-1]].node) < at else ["before the spot is found"])


@point("A8", 3, needs=lambda s: in_order(s) and s.build["way"] in ("powder", "ready"), each=True)
def empties(s):
    """The panel that counts names each vial with its number, and a mismatch calls.  The used syringe is in
    the sharps box by then, into which nobody should look."""
    every = [p for p in panels_of_all(s) if says(s, p.text, "count_left", "count_used")]
    panel = every[ord(s.mark) - ord("A") if s.mark else 0:][:1]
    if not panel:
        return ["nothing is counted"]
    numbers = [int(n) for n in re.findall(r"\d+", panel[0].text.split("picture")[0])]
    wanted = [item["used"] for item in s.build["kit"] if item["kind"] in ("medicine", "diluent")]
    faults = [] if numbers[:len(wanted)] == wanted else [f"counts {numbers}, the kit {wanted}"]
    return faults + ([] if says(s, panel[0].all(), "call_nurse") else ["a mismatch does not call"])


def panels_of_all(s):
    """Those of the whole sheet, also in the part of one injection."""
    return s.whole_panels if s.mark else s.panels


@point("A9", 2)
def room_to_write(s):
    """The real time and who gave it, for each injection or each day of a course."""
    days = s.build["days"]
    wanted = 2 * days if days > 1 else 2 * len(s.parts())
    if days > 1:
        rows = [p for p in s.paths if p.page in s.pages and p.stroke and p.tall() >= 12 and p.wide() >= 60 and p.mark is None]
        return [] if len(rows) >= wanted else [f"{len(rows)} boxes of 60 x 12 mm, {wanted} are needed"]
    boxes = {id(b) for name in ("time_given", "given_by") for b in writing_beside(s, name, 60, 12)}
    return [] if len(boxes) >= wanted else [f"{len(boxes)} boxes of 60 x 12 mm, {wanted} are needed"]


@point("A10", 2)
def teach_back(s):
    """On the last page three ticks and the signature in one row; the open questions and their answers on the
    clinic's page."""
    asked = [name for name in ("teach_when_tick", "teach_amount_tick", "teach_late_tick") if s.says(s.build["phrases"][name], -1)]
    faults = [] if len(asked) == 3 else [f"the last page asks {asked}"]
    last = len(s.layout) - 1
    if in_order(s):
        lines = [line for name in (*asked, "sign_nurse") for line in label_lines(s, name) if line["page"] == last]
        rows = {round(line["base"]) for line in lines}
        faults += [] if len(rows) == 1 or max(rows) - min(rows) <= 4 else [f"ticks and signature stand in {len(rows)} rows"]
        ticked = [b for b in squares(s) if b.page == last and any(b.top - 3 < line["base"] < b.bottom + 3 for line in lines)]
        faults += [] if len(ticked) >= 3 else [f"{len(ticked)} boxes to tick beside the questions"]
    if s.build["desk"] is not None:
        for names in (("said_when", "said_course"), ("said_whole", "said_part", "said_dial", "said_filled"), ("said_late",)):
            faults += [] if any(says(s, s.build["desk"], name) for name in names) else [f"the clinic's page does not ask {names[0]}"]
    return faults


@point("A11", 2, each=True)
def by_day(s):
    """The kit is checked in office hours, with alarms to set and the number to call by a clock time."""
    call_by = s.value("call_by")
    hour = int(call_by.split(" ")[-1].split(":")[0]) if call_by else 0
    faults = [] if 8 <= hour <= 17 and s.value("set_alarms") else [f"the kit is checked by {call_by}"]
    text = " ".join(s.flowing)
    if s.language == ENGLISH:
        faults += [] if re.search(rf"Missing\? Call {clean(s.value('phone_day'))} by {clock_of(s, 'call_by')}", text) else ["nobody to call for what is missing"]
        faults += [] if re.search(r"alarms", text, re.I) else ["no alarms"]
        faults += [] if not s.value("take_out") or re.search("refrigerator|fridge", text) else ["nothing says to take it out of the refrigerator"]
    return faults


@point("A12", 2, each=True)
def sharps_and_storage(s):
    """Where the needle goes at once, not capped by hand, and where the medicine is kept."""
    text = " ".join(s.flowing)
    where = (("drop_all", "drop_whole", "drop_both"), ("no_cap", "hand_away"), ("clear_words",))
    faults = [f"not said: {names[0]}" for names in where if not any(says(s, text, name) for name in names)]
    return faults + ([] if any(says(s, text, n) for n in ("keep_cold", "keep_room")) else ["where the medicine is kept"])


@point("A13", 3)
def emergency(s):
    """On page 1, apart from the clinic's line; in large print its signs may stand on page 2."""
    faults = [] if clean(s.value("phone_emergency")) in s.flowing[0] else ["no emergency number on page 1"]
    pages = (0, 1) if s.large else (0,)
    lists = [n for page in pages for n in s.trees[page].walk() if n.role == "L"] # Arabic is read in the twin, which has no pages
    most = len(s.build["emergency"])
    if not any(most <= sum(c.role == "LI" for c in n.children) <= most + 1 for n in lists):
        faults.append("no list of signs on page 1")
    return faults + [f"not said: {t}" for t in s.build["emergency"] if not any(s.says(t, p) for p in pages)] + ([] if s.build["emergency"] else ["no signs"])


# ---- X: accessible PDF ----

@point("X1", 2)
def all_tagged(s):
    roots = [n for tree in s.trees for n in tree.children]
    faults = [f"page {i + 1}: text outside tags: {b.strip()[:30]!r}" for i, b in enumerate(s.bare) if b.strip()]
    faults += [f"page {p.number + 1}: {p.untagged} strokes outside tags and artifacts" for p in s.painters if p.untagged]
    faults += ["a root that is no Document"] if any(n.role != "Document" for n in roots) else []
    inside = " ".join(s.furniture)
    lost = [t for _, t in instructions(s)[:3] if t and t in inside]
    return faults + [f"read as furniture: {t}" for t in lost] + ([] if s.marked and s.marked.get("Marked") else ["not marked"])


@point("X2", 2)
def language(s):
    return [] if s.info.get("Language") == s.build["region"] else [f"says {s.info.get('Language')}"]


@point("X3", 2)
def title(s):
    faults = [] if s.info.get("Title") and s.xmp and s.xmp.get("dc:title") == s.info["Title"] else ["no title, or two"]
    return faults + ([] if s.viewer and s.viewer.get("DisplayDocTitle") else ["the title is not shown"])


@point("X4", 3)
def alternatives(s):
    faults = ["a figure without words"] if any(not f["alt"].strip() for f in s.figures) else []
    if not s.figures:
        faults.append("no figures")
    marks = {clean(p.value(n) or "").replace("the line ", "") for p in s.parts() for n in ("mark", "add_mark")} - {""}
    for figure in filled_figures(s):
        if not any(m in clean(figure["alt"]) for m in marks):
            faults.append(f"no value in {figure['alt']!r}")
    return faults


@point("X5", 3)
def order(s):
    """The numbers rise by one, the halves of one number follow each other, and what is done stands behind
    when it is done."""
    numbers = [p.number for p in s.panels]
    faults = [] if sorted(set(numbers)) == list(range(1, len(set(numbers)) + 1)) and numbers == sorted(numbers) and numbers else [f"panels {numbers}"]
    for number in set(numbers):
        halves = [p.half for p in s.panels if p.number == number]
        if halves not in ([""], ["a", "b"]):
            faults.append(f"halves of {number}: {halves}")
    return faults


@point("X6", 1)
def levels(s):
    heads = [int(n.role[1]) for n in s.nodes if re.fullmatch(r"H\d", n.role) and n.text()]
    faults = [] if heads.count(1) == 1 and heads[0] == 1 else [f"headings {heads[:5]}"]
    faults += [f"from H{a} to H{b}" for a, b in zip(heads, heads[1:]) if b > a + 1]
    faults += [f"L holds {c.role}" for n in s.roles("L") for c in n.children if c.role and c.role != "LI"]
    faults += [f"LI holds {c.role}" for n in s.roles("LI") for c in n.children if c.role and c.role not in ("Lbl", "LBody")]
    faults += ["a head of a table without its scope" for head in s.heads if "/Scope" not in head]
    faults += [f"TR holds {c.role}" for n in s.roles("TR") for c in n.children if c.role and c.role not in ("TH", "TD")]
    faults += [f"a P within a {n.role}" for n in s.roles("P") for c in n.children if c.role in ("P", "L", "LI")]
    return sorted(set(faults))


@point("X7", 2)
def fonts(s):
    rows = output("pdffonts", s.path).split("\n")[2:-1]
    faults = [row for row in rows if re.findall(r"\b(yes|no)\b", row)[:3] != ["yes", "yes", "yes"]]
    return faults + (["a letter without a meaning"] if "\ufffd" in s.raw else []) + ([] if rows else ["no fonts"])


@point("X8", 2)
def round_trip(s):
    """Both readers give back the words of the text twin."""
    if s.language == "ar":
        needed = numerals(s.twin)
        return [f"not read: {n}" for n in sorted(needed - numerals(s.text))][:5]
    read = [squeezed(" ".join(s.flowing)), squeezed(" ".join([n.own for n in s.nodes] + s.furniture))]
    faults = []
    for line in s.twin.split("\n"):
        if line.strip().startswith("("): # what a picture shows is read as its alternative text
            continue
        words = re.sub(r"^\s*(?:- |\* |\[ \] *|_{3,} *|[A-Z]  )?", "", line)
        for piece in re.split(r"\s{2,}|_{3,}|\[ \]", words):
            number = re.fullmatch(r"(\d+)[ab]", piece.strip())
            piece = squeezed(number[1] if number else piece)
            for reader, text in zip(("poppler", "pdf.js"), read):
                if piece and piece not in text:
                    faults.append(f"{reader} lacks {piece[:60]!r}")
    return faults[:6]


@point("X9", 1, needs=lambda s: s.language in ("en", "es", "fr"))
def no_hidden_text(s):
    """Scripts that are shaped (Arabic) need such marks; Latin text does not."""
    return ["ActualText in the content"] if s.actual_text else []


@point("X10", 1)
def links(s):
    faults = ["a page without tab order"] if any(t != "/S" for t in s.tabs) else []
    return faults + (["a link without a name"] if not s.link_names or any(not n for n in s.link_names) else [])


@point("X11", 1)
def sound(s):
    done = subprocess.run(["qpdf", "--check", s.path], capture_output=True)
    faults = ["qpdf finds a fault"] if done.returncode else []
    return faults + (["encrypted"] if s.encrypted else []) + (["a script"] if s.scripts else []) + \
        ([] if "1.4" <= s.version <= "1.7" else [f"version {s.version}"])


@point("X12", 1, needs=in_order)
def outline(s):
    """A bookmark for each heading that opens a section or a band, in the words of the heading."""
    heads = [squeezed(n.text()) for n in s.nodes if n.role in ("H1", "H2", "H3") and n.text()]
    faults = [f"in the outline only: {t}" for t in s.outline if squeezed(t) not in heads] + ([] if s.twin else ["no text twin"])
    bands = [n.text() for n in s.nodes if n.role in ("H2", "H3") and re.match(r"\D{0,12}\d{1,2}(?::\d\d| [ap]m)", n.text())]
    bands += [n.text() for n in s.nodes if re.fullmatch(r"H\d", n.role) and (says(s, n.text(), "heading_after_page") or says(s, n.text(), "heading_days_page"))]
    listed = [squeezed(t) for t in s.outline]
    return faults + [f"no bookmark for {b}" for b in bands if squeezed(b) not in listed] + ([] if listed and bands else ["no bookmarks"])


# ---- G: languages ----

@point("G1", 3)
def reviewed(s):
    faults = [] if s.build["reviewer"] or s.says(s.build["phrases"]["draft_mark"]) or s.language == "ar" and s.build["draft"] else ["unreviewed, and no draft"]
    if s.language != ENGLISH:
        text = " ".join(s.flowing)
        faults += [f"English: {t}" for t in s.build["english"] if len(t.split()) >= 4 and "{" not in t and flat(t) in text
                   and t not in s.build["phrases"].values()]
    return faults


@point("G2", 3)
def western_digits(s):
    return sorted({c for c in s.text if c.isdigit() and not c.isascii()})


@point("G3", 3, each=True)
def gregorian(s):
    year = local_time(s)[1].year
    return [] if str(year) in s.flowing[0] else [f"{year} is not on page 1"]


@point("G4", 3)
def false_friends(s):
    pairs_of = FALSE_FRIENDS.get(s.language, [])
    return [w for w in pairs_of if re.search(rf"\b{w}\b", s.text, re.I)]


@point("G5", 2)
def same_numbers(s):
    """Panels, halves and no more pictures than in the English sheet of the same plan; on its pages, each
    panel of each number."""
    found = [(p.number, p.half) for p in s.panels]
    wanted = [(number, half) for number, half, _ in s.build["numbering"]]
    return [] if found == wanted else [f"panels {found}, in English {wanted}"]


@point("G6", 2, needs=lambda s: s.language == "ar")
def from_the_right(s):
    """Each panel's number stands at the right of its words, its line points left, and no syringe is mirrored."""
    faults = []
    for panel in s.panels:
        if panel.rail and not panel.rail.arrow:
            faults.append(f"the line over panel {panel.name()} does not point left")
        beside = [l for l in s.lines if l["page"] == panel.page and panel.base and panel.base - 3 < l["base"] < panel.base + 12
                  and l["left"] > panel.left + 12 and l["left"] < panel.left + 30]
        if beside and all(p.left < panel.left for p in s.panels if p is not panel and p.rail is panel.rail):
            faults.append(f"words at the right of number {panel.name()}")
    for figure in filled_figures(s):
        marks = barrel_ticks(s.in_figure(figure))
        needle = [p for p in s.in_figure(figure) if p.fill == (0, 0, 0) and p.wide() > 8 and p.tall() < 2]
        if needle and needle[0].left > marks[0].left:
            faults.append("the syringe is mirrored")
    return faults + ([] if s.panels else ["no panels"])


@point("G7", 2)
def letters_there(s):
    faults = ["a letter is missing"] if "\ufffd" in s.text else []
    if s.language == "ar":
        sizes_of = [size for line in s.lines for size, name, _ in line["sizes"] if "Arabic" in name]
        faults += [] if sizes_of and max(set(sizes_of), key=sizes_of.count) >= 16.5 else ["Arabic letters are small"] # x-height as of 12.3 pt Andika
    return faults


@point("G8", 1)
def languages_there(s):
    there = set(s.build["languages"])
    return [] if {"en", "es", "fr", "ar", "zh-Hans"} <= there else [f"only {sorted(there)}"]


# ---- V: provenance ----

def banners(s):
    """Lines on a black ground across the block, above all else."""
    grounds = [p for p in s.paths if p.fill == (0, 0, 0) and p.wide() > 184 and 6 < p.tall() < 9 and not p.curved]
    return [l for l in s.lines if any(p.page == l["page"] and p.top < l["base"] < p.bottom for p in grounds)]


def banner_missing(s):
    """A draft and an invented clinic say so on each page, 18 pt and bold, white on black.  Arabic is read in
    the order of the eye, and its stops and spaces are of a smaller size."""
    size_of = max if s.language == "ar" else min
    seen = [line["page"] for line in banners(s)
            if (s.language == "ar" or squeezed(line["text"]) == squeezed(s.banner()))
            and size_of(size for size, _, _ in line["sizes"]) >= 17.9 and all("bold" in name.lower() for _, name, _ in line["sizes"])]
    return [f"page {n + 1} does not say that it is not for use" for n in range(len(s.boxes)) if s.banner() and n not in seen]


@point("V1", 3)
def who_on_each_page(s):
    faults, medicines = banner_missing(s), [clean(part.value("medicine")).split(" ")[0] for part in s.parts()]
    for number, page in enumerate(s.layout, 1):
        for name in ("person_code", "person_name", "order_number"):
            if clean(s.value(name)) not in page:
                faults.append(f"page {number} lacks {name}")
        mine = [m for part, m in zip(s.parts(), medicines) if not part.mark or number - 1 in part.pages]
        for medicine in mine or medicines:
            if medicine not in page:
                faults.append(f"page {number} lacks {medicine}")
    return faults


@point("V2", 3, each=True)
def validity(s):
    """Not to be used after a time whose date is printed; the sheet that it replaces."""
    text = " ".join(s.flowing)
    faults = []
    if s.language == ENGLISH:
        zone = zoneinfo.ZoneInfo(s.value("person_zone"))
        last = datetime.datetime.fromisoformat(s.value("latest", "instant")).astimezone(zone)
        last += datetime.timedelta(days=s.build["days"] - 1)
        date = whole(s, last)[0].rsplit(", ", 1)[0]
        ends = [m.group(0) for m in re.finditer(r"After [^.?!]{0,60}? do not inject|only until its time on page \d+, [^.?!]{0,90}", text)]
        faults += [] if any(date in end for end in ends) else [f"no end of {date}: {ends[-1:]}"]
        if s.build["days"] == 1 and not s.mark and not any(clock_of(s, "latest") in end for end in ends):
            faults.append("the end has no clock time")
        if s.value("replaces_number") and not re.search(rf"replaces .*\b{s.value('replaces_number')}\b", text, re.I):
            faults.append("it does not say which sheet it replaces")
    until = datetime.datetime.strptime(re.sub(r"^\w+ ", "", s.value("valid_until")), "%Y-%m-%d %H:%M")
    return faults + ([] if until > local_time(s)[1] else ["valid until before the injection"])


@point("V3", 2)
def made(s):
    """Sheet, order and spoken code in each foot; how it was made once, on the last page."""
    faults = [f"page {i} lacks {w}" for i, page in enumerate(s.furniture, 1) for w in
              (s.value(n) for n in ("sheet_number", "order_number", "check_code")) if squeezed(w) not in squeezed(page)]
    for name in ("revision", "source_digest", "program_version", "prepared_by"):
        if squeezed(s.value(name)) not in squeezed(s.layout[-1]) and (s.language != "ar" or s.value(name)[:7] not in s.layout[-1]):
            faults.append(f"the last page lacks {name}")
    text = squeezed(" ".join(s.layout))
    for name in ("source_digest", "program_version"):
        if text.count(squeezed(s.value(name))) > 1:
            faults.append(f"{name} stands {text.count(squeezed(s.value(name)))} times")
    _, day = s.value("made_at").split(" ")[:2]
    made_on = datetime.date.fromisoformat(day)
    if s.language == ENGLISH and not any((d, m, y) == (made_on.day, made_on.month, made_on.year) for _, _, d, m, y in dates(s.text)):
        faults.append("the day on which it was made is not printed")
    return faults


@point("V4", 2)
def same_bytes(s):
    return [] if s.build["again"] == hashlib.sha256(open(s.path, "rb").read()).hexdigest() else ["a second printing differs"]


@point("V5", 2)
def checked_by(s):
    """A place for the name and the time of a second person, on the last page."""
    last = len(s.layout) - 1
    words = s.says(s.build["phrases"]["sign_nurse"], -1)
    boxes = [b for b in writing_beside(s, "sign_nurse", 40, 6) if b.page == last]
    return [] if words and boxes else ["no place for a second person"]


@point("V6", 2)
def spoken_code(s):
    letters = "ACDEFHJKMNPRTUVWXY34679"
    identity = re.search(r"identity: (.*)", s.info["Custom"]["DosewrightRecord"]).group(1)
    def code(text):
        return "".join(letters[b % len(letters)] for b in hashlib.sha256(text.encode()).digest()[:5])
    faults = [] if code(identity) == s.value("check_code") else [f"{code(identity)} for {identity}"]
    parts = identity.split("|")
    others = {code("|".join(parts[:i] + [parts[i] + "1"] + parts[i + 1:])) for i in range(len(parts))}
    faults += ["a field that the code does not hang on"] if s.value("check_code") in others or len(others) < len(parts) else []
    named = [w for part in s.parts() for w in ("volume", "mark", "dial", "syringe", "pen", "drawing_needle", "injecting_needle", "site", "route", "injection_time",
                         "earliest", "latest", "phone_night", "phone_day", "phone_emergency", "revision", "add", "medicine")
             if part.value(w) and part.value(w) not in parts]
    faults += [f"the code does not hang on {named}"] if named else []
    faults += ["another person"] if parts[0] != s.value("person_code") or clean(parts[3]) != dose(s) else []
    return faults + ([] if all(s.value("check_code") in page for page in s.layout) else ["not on every page"])


@point("V7", 1)
def modest(s):
    text = " ".join(s.flowing)
    faults = [w for w in DENIED["agency"] if re.search(rf"\b{w}\b", text, re.I)]
    return faults + ([] if any(says(s, text, n) for n in ("leaflet_other", "leaflet_same")) else ["the leaflet is not named"])


assert EMERGENCY and os.path.isdir("tests/score")
