"""The points that a program decides, each on one finished sheet.  A check returns what
is wrong; nothing means the point holds.  Sources stand beside the points in words.py."""
import datetime
import hashlib
import json
import os
import re
import subprocess
import zoneinfo

from sheet import clean, flat, output
from words import (DENIED, EMERGENCY, FALSE_FRIENDS, MONTHS, NUMBER_WORDS, PASSIVE_FREE, SYNONYMS, VERBS, WEEKDAYS)

POINTS = {}
ENGLISH = "en"


def point(name, weight, english=False, needs=None):
    """english: decided on English words only; needs: a test of the sheet that says whether
    the point applies to it.  Words of Arabic sheets are read in the text twin, since the
    readers give joined letters back out of order; what is decided on the structure's words
    is not decided for them."""
    def keep(function):
        POINTS[name] = (weight, function, english, needs)
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


def dose(s):
    return clean(s.value("dose"))


def lead(s):
    """The paragraphs before the first figure of page one."""
    texts = []
    for node in s.trees[0].walk():
        if node.role == "Figure":
            break
        if node.role == "P":
            texts.append(node.text())
    return texts


def step_texts(s):
    return [(number, " ".join(child.text() for child in node.walk() if child.role == "P")) for number, node in s.steps()]


def sentences(s):
    """What is read: sentences of steps, paragraphs and list items, without the furniture."""
    found = []
    for node in s.nodes:
        if node.role in ("P", "LBody", "H1", "H2", "H3") and not any(c.role == "P" for c in node.walk() if c is not node):
            text = re.sub(r" ?\bFigure [A-Z]\b", "", node.text())
            found += [part for part in re.split(r"(?<=[.?!:])\s+", text) if re.search("[A-Za-z]{2}", part)]
    return found


def bare(s, text):
    """Without numbers, units, names and telephone numbers (sheet's own rule for W3)."""
    for name in ("medicine", "person_name", "clinic_name", "prepared_by", "box_name", "diluent"):
        text = text.replace(clean(s.value(name) or "\0"), "it")
    text = re.sub(r"\b\d[\d.,:/-]*\b ?(?:mL|units|G|in|mg|mcg|am|pm|degrees)?", "", text)
    return re.sub(r"\(\s*\)|[×/]", "", text)


def figure_word(s):
    """How a step of this language points at its figure."""
    return re.escape(s.build["phrases"]["see_figure"].strip()).replace(r"\{letter\}", r"([A-Z])").replace(r"\ ", r"\s*")


def figure_letters(s):
    found = (re.search(r"(?<!\w)([A-Z])(?!\w)", n.text()) for n in s.roles("Caption"))
    return [match.group(1) for match in found if match]


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
        if len(barrel_ticks(s.in_figure(figure))) >= 10:
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

@point("W1", 3)
def one_main_message(s):
    texts = lead(s)
    faults = [] if texts and dose(s).split(" ")[0] in texts[0] and clean(s.value("medicine")) in texts[0] else ["no dose first"]
    if s.language == ENGLISH:
        joined = " ".join(texts)
        found = [date[0] for date in dates(joined)]
        if len(found) != 1 or not any(form in joined for form in whole(s, local_time(s)[1])):
            faults.append(f"dates in the lead: {found}")
    return faults


@point("W2", 2)
def most_visible(s):
    sizes = [(size, line["text"]) for line in s.lines if line["page"] == 0 for size, _, _ in line["sizes"]]
    largest, text = max(sizes)
    wanted = re.sub(r"\D", "", clock(s))
    holds = re.sub(r"\D", "", text) == wanted
    return [] if holds and largest >= 1.5 * s.body_size() else [f"{largest} pt says {text!r}"]


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
def one_action(s):
    faults = []
    for number, text in step_texts(s):
        first = re.match(r"\w+", text)
        if not first or first.group(0) not in VERBS:
            faults.append(f"step {number} starts with {first.group(0) if first else text!r}")
        second = re.search(r"(?:\band\b|\bthen\b|;) (\w+)", text)
        if second and second.group(1).capitalize() in VERBS:
            faults.append(f"step {number}: {text}")
    return faults


@point("W6", 2, english=True)
def active_voice(s):
    text = "\n".join(text for _, text in step_texts(s))
    said = subprocess.run(["style", "-p"], input=text, capture_output=True, text=True).stdout
    return [line for line in said.split("\n") if line.startswith("(stdin)") and not any(w in line for w in PASSIVE_FREE)]


@point("W7", 2, english=True)
def everyday_words(s):
    return [word for word in DENIED["hard"] if re.search(rf"\b{word}", " ".join(s.flowing), re.I)]


@point("W8", 2, english=True)
def one_name_for_one_thing(s):
    text = " ".join(sentences(s))
    for name in ("medicine", "box_name", "diluent"):
        text = text.replace(clean(s.value(name) or "\0"), "")
    return [f"{word} for {name}" for name, words in SYNONYMS.items() for word in words if re.search(rf"\b{word}\b", text, re.I)]


@point("W9", 2, english=True)
def warning_first(s):
    order = [node.text() for node in s.nodes if node.role in ("P", "H2")]
    faults = []
    looked = r"Turn the powder vial over" if s.build["way"] == "powder" else r"Turn the vial over|Look at the liquid"
    for warning, guarded in (("See bits", looked),
                             ("Less than the line", r"until the rim is on the line")):
        at = [i for i, t in enumerate(order) if t.startswith(warning)]
        last_heading = {i: max(j for j, t in enumerate(order[:i]) if t and j < i) for i in at}
        steps = [i for i, t in enumerate(order) if re.search(guarded, t)]
        if warning == "See bits" and (not at or not steps or at[0] > steps[0]):
            faults.append(f"{warning!r} at {at}, steps at {steps}, {last_heading}")
        if warning != "See bits" and at and not any(i > at[0] for i in steps):
            faults.append(f"{warning!r} after the step it guards")
    return faults


@point("W10", 2, needs=in_order)
def summary(s):
    texts = [n.text() for n in s.nodes if n.role == "P"]
    what = f"{clean(s.value('medicine'))} {dose(s).split(' ')[0]}"
    ends = [i for i, t in enumerate(texts) if t.startswith(what)]
    if not ends:
        return ["no summary"]
    block = " ".join(texts[ends[-1]:ends[-1] + 6])
    faults = [] if ends[-1] > len(texts) / 2 and clean(s.value("phone_night")) in block else ["the summary names no telephone"]
    if s.language == ENGLISH and not any(form in block for form in whole(s, local_time(s)[1])):
        faults.append("the summary has another time")
    return faults


@point("W11", 2, needs=in_order)
def nothing_else(s):
    words = len(re.findall(r"\S+", s.flowing[0]))
    return [] if words <= 350 else [f"{words} words on page 1"]


@point("W12", 1, english=True)
def calm_reason(s):
    text = " ".join(s.flowing)
    faults = [word for word in DENIED["scare"] if re.search(rf"\b{word}\b", text, re.I)]
    return faults + ([] if flat(s.value("why")) in text else ["the reason is not said"])


# ---- T: time ----

@point("T1", 3, english=True)
def whole_time(s):
    faults = [f"digits for a date: {m.group(0)}" for m in re.finditer(r"\b\d{1,2}/\d{1,2}/\d{2,4}\b|\b\d{4}-\d{2}-\d{2}\b", s.text)]
    lines = [line["text"] for line in s.lines]
    forms = whole(s, local_time(s)[1])
    if s.large: # the second clock may stand on the next line
        forms = [form.split(" (")[0] for form in forms]
    found = sum(any(form in line for form in forms) for line in lines)
    return faults + ([] if found >= 3 else [f"stands whole on {found} lines"])


@point("T2", 3)
def weekday_agrees(s):
    weekday, when = local_time(s)
    faults = [] if WEEKDAYS[when.weekday()] == weekday else [f"{weekday} for {when.date()}"]
    for written, named, day, month, year in dates(s.text):
        if WEEKDAYS[datetime.date(year, month, day).weekday()] != named:
            faults.append(written)
    instant = datetime.datetime.fromisoformat(s.value("injection_time", "instant"))
    there = instant.astimezone(zoneinfo.ZoneInfo(s.value("person_zone"))).replace(tzinfo=None)
    return faults + ([] if there == when else [f"{there} in {s.value('person_zone')}"])


@point("T3", 3)
def never_midnight(s):
    _, when = local_time(s)
    faults = ["at midnight"] if (when.hour, when.minute) == (0, 0) else []
    return faults + [m.group(0) for m in re.finditer(r"\b12(?::00)? ?[ap]m\b|\bmidnight\b|\b24:00\b|(?<![\d:])00:00(?!\d)", s.text, re.I)]


def at_night(s):
    hour = local_time(s)[1].hour
    return hour >= 21 or hour < 6


@point("T4", 3, english=True, needs=at_night)
def both_days(s):
    when = local_time(s)[1]
    first = when if when.hour >= 21 else when - datetime.timedelta(days=1)
    days = WEEKDAYS[first.weekday()], WEEKDAYS[(first.weekday() + 1) % 7]
    return [] if any(re.search(rf"{days[0]} night,? (?:going )?into {days[1]}", t) for t in lead(s)) else ["only one day is named"]


@point("T5", 2, english=True, needs=lambda s: local_time(s)[1].hour < 6)
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


@point("T7", 2)
def night_strip(s):
    paths = s.in_figure(s.figures[0])
    bars = [p for p in paths if p.stroke and p.wide() > 100 and 2 < p.tall() < 8]
    dots = [p for p in paths if p.curved and p.fill == (0, 0, 0) and p.wide() < 8]
    if not bars or not dots:
        return [f"{len(bars)} bars, {len(dots)} dots"]
    when = local_time(s)[1]
    start = 18 * 60 if when.hour >= 18 or when.hour < 6 else 6 * 60
    share = ((when.hour * 60 + when.minute - start) % 1440) / 720
    bar = bars[0]
    share = 1 - share if s.language == "ar" else share  # time runs as the language is read
    wanted, centre = bar.left + share * bar.wide(), (dots[-1].left + dots[-1].right) / 2
    return [] if abs(centre - wanted) <= 0.5 else [f"the dot stands {centre - wanted:.2f} mm off"]


def elapsed_kind(s):
    return "anchor" in (s.value("injection_time", "how") or "") or "before" in (s.value("injection_time", "how") or "")


@point("T8", 3, needs=elapsed_kind)
def true_hours(s):
    a, b = (datetime.datetime.fromisoformat(s.value(name, "instant")) for name in ("injection_time", "anchor_time"))
    faults = [] if (b - a).total_seconds() / 60 == ratio(s.value("to_anchor", "number")) else [f"{b - a}"]
    zone = zoneinfo.ZoneInfo(s.value("person_zone"))
    changes = a.astimezone(zone).utcoffset() != b.astimezone(zone).utcoffset()
    if s.language == ENGLISH and changes != ("The clocks change on" in " ".join(s.flowing)):
        faults.append("a change of the clocks is not told" if changes else "a change that there is not")
    hours = ratio(s.value("to_anchor", "number")) / 60
    if s.language == ENGLISH and f"{int(hours)} hour" not in " ".join(s.flowing):
        faults.append("the hours are not printed")
    return faults


@point("T9", 3)
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


@point("T11", 2)
def ladder(s):
    moments = [datetime.datetime.fromisoformat(s.value(name, "instant")) for name in
               ("check_kit", "set_alarms", "start", "sit", "injection_time") if s.value(name)]
    faults = [] if moments == sorted(moments) else ["not in order"]
    shown = [flat(n.text()) for n in s.nodes if n.role == "Lbl" and not re.fullmatch(r"\d+", n.text())]
    if s.language == ENGLISH:
        minutes = [to_minutes(t) for t in shown if re.fullmatch(r"\d{1,2}(:\d\d)?( [ap]m)?|noon", t)]
        wanted = local_time(s)[1].hour * 60 + local_time(s)[1].minute
        if len(minutes) < 4 or minutes[-1] != wanted:
            faults.append(f"rungs {shown}")
        start = datetime.datetime.fromisoformat(s.value("start", "instant")).astimezone(zoneinfo.ZoneInfo(s.value("person_zone")))
        if start.hour * 60 + start.minute not in minutes:
            faults.append("the start is not a rung")
    return faults


@point("T12", 3, english=True)
def window(s):
    exact = s.value("window_before", "number") == "0" and s.value("window_after", "number") == "0"
    wanted = "Inject exactly at this minute" if exact else r"Inject only between .* and .*\."
    return [] if re.search(wanted, s.flowing[0]) else ["page 1 is silent about the window"]


@point("T13", 2, english=True)
def no_bare_tonight(s):
    return [line["text"] for line in s.lines if re.search(r"\b(?:tonight|tomorrow|today|this evening)\b", line["text"], re.I)
            and not list(dates(line["text"]))]


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
    number = dose(s).split(" ")[0]
    return faults + ([] if number in s.text else [f"{number} is not there"])


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
    return [f"step {n}: {t}" for n, t in step_texts(s) if re.search(r"[×÷=]|\b(?:half|divide|times|per)\b", t)]


@point("N8", 3)
def unit_of_the_syringe(s):
    if not has_syringe(s): # the window shows a bare number, and so does each step about it
        said = [t for _, t in step_texts(s) if "window shows" in t]
        return [t for t in said if re.search(r"shows [\d,.]+ (units|m)", t)] + ([] if said or s.language != ENGLISH else ["no window"])
    u100 = syringe(s)["marks"].startswith("U-100")
    filling = [t for _, t in step_texts(s) if re.search(r"\d", t) and ("line" in t or not s.language == ENGLISH)]
    if s.language != ENGLISH:
        return []
    return [t for t in filling if bool(re.search(r"line \d[\d.]* mL", t)) == u100 and re.search(r"line \d", t)]


@point("N9", 3, needs=lambda s: s.build["way"] != "prefilled" or not s.build["whole"])
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
    allowed = numerals(json.dumps(s.plan)) | numerals(s.twin) | {str(n) for n in range(1, 1 + max(len(s.layout), len(s.steps())))}
    if has_syringe(s):
        u100 = syringe(s)["marks"].startswith("U-100")
        every, capacity = ratio(syringe(s)["number_every"]), ratio(syringe(s)["capacity"])
        allowed |= {f"{i * every * (100 if u100 else 1):g}" for i in range(round(capacity / every) + 1)}
    for hour in range(0, 24, 2):
        allowed |= {str(hour % 12 or 12), f"{hour:02}:00"}
    printed = numerals(s.text)
    lost = {dose(s).split(" ")[0], str(local_time(s)[1].year)} - printed
    return [f"from nowhere: {n}" for n in sorted(printed - allowed)] + [f"not printed: {n}" for n in lost]


def numerals(text):
    return set(re.findall(r"\d+(?:[.,:]\d+)*", clean(text)))


# ---- L: layout and type ----

@point("L1", 2)
def sizes(s):
    from fontTools.ttLib import TTFont
    font = TTFont("/usr/share/fonts/truetype/andika/Andika-Regular.ttf")
    x_height = font["OS/2"].sxHeight / font["head"].unitsPerEm * s.body_size() * 25.4 / 72
    faults = [] if x_height >= 2.5 else [f"x-height {x_height:.2f} mm"]
    inside = [(f["page"], box(s.in_figure(f))) for f in s.figures if s.in_figure(f)]
    for line in s.lines:
        low = min(size for size, _, _ in line["sizes"])
        furniture = line["top"] < 25 or line["bottom"] > s.boxes[0][3] - 26
        drawn = any(page == line["page"] and b[0] - 2 <= line["left"] <= b[1] + 2 and b[2] - 6 <= line["top"] <= b[3] + 6
                    for page, b in inside)
        least = 9.9 if furniture else 7.9 if drawn else 11.9
        if low < least:
            faults.append(f"{low:.1f} pt: {line['text'][:40]!r}")
    return faults


def box(paths):
    return (min(p.left for p in paths), max(p.right for p in paths), min(p.top for p in paths), max(p.bottom for p in paths))


@point("L2", 2, needs=lambda s: s.large)
def large_print(s):
    faults = [] if s.body_size() >= 17.9 else [f"body {s.body_size()} pt"]
    headings = {n.text() for n in s.roles("H1", "H2", "H3") if n.text()}
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
    return [f"line pitch {p:.2f} em" for p in pitches if not low - 0.01 <= p <= high + 0.01][:3] or \
        ([] if pitches else ["no paragraph of two lines"])


@point("L4", 1)
def line_length(s):
    longest = 40 if s.language.startswith("zh") else 70
    faults = []
    for line in s.lines:
        text = re.sub(r"^\d+\s+", "", line["text"].strip()) # the number of a step is not read with its line
        skipped = len(line["text"].strip()) - len(text)
        wide = line["right"] - (line["chars"][skipped][1] if skipped < len(line["chars"]) else line["left"])
        letters = sum(1 if c > "\u2e80" or not longest == 40 else 0.5 for c in text) # a Latin letter is half as wide
        if 25 <= line["top"] and line["bottom"] < s.boxes[0][3] - 26 and abs(line["sizes"][0][0] - s.body_size()) < 0.2 \
                and (letters > longest or wide > 154.5):
            faults.append(f"{letters:.0f} letters, {wide:.0f} mm: {text[:50]!r}")
    return faults


@point("L5", 1)
def ragged(s):
    faults = ["a soft hyphen"] if "\u00ad" in s.raw else []
    words = set(re.findall(r"\w+-$", s.text, re.M))
    return faults + [f"broken with a hyphen: {w}" for w in words if w not in s.twin]


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
    faults = []
    for painter in s.painters:
        for fill, in_artifact in painter.fills_of_text:
            if in_artifact and s.build["draft"] and fill[0] > 0.8:
                continue # the mark across a draft is meant to be seen through
            luminance = sum(w * (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4)
                            for w, c in zip((0.2126, 0.7152, 0.0722), fill))
            if 1.0 / (luminance + 0.05) < 7 * 0.9 and 1.05 / (luminance + 0.05) < 7:
                faults.append(f"text in {fill}")
            elif min(1.05, 0.95 + 0.05) / (luminance + 0.05) < 7:
                faults.append(f"text in {fill}")
    return sorted(set(faults))


@point("L9", 3, needs=lambda s: s.value("drawing_needle_hub") and s.value("injecting_needle_hub"))
def not_by_colour_alone(s):
    """Hubs differ in lightness or are told apart by words beside them: both must stand there."""
    if s.language != ENGLISH:
        return []
    words = [f"{s.value(k + '_hub')}, {clean(s.value(k)).split(' x ')[0]}" for k in ("drawing_needle", "injecting_needle")]
    text = " ".join(s.flowing)
    return [f"nowhere in words: {w}" for w in words if w not in text]


@point("L10", 2)
def short_lists(s):
    counts = {}
    for node in s.roles("L"):
        items = [c for c in node.children if c.role == "LI"]
        counts[id(node)] = len(items)
    return [f"{count} items in one list" for count in counts.values() if count > 7]


@point("L11", 2, english=True)
def headings_are_tasks(s):
    return [n.text() for n in s.roles("H2") if n.text() and n.text().split(" ")[0] not in VERBS
            and n.text() != "Before you leave the clinic" and not n.text().startswith(("Call", *WEEKDAYS))]


@point("L12", 3)
def kept_together(s):
    faults = []
    for figure in s.figures:
        if figure["page"] is None:
            faults.append(f"a figure without a page: {figure['alt']}")
    for number, node in s.steps():
        figures = [n for n in node.walk() if n.role == "Figure"]
        letters = re.findall(figure_word(s), node.text())
        if letters and not figures:
            faults.append(f"step {number} names figure {letters[0]}, which is not with it")
    first = s.flowing[0]
    if clean(s.value("phone_night")) not in first or re.sub(r"\D", "", clock(s)) not in re.sub(r"[^\d ]", "", first).replace(" ", ""):
        faults.append("page 1 lacks the telephone or the time")
    return faults


@point("L13", 2)
def paper(s):
    wide, tall = (215.9, 279.4) if s.paper == "Letter" else (210, 297)
    faults = [f"page {i + 1} is {b[2]:.1f} x {b[3]:.1f} mm" for i, b in enumerate(s.boxes) if abs(b[2] - wide) > 0.3 or abs(b[3] - tall) > 0.3]
    for line in s.lines:
        if line["left"] < 24.4 or line["right"] > wide - 24.4: # a trailing space may stand out
            if not s.build["draft"]:
                faults.append(f"in the margin: {line['text'][:30]!r} {line['left']:.1f}..{line['right']:.1f}")
    for number, page in enumerate(s.furniture, 1):
        if s.language != "ar" and not re.search(rf"(?<!\d){number}(?!\d)\D+(?<!\d){len(s.furniture)}(?!\d)", page):
            faults.append(f"page {number} does not say its number")
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
        frames = [p for p in s.in_figure(figure) if p.stroke and p.curved and 8 < p.wide() < 40 and 5 < p.tall() < 14]
        for line in s.lines:
            around = [frame for frame in frames if line["page"] == figure["page"] and frame.left < line["left"] and
                      line["right"] < frame.right and frame.top < line["base"] < frame.bottom]
            if around:
                found.append((line, min(around, key=lambda frame: frame.wide())))
    return found


@point("P1", 3, needs=measures)
def drawn_volume(s):
    if not has_syringe(s):
        shown = [line["text"].strip() for line, _ in windows(s)]
        drop = s.build["pen"]["flow_check"].split(" ")[0]
        wanted = [drop, setting(s), drop] # the drop, the dose, and what is left when it is not pressed home
        return [] if shown == wanted else [f"the windows show {shown}"]
    figures = filled_figures(s)
    return [] if len(figures) >= 2 or (figures and s.build["way"] != "powder") else [f"{len(figures)} syringes drawn"]


@point("P2", 3, needs=measured_by_syringe)
def rim(s):
    """The rim's stroke stands at the volume on the scale that is drawn, within 0.1 mm."""
    faults = []
    volumes = [ratio(s.value(n, "number")) for n in ("volume", "add") if s.value(n, "number")]
    for figure in filled_figures(s):
        paths = s.in_figure(figure)
        marks = barrel_ticks(paths)
        zero, last = marks[0].left, marks[-1].left
        scale = (last - zero) / ratio(syringe(s)["capacity"])
        pointer = [p for p in ticks_long(paths)]
        if not pointer:
            faults.append(f"no rim line in {figure['alt']!r}")
        elif min(abs(pointer[0].left - (zero + v * scale)) for v in volumes) > 0.1:
            faults.append(f"the rim stands at {(pointer[0].left - zero) / scale:.3f} mL in {figure['alt']!r}")
    return faults


def ticks_long(paths):
    """The pointer line: the one upright stroke that is as strong as what is pointed at."""
    return [p for p in paths if p.stroke and p.width > 0.6 and p.wide() < 0.01 and p.tall() > 8]


@point("P3", 3, needs=measured_by_syringe)
def all_marks(s):
    faults = []
    every, capacity = ratio(syringe(s)["mark_every"]), ratio(syringe(s)["capacity"])
    wanted = round(capacity / every) + 1
    for figure in filled_figures(s):
        marks = barrel_ticks(s.in_figure(figure))
        if len(marks) != wanted:
            faults.append(f"{len(marks)} marks, the syringe has {wanted}: {figure['alt']!r}")
            continue
        step = (marks[-1].left - marks[0].left) / (wanted - 1)
        off = max(abs(m.left - (marks[0].left + i * step)) for i, m in enumerate(marks))
        if off > 0.1:
            faults.append(f"a mark is {off:.2f} mm off")
    return faults


@point("P4", 2, needs=measured_by_syringe)
def life_size(s):
    faults = [] if s.viewer and s.viewer.get("PrintScaling") == "None" else ["no word against scaling"]
    if not rectangles(s, 85.60, 53.98, 0.2):
        faults.append("no outline of a bank card of 85.60 x 53.98 mm")
    if not [p for p in s.paths if abs(p.wide() - 50) <= 0.2 and p.tall() < 5]:
        faults.append("no bar of 50 mm")
    both = s.value("injecting_needle") and s.value("drawing_needle")
    for name in ("drawing_needle", "injecting_needle") if both else ():
        length = ratio(clean(s.value(name)).split(" x ")[1])
        mm = length * 25.4 if s.value(name).rstrip().endswith("in") else length
        if not [p for p in s.paths if abs(p.wide() - mm) <= 0.2 and p.tall() < 3]:
            faults.append(f"no line of {mm:.1f} mm for the {name}")
    for figure in filled_figures(s):
        marks, scale = barrel_ticks(s.in_figure(figure)), ratio(syringe(s)["scale_length"])
        if abs(marks[-1].left - marks[0].left - scale) > 0.2:
            faults.append(f"a scale of {marks[-1].left - marks[0].left:.2f} mm for {scale:g}")
    return faults


@point("P5", 2, needs=in_order)
def lettered(s):
    letters = figure_letters(s)
    named = re.findall(figure_word(s), " ".join(t for _, t in step_texts(s)))
    faults = [] if letters == sorted(letters) and letters else [f"letters {letters}"]
    return faults + [f"figure {x} is named {named.count(x)} times" for x in letters if named.count(x) != 1]


@point("P6", 2)
def uncluttered(s):
    return [f"{len(s.in_figure(f))} paths: {f['alt'][:40]}" for f in s.figures if len(s.in_figure(f)) > 160]


@point("P7", 3)
def kit_counts(s):
    """As many glyphs as things: a figure of n things is painted with n times the strokes of
    one, so the number of its paths is a multiple of n."""
    faults = []
    for item in s.build["kit"]:
        alts = [f for f in s.figures if re.match(rf"{item['shown']}\b", clean(f["alt"])) or str(item["shown"]) in clean(f["alt"])]
        if not alts:
            faults.append(f"no picture of {item}")
    for figure in s.figures:
        count = re.match(r"(\d+) ", clean(figure["alt"]))
        if count and 2 <= int(count[1]) <= 10 and len(s.in_figure(figure)) % int(count[1]):
            faults.append(f"{len(s.in_figure(figure))} paths for {figure['alt']!r}")
    return faults


@point("P8", 3, english=True, needs=lambda s: s.value("injecting_needle") and s.value("drawing_needle"))
def needles_told_apart(s):
    faults, text = [], " ".join(s.flowing)
    for name, job in (("drawing_needle", "only to fill"), ("injecting_needle", "only to inject")):
        gauge, length = (clean(t) for t in clean(s.value(name)).split(" x "))
        wanted = f"{s.value(name + '_hub')}, {gauge}, {length}: {job}"
        if wanted not in text:
            faults.append(f"not said: {wanted}")
    return faults


@point("P9", 1)
def own_drawings(s):
    """All drawings are paths of our own: no picture is embedded."""
    images = output("pdfimages", "-list", s.path).strip().split("\n")[2:]
    return [f"an embedded picture: {line}" for line in images if " image " in line or " smask " in line]


@point("P10", 2, english=True)
def pairs(s):
    text = " ".join(s.flowing)
    ampoule = "tip_in_vial" not in s.plan["injection"]["steps"] # an open ampoule needs no word about air
    wanted = 3 if s.build["way"] == "powder" else 1 if s.build["way"] in ("prefilled", "pen") or ampoule else 2
    good, bad = len(re.findall(r"(?<!Not )\bLike this", text)), text.count("Not like this")
    return [] if good == bad >= wanted else [f"{good} and {bad} of {wanted} pairs"]


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
    texts = [n.text() for n in s.nodes if n.role == "P"]
    mine = [t for t in texts if clean(s.value("person_name")) in t and clean(s.value("check_code")) in t]
    blanks = rectangles_of_writing(s)
    return ([] if mine else ["no words for the telephone"]) + ([] if len(blanks) >= 4 else [f"{len(blanks)} places to write"])


def rectangles_of_writing(s):
    return [p for p in s.paths if p.stroke and not p.fill and p.wide() >= 60 and 12 <= p.tall() <= 30]


SLIPS = {"powder": ["slip_liquid_only", "slip_powder"], "all": ["slip_spilled", "slip_leak"],
         "pen": ["slip_no_drop", "slip_dial", "slip_window", "slip_early", "slip_needle_fixed", "slip_leak"]}
MEASURED = {"powder": "slip_volume", "ready": "slip_volume", "prefilled": "slip_more_filled"}


@point("A4", 3)
def slips(s):
    wanted = SLIPS["all"] + (SLIPS["powder"] if s.build["way"] == "powder" else [])
    if s.build["way"] == "pen":
        return [f"missing: {name}" for name in SLIPS["pen"] + (["slip_day"] if s.build["days"] > 1 else []) if not s.says(s.build["phrases"][name])]
    wanted += [MEASURED[s.build["way"]] if not s.build["whole"] else "slip_less" if measures(s) else "slip_less_filled"]
    wanted += ["slip_needle" if s.value("drawing_needle") and s.value("injecting_needle") else "slip_needle_fixed"]
    return [f"missing: {name}" for name in wanted if not s.says(s.build["phrases"][name].split("{")[0])]


@point("A5", 2)
def normal(s):
    return [f"missing: {t}" for t in s.build["normal"] if not s.says(t)] + ([] if s.build["normal"] else ["nothing is said to be normal"])


@point("A6", 2)
def tick_boxes(s):
    boxes = [p for p in s.paths if p.stroke and abs(p.wide() - p.tall()) < 0.1 and 5 <= p.wide() <= 6.5 and not p.curved]
    numbered = len(s.steps())
    return [] if len(boxes) >= numbered > 0 else [f"{len(boxes)} boxes for {numbered} steps"]


@point("A7", 3, needs=in_order)
def pause(s):
    title = flat(s.build["phrases"]["title_checks"])
    at = next((i for i, n in enumerate(s.nodes) if n.role == "P" and n.text() == title), None)
    if at is None:
        return ["no pause"]
    behind = s.nodes[at:]
    checks = [c.text() for c in next(n for n in behind if n.role == "L").children]
    faults = [] if 4 <= len(checks) <= 5 else [f"{len(checks)} checks"]
    faults += [] if clean(s.value("medicine")) in " ".join(checks) else ["the name is not checked"]
    inject = flat(s.build["phrases"]["step_push_plunger" if has_syringe(s) else "step_press_button"])
    joined = re.sub(r"\s", "", inject) # Chinese breaks a line anywhere
    return faults + ([] if any(re.sub(r"\s", "", n.text()).startswith(joined) for n in behind) else ["not before the injection"])


@point("A8", 3, needs=lambda s: in_order(s) and s.build["way"] in ("powder", "ready"))
def empties(s):
    """The step that counts names each vial with its number.  The used syringe is in the sharps
    box by then, into which nobody should look."""
    steps = [t for _, t in step_texts(s)]
    start = flat(s.build["phrases"]["step_count_empties"]).split("{used}")[0].strip()
    step = next((t for t in steps if t.startswith(start)), None)
    if step is None:
        return ["nothing is counted"]
    numbers = [int(n) for n in re.findall(r"\d+", step)]
    wanted = [item["used"] for item in s.build["kit"] if item["kind"] in ("medicine", "diluent")]
    return [] if sorted(numbers) == sorted(wanted) else [f"counts {numbers}, the kit {wanted}"]


@point("A9", 2)
def room_to_write(s):
    """For the injection, or for each day of a course; two more are for the telephone."""
    boxes, wanted = rectangles_of_writing(s), (s.build["days"] if s.build["days"] > 1 else 2) + 2
    return [] if len(boxes) >= wanted else [f"{len(boxes)} boxes of 60 x 12 mm, {wanted} are needed"]


@point("A10", 2)
def teach_back(s):
    asked = [name for name in ("teach_when", "teach_mix" if has_syringe(s) else "teach_pen", "teach_late") if s.says(s.build["phrases"][name])]
    return [] if len(asked) == 3 else [f"asks {asked}"]


@point("A11", 2)
def by_day(s):
    call_by = s.value("call_by")
    hour = int(call_by.split(" ")[-1].split(":")[0]) if call_by else 0
    return [] if 8 <= hour <= 17 and s.value("set_alarms") else [f"the kit is checked by {call_by}"]


@point("A12", 2)
def sharps_and_storage(s):
    where = ("step_into_sharps", "step_needle_out") if has_syringe(s) else ("step_pen_needle_off", "step_pen_needle_away")
    faults = [f"where the needle goes: {name}" for name in where if not s.says(s.build["phrases"][name])]
    kept = [s.says(s.build["phrases"][n]) for n in ("storage_cold", "storage_room")]
    return faults + ([] if any(kept) else ["where the medicine is kept"])


@point("A13", 3)
def emergency(s):
    faults = [] if clean(s.value("phone_emergency")) in s.flowing[0] else ["no emergency number on page 1"]
    pages = (0, 1) if s.large else (0,) # large print needs a second page for the signs
    lists = [n for page in pages for n in s.trees[page].walk() if n.role == "L"] # Arabic is read in the twin, which has no pages
    if not any(sum(c.role == "LI" for c in n.children) == len(s.build["emergency"]) for n in lists):
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
    lost = [t for _, t in step_texts(s)[:3] if t in inside]
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
    for figure in filled_figures(s):
        marks = {clean(s.value(n) or "").replace("the line ", "") for n in ("mark", "add_mark")} - {""}
        if not any(m in clean(figure["alt"]) for m in marks):
            faults.append(f"no value in {figure['alt']!r}")
    return faults


@point("X5", 3)
def order(s):
    numbers = [n for n, _ in s.steps()]
    return [] if numbers == list(range(1, len(numbers) + 1)) and numbers else [f"steps {numbers}"]


@point("X6", 1)
def levels(s):
    heads = [int(n.role[1]) for n in s.nodes if re.fullmatch(r"H\d", n.role) and n.text()]
    faults = [] if heads.count(1) == 1 and heads[0] == 1 else [f"headings {heads[:5]}"]
    faults += [f"from H{a} to H{b}" for a, b in zip(heads, heads[1:]) if b > a + 1]
    faults += [f"L holds {c.role}" for n in s.roles("L") for c in n.children if c.role and c.role != "LI"]
    faults += [f"LI holds {c.role}" for n in s.roles("LI") for c in n.children if c.role and c.role not in ("Lbl", "LBody")]
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
    read = [flat(" ".join(s.flowing)), flat(" ".join([n.own for n in s.nodes] + s.furniture))]
    faults = []
    for line in s.twin.split("\n"):
        words = re.sub(r"^\s*(?:- |\[ \] *|_{3,} )?(?:[\d:]+ [ap]m  +|[\d:]+  +)?", "", line.split("  ")[-1] if "[ ]" in line else line).strip()
        if not words or re.match(r"\(|=|-{3}|_{3}", words) or line.startswith("  ") and re.match(r"\d", words):
            continue
        squeezed = re.sub(r"\s+", "", words)
        for reader, text in zip(("poppler", "pdf.js"), read):
            if squeezed not in re.sub(r"\s+", "", text):
                faults.append(f"{reader} lacks {words[:60]!r}")
    return faults


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
    sections = [n.text() for n in s.nodes if n.role == "H2" and n.text()]
    missing = [t for t in s.outline if t not in [n.text() for n in s.nodes if n.role in ("H1", "H2")]]
    faults = [f"in the outline only: {t}" for t in missing] + ([] if s.twin else ["no text twin"])
    return faults + ([] if len(s.outline) >= 5 and len(sections) >= 5 else [f"{len(s.outline)} entries"])


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


@point("G3", 3)
def gregorian(s):
    year = local_time(s)[1].year
    return [] if str(year) in s.flowing[0] else [f"{year} is not on page 1"]


@point("G4", 3)
def false_friends(s):
    pairs_of = FALSE_FRIENDS.get(s.language, [])
    return [w for w in pairs_of if re.search(rf"\b{w}\b", s.text, re.I)]


@point("G5", 2)
def same_numbers(s):
    """Steps and letters as in the English sheet of the same plan."""
    letters = figure_letters(s)
    return [] if (len(s.steps()), letters) == s.build["numbering"] else [f"{len(s.steps())} steps, figures {letters}"]


@point("G6", 2, needs=lambda s: s.language == "ar")
def from_the_right(s):
    boxes = [p for p in s.paths if p.stroke and abs(p.wide() - p.tall()) < 0.1 and 5 <= p.wide() <= 6.5 and not p.curved]
    faults = [] if boxes and all(p.left > s.boxes[0][2] / 2 for p in boxes if p.page > 2) else ["boxes on the left"]
    for figure in filled_figures(s):
        marks = barrel_ticks(s.in_figure(figure))
        needle = [p for p in s.in_figure(figure) if p.fill == (0, 0, 0) and p.wide() > 8 and p.tall() < 2]
        if needle and needle[0].left > marks[0].left:
            faults.append("the syringe is mirrored")
    return faults


@point("G7", 2)
def letters_there(s):
    faults = ["a letter is missing"] if "\ufffd" in s.text else []
    if s.language == "ar":
        sizes_of = [size for line in s.lines for size, name, _ in line["sizes"] if "Arabic" in name]
        faults += [] if sizes_of and max(set(sizes_of), key=sizes_of.count) >= 18.8 else ["Arabic letters are small"]
    return faults


@point("G8", 1)
def languages_there(s):
    there = set(s.build["languages"])
    return [] if {"en", "es", "fr", "ar", "zh-Hans"} <= there else [f"only {sorted(there)}"]


# ---- V: provenance ----

@point("V1", 3)
def who_on_each_page(s):
    faults = []
    for number, page in enumerate(s.layout, 1):
        for name in ("person_code", "person_name", "order_number"):
            if clean(s.value(name)) not in page:
                faults.append(f"page {number} lacks {name}")
        if clean(s.value("medicine")).split(" ")[0] not in page:
            faults.append(f"page {number} lacks the medicine")
    return faults


@point("V2", 3)
def validity(s):
    until = datetime.datetime.strptime(re.sub(r"^\w+ ", "", s.value("valid_until")), "%Y-%m-%d %H:%M")
    faults = [] if until > local_time(s)[1] else ["valid until before the injection"]
    text = " ".join(s.flowing)
    if s.language == ENGLISH and not any(form in text for form in whole(s, until)):
        faults.append("the end is not printed")
    if s.value("replaces_number") and not re.search(rf"replaces .*\b{s.value('replaces_number')}\b", text, re.I) and s.language == ENGLISH:
        faults.append("it does not say which sheet it replaces")
    return faults


@point("V3", 2)
def made(s):
    wanted = [s.value(n) for n in ("sheet_number", "order_number", "revision", "source_digest", "program_version", "prepared_by")]
    return [f"page {i} lacks {w}" for i, page in enumerate(s.furniture, 1) for w in wanted
            if re.sub(r"\s", "", clean(w)) not in re.sub(r"\s", "", page)]


@point("V4", 2)
def same_bytes(s):
    return [] if s.build["again"] == hashlib.sha256(open(s.path, "rb").read()).hexdigest() else ["a second printing differs"]


@point("V5", 2)
def checked_by(s):
    lines = [p for p in s.paths if p.page == len(s.layout) - 1 and p.stroke and p.tall() < 0.01 and p.wide() > 50]
    words = s.says(s.build["phrases"]["sign_checked"], -1)
    return [] if words and len(lines) >= 3 else ["no line for a second person"]


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
    named = [w for w in ("volume", "mark", "dial", "syringe", "pen", "drawing_needle", "injecting_needle", "site", "route", "injection_time",
                         "earliest", "latest", "phone_night", "phone_day", "phone_emergency", "revision", "add", "medicine")
             if s.value(w) and s.value(w) not in parts]
    faults += [f"the code does not hang on {named}"] if named else []
    faults += ["another person"] if parts[0] != s.value("person_code") or clean(parts[3]) != dose(s) else []
    return faults + ([] if all(s.value("check_code") in page for page in s.layout) else ["not on every page"])


@point("V7", 1)
def modest(s):
    text = " ".join(s.flowing)
    faults = [w for w in DENIED["agency"] if re.search(rf"\b{w}\b", text, re.I)]
    return faults + ([] if s.says(s.build["phrases"]["leaflet_words"]) else ["the leaflet is not named"])


assert EMERGENCY and os.path.isdir("tests/score")
