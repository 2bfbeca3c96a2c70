#!/usr/bin/env python3
"""Seeded random plans (.build/drivers/plans), by the hours of clinics and
persons in several zones, half of them within days of a change of the clocks.

What must hold of each plan that could be printed, worked out again with Python's zoneinfo
on the system's IANA database: whatever is asked stands before the injection, calls end in
the clinic's office hours, no rung stands at midnight or beside another, no printed time
lies in a gap or a fold on any day of a course, the window is never wider than ordered, and
the sheet is valid to the window's end.  Then the ordinary hours of ordinary clinics: none
of them is refused (common practice, no source), every minute of a day, what the paper says
of these times, and long lists, which take no more time than they are long.

usage: tests/times.py [all]    all: four times as many random plans, and every minute instead of every third
"""
import json
import os
import random
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import zoneinfo
from datetime import date, datetime, timedelta, timezone

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(HERE)
BASE = os.path.join(HERE, "rules", "base")
zoneinfo.reset_tzpath(["/usr/share/zoneinfo"])
EVERY = "all" in sys.argv[1:]
CLINICS, PERSONS = (80 if EVERY else 20), 30
ZONES = """America/Halifax America/New_York America/Phoenix America/Havana America/Santiago Atlantic/Azores
Europe/London Europe/Berlin Africa/Cairo Asia/Beirut Asia/Kathmandu Asia/Tokyo Australia/Lord_Howe Australia/Sydney
Pacific/Auckland""".split()
PRINTED = """injection_time earliest latest check_kit call_by set_alarms mix_from take_out start sit valid_until
clocks_change clocks_change_to""".split()
ASKED = "check_kit call_by set_alarms take_out start sit mix_from".split()
EACH_DAY = "take_out start sit earliest latest mix_from".split()
TIMING = {"lands_on_midnight", "local_time_missing", "local_time_twice"}
UTC = timezone.utc


def read(name):
    with open(os.path.join(BASE, name), encoding="utf-8") as file:
        return file.read()


def write(path, text):
    os.makedirs(os.path.dirname(path), exist_ok=True)
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)


def swap(text, *pairs):
    for old, new in pairs:
        assert text.count(old) == 1, (old, text.count(old))
        text = text.replace(old, new)
    return text


def clock(minute):
    if minute == 720:
        return "noon"
    return f"{minute // 60 % 12 or 12}:{minute % 60:02} {'am' if minute < 720 else 'pm'}"


def changes_of(zone, year):
    """The days of a year on which the zone's offset changes."""
    found, day = [], datetime(year, 1, 1, 12, tzinfo=UTC)
    while day.year == year:
        if day.astimezone(zone).utcoffset() != (day + timedelta(days=1)).astimezone(zone).utcoffset():
            found.append(day.date() + timedelta(days=1))
        day += timedelta(days=1)
    return found


def instants(zone, local):
    """The instants that carry a local time: none, one, or two."""
    found = {local.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1)}
    return sorted(i for i in found if i.astimezone(zone).replace(tzinfo=None) == local)


# ---- making cases ----

class Case:
    """One person's plan as it was asked for."""


def random_clinic(rng):
    opens, closes = rng.choice([(480, 1020), (450, 990), (540, 1050), (420, 900)])
    call_by = rng.randrange(opens + 120, closes + 1, 15)
    settings = {"check_kit": call_by - rng.choice([30, 60, 90]), "call_by": call_by,
                "alarms": rng.choice([30, 60, 120, 180]), "start": rng.choice([20, 40, 45, 60]),
                "sit": rng.choice([5, 10, 15]),
                "opens": opens, "closes": closes,
                "midnight": rng.choice([None, "a minute earlier", "a minute later"]), "zone": rng.choice(ZONES)}
    return settings


def clinic_text(s):
    moved = f", midnight: {s['midnight']}" if s["midnight"] else ""
    return swap(read("clinic.yaml"),
                ("zone: America/Halifax", "zone: " + s["zone"]),
                ("hours: 8 am to 5 pm", f"hours: {clock(s['opens'])} to {clock(s['closes'])}"),
                ("{check_kit: 4 pm, call_by: 5 pm, alarms: 2 h, start: 45 min, sit: 10 min}",
                 f"{{check_kit: {clock(s['check_kit'])}, call_by: {clock(s['call_by'])}, alarms: {s['alarms']} min, "
                 f"start: {s['start']} min, sit: {s['sit']} min{moved}}}"))


def near_day(rng, zones):
    """The date of an event: half of them near a change of one of the two clocks."""
    changes = [day for zone in zones for day in changes_of(zoneinfo.ZoneInfo(zone), rng.choice([2026, 2027, 2028]))]
    if changes and rng.random() < 0.5:
        return rng.choice(changes) + timedelta(days=rng.randrange(-6, 7))
    return date(2027, 1, 1) + timedelta(days=rng.randrange(700))


def window_of(rng, course):
    before, after = rng.choice([(0, 0), (15, 15), (30, 30), (60, 60), (5, 20)] + ([(120, 120)] if course else []))
    if before == after == 0:
        return before, after, "exactly"
    return before, after, f"{before} min before to {after} min after"


def random_case(rng, settings):
    case = Case()
    case.settings = settings
    case.zone = settings["zone"] if rng.random() < 0.7 else rng.choice(ZONES)
    case.on = near_day(rng, {settings["zone"], case.zone})
    case.clock = rng.randrange(1440 - 1) + 1 if rng.random() < 0.3 else rng.randrange(7 * 60, 15 * 60, 15)
    kind = rng.choice(["base", "base", "ready", "course", "pen"])
    case.kind = kind
    case.before, case.after, window = window_of(rng, kind == "course")
    case.ahead = rng.choice([0, 0, 120, 360]) if kind == "base" else 0
    text = read(f"protocols/{kind}.yaml")
    if kind == "course":
        case.day, case.minute, case.days = rng.randrange(1, 4), rng.randrange(1, 1440), rng.choice([1, 5, 10])
        days = f" for {case.days} days" if case.days > 1 else ""
        text = swap(text, ("when: 9 pm on day +1 for 10 days", f"when: {clock(case.minute)} on day +{case.day}{days}"),
                    ("window: 1 h either side", "window: " + window))
    else:
        case.minutes = rng.choice([rng.randrange(34 * 60, 38 * 60 + 1, 15), rng.randrange(32 * 60, 40 * 60)])
        case.days = 1
        when = f"when: {case.minutes // 60} h {case.minutes % 60} min before" if case.minutes % 60 else \
               f"when: {case.minutes // 60} h before"
        text = swap(text, ("when: 36 h before", when),
                    ("window: " + ("15 min either side" if kind == "base" else "exactly"), "window: " + window))
    if case.ahead:
        needle = "      needle: 18 G x 1.5 in\n"
        text = swap(text, (needle + "    give",
                           f"{needle}      ahead: up to {case.ahead} min in the refrigerator\n    give"))
    case.protocol = text
    noon = datetime(case.on.year, case.on.month, case.on.day, 12, tzinfo=UTC)
    case.now = noon - timedelta(days=5)
    if kind == "course" and rng.random() < 0.2:
        case.now = noon + timedelta(days=rng.randrange(1, 6), minutes=rng.randrange(1440))
    case.patient = swap(read(f"patients/{kind}.yaml"), ("Thursday 2026-11-26", case.on.isoformat()),
                        ("clock: 11:30 am", "clock: " + clock(case.clock)))
    if case.zone != settings["zone"]:
        case.patient += f"zone: {case.zone}\n"
    return case


def ask(scratch, cases):
    """The answers of the driver, in order."""
    questions = []
    for number, case in enumerate(cases):
        folder = f"{scratch}/{number}"
        write(folder + "/clinic.yaml", clinic_text(case.settings) if case.settings else case.clinic)
        write(folder + "/shelf.yaml", read("shelf.yaml"))
        write(f"{folder}/protocols/{case.kind}.yaml", case.protocol)
        write(f"{folder}/patients/{case.kind}.yaml", case.patient)
        questions.append(f"{int(case.now.timestamp())} {folder}/patients/{case.kind}.yaml")
    done = subprocess.run([os.path.join(ROOT, ".build/drivers/plans")], input="\n".join(questions) + "\n",
                          capture_output=True, text=True)
    answers = done.stdout.split("\n")[:-1]
    if done.returncode or len(answers) != len(cases):
        sys.exit(f"the driver ended after {len(answers)} of {len(cases)}: {done.stderr[-500:]}")
    return [json.loads(answer) for answer in answers]


# ---- what must hold ----

def moment(value):
    return datetime.fromisoformat(value["instant"])


def wall(value):
    """The clock time as printed: of a course it may be meant for another day."""
    return datetime.strptime(value["text"].split(" ", 1)[1], "%Y-%m-%d %H:%M")


def faults_of_asking(case, injection):
    due, s = moment(injection["injection_time"]), case.settings
    faults = [f"{name} at {injection[name]['text']}" for name in ASKED
              if name in injection and moment(injection[name]) >= due]
    if "call_by" in injection:
        desk = moment(injection["call_by"]).astimezone(zoneinfo.ZoneInfo(s["zone"]))
        if not s["opens"] <= desk.hour * 60 + desk.minute <= s["closes"]:
            faults.append(f"calls end at {desk}, outside the clinic's hours")
        if moment(injection["start"]) - moment(injection["call_by"]) < timedelta(minutes=59):
            faults.append("no hour between the last call and the start")
        if moment(injection["check_kit"]) >= moment(injection["call_by"]):
            faults.append("the kit is checked after the last call")
    else:
        faults.append("no time to call")
    hour = wall(injection["set_alarms"]).hour
    if not 6 <= hour < 22:
        faults.append(f"alarms are set at {injection['set_alarms']['text']}")
    return faults


def faults_of_ladder(injection):
    ladder = [datetime.fromisoformat(rung["at"]) for rung in injection["ladder"]]
    faults = ["the ladder does not rise" for one, two in zip(ladder, ladder[1:]) if one >= two]
    if ladder[-1] != moment(injection["injection_time"]):
        faults.append("the ladder does not end with the injection")
    return faults + [f"{name} prints midnight" for name in PRINTED
                     if name in injection and (wall(injection[name]).hour, wall(injection[name]).minute) == (0, 0)]


def faults_of_window(case, injection):
    acts = [datetime.fromisoformat(act) for act in injection["acts"]]
    ends = [act + timedelta(minutes=case.after) for act in acts]
    faults = []
    if moment(injection["valid_until"]) < max(ends[-1], acts[-1] + timedelta(hours=6)):
        faults.append("valid until before the window ends")
    first = acts[0]
    if moment(injection["earliest"]) < first - timedelta(minutes=case.before) or moment(injection["earliest"]) > first:
        faults.append("the window begins elsewhere")
    if moment(injection["latest"]) > ends[0] or moment(injection["latest"]) < first:
        faults.append("the window ends elsewhere")
    if case.ahead:
        shift = wall(injection["mix_from"]) - wall(injection["injection_time"])
        for act, end in zip(acts, ends):
            from_there = instants(zoneinfo.ZoneInfo(case.zone), local_of(act, case.zone) + shift)
            if from_there and from_there[0] < end - timedelta(minutes=case.ahead):
                faults.append(f"mixed too early for {end}")
    return faults


def local_of(instant, zone):
    return instant.astimezone(zoneinfo.ZoneInfo(zone)).replace(tzinfo=None)


def faults_of_days(case, injection):
    """Every clock time of the sheet is one time, on every day that it is printed for."""
    zone = zoneinfo.ZoneInfo(case.zone)
    faults = [f"{name} {injection[name]['text']} is not one time" for name in PRINTED
              if name in injection and not name.startswith("clocks") and
              len(instants(zone, wall(injection[name]))) != 1]
    first = wall(injection["injection_time"])
    for act in injection["acts"][1:]:
        day = local_of(datetime.fromisoformat(act), case.zone)
        if (day.hour, day.minute) != (first.hour, first.minute):
            faults.append(f"{act} is at another clock time")
        for name in EACH_DAY:
            if name not in injection or (name == "mix_from" and not case.ahead):
                continue
            found = instants(zone, wall(injection[name]) + (day - first))
            if len(found) != 1:
                faults.append(f"{name} on the day of {act} is not one time")
            elif name in ("start", "sit", "take_out") and \
                    (datetime.fromisoformat(act) - found[0]) < first - wall(injection[name]):
                faults.append(f"{name} on the day of {act} comes too late")
            elif name in ("earliest", "latest") and \
                    abs(datetime.fromisoformat(act) - found[0]) > abs(first - wall(injection[name])):
                faults.append(f"the window is wider on the day of {act}")
    return faults


def faults_of_place(case, plan, injection):
    """Days count from the clinic's date; elapsed hours in universal time."""
    if not plan["plan"]["day_zero"]["text"].endswith(case.on.isoformat()):
        return ["day 0 is another day"]
    first = moment(injection["injection_time"])
    if case.kind == "course":
        done = case.days - len(injection["acts"])
        zero = datetime(case.on.year, case.on.month, case.on.day)
        wanted = zero + timedelta(days=case.day + done, minutes=case.minute)
        return [] if local_of(first, case.zone) == wanted else [f"{first} instead of {wanted}"]
    there = instants(zoneinfo.ZoneInfo(case.settings["zone"]),
                     datetime(case.on.year, case.on.month, case.on.day) + timedelta(minutes=case.clock))
    wanted = there[0] - timedelta(minutes=case.minutes)
    return [] if len(there) == 1 and first == wanted else [f"{first} instead of {wanted}"]


def offset_changes(zone, start, end):
    """TRUE when the offset changes between two instants."""
    place, at = zoneinfo.ZoneInfo(zone), start
    while at < end:
        after = min(at + timedelta(hours=1), end)
        if at.astimezone(place).utcoffset() != after.astimezone(place).utcoffset():
            return True
        at = after
    return False


def faults_of_change(case, injection, event):
    """A change is told where it lies on the way, or from one injection to the event."""
    first = datetime.fromisoformat(injection["ladder"][0]["at"])
    end = datetime.fromisoformat(injection["acts"][-1]) + timedelta(minutes=case.after)
    wanted = offset_changes(case.zone, first, end) or (case.days == 1 and offset_changes(case.zone, end, event))
    if wanted != ("clocks_change" in injection):
        return [f"a change of the clocks is {'not ' * wanted}told"]
    return []


def faults_of(case, answer):
    """(faults, rules that refused it)."""
    errors = {finding.split(" ")[1] for finding in answer["findings"] if finding.startswith("error")}
    injection = answer["plan"] and answer["plan"]["injections"][0]
    if errors & TIMING or "injection_time" not in (injection or {}):
        return refused_wrongly(case, errors, injection), errors
    return (faults_of_asking(case, injection) + faults_of_ladder(injection) + faults_of_window(case, injection) +
            faults_of_days(case, injection) + faults_of_place(case, answer["plan"], injection) +
            faults_of_change(case, injection, moment(answer["plan"]["plan"]["anchor_time"]))), errors


def refused_wrongly(case, errors, injection):
    """A time is refused only where the clocks change, or for an injection at midnight."""
    if injection and "lands_on_midnight" in errors:
        at = wall(injection["injection_time"])
        return [] if (at.hour, at.minute) == (0, 0) else ["refused for midnight"]
    noon = datetime(case.on.year, case.on.month, case.on.day, 12, tzinfo=UTC)
    span = noon - timedelta(days=4), noon + timedelta(days=16)
    near = any(offset_changes(zone, *span) for zone in {case.zone, case.settings["zone"]})
    return [] if near and errors & TIMING else [f"refused for {sorted(errors)}"]


# ---- the ordinary hours ----

def ordinary_cases():
    """Hours from 34 to 36 in quarters, procedures from 7 am to 3 pm in quarters."""
    cases = []
    for minutes in range(34 * 60, 36 * 60 + 1, 15):
        for at in range(7 * 60, 15 * 60 + 1, 15):
            case = Case()
            case.kind, case.settings = "base", None
            case.clinic = swap(read("clinic.yaml"), ("hours: 7 am to 2 pm", "hours: 7 am to 3 pm"))
            when = f"{minutes // 60} h {minutes % 60} min before" if minutes % 60 else f"{minutes // 60} h before"
            case.protocol = swap(read("protocols/base.yaml"), ("36 h before", when))
            case.patient = swap(read("patients/base.yaml"), ("clock: 11:30 am", "clock: " + clock(at)))
            case.now = datetime(2026, 11, 23, 14, tzinfo=UTC)
            case.midnight = (at - minutes) % 1440 == 0
            case.what = f"{when} {clock(at)}"
            cases.append(case)
    return cases


def faults_of_ordinary(case, answer):
    """Nothing stops it but the seal, which these texts do not have."""
    stops = {finding.split(" ")[1] for finding in answer["findings"]
             if finding.split(" ")[0] in ("error", "warning")} - {"seal_broken"}
    wanted = {"lands_on_midnight"} if case.midnight else set()
    return [f"{case.what}: {sorted(stops)}"] if stops != wanted else []


# ---- every minute of a day ----

def minute_cases():
    """A course at each minute of a day, in the two ways that a preparation moves at midnight."""
    cases = []
    for minute in range(1, 1440, 1 if EVERY else 3):
        case = Case()
        case.kind, case.settings = "course", None
        case.clinic = read("clinic.yaml")
        if minute % 2:
            case.clinic = swap(case.clinic, ("sit: 10 min}", "sit: 10 min, midnight: a minute later}"))
        case.protocol = swap(read("protocols/course.yaml"), ("9 pm on day +1", f"{clock(minute)} on day +1"))
        case.patient = read("patients/course.yaml")
        case.now = datetime(2026, 11, 25, 14, tzinfo=UTC)
        case.what, case.midnight = f"each day at {clock(minute)}", False
        cases.append(case)
    return cases


def faults_of_minute(case, answer):
    injection = answer["plan"]["injections"][0]
    return faults_of_ordinary(case, answer) + [f"{case.what}: {fault}" for fault in faults_of_ladder(injection)]


# ---- on paper ----

AHEAD = ("protocols/base.yaml", "      needle: 18 G x 1.5 in\n",
         "      needle: 18 G x 1.5 in\n      ahead: up to 6 h in the refrigerator\n")
PAPER = (
    # patient, now, edits, what the sheet says, what it must not say
    ("ready", "2026-11-23T10:00-04:00", [], ["8:45 pm Set your alarms", "10:15 pm"], []),
    ("base", "2026-11-23T10:00-04:00", [AHEAD],
     ["5:45 pm Not before this: mix", "from 5:45 pm"], ["clocks change"]),
    ("base", "2026-10-30T10:00-03:00", [("patients/base.yaml", "Thursday 2026-11-26", "Monday 2026-11-02")],
     ["The clocks change on Sunday, November 1, 2026, from 2 am to 1 am", "after this injection"], ["may mix"]),
    ("course", "2026-10-28T10:00-03:00", [("patients/course.yaml", "Thursday 2026-11-26", "Thursday 2026-10-29")],
     ["The clocks change on Sunday, November 1, 2026", "clock time on this sheet"], ["after this injection", "Printed again"]),
    ("course", "2026-12-02T10:00-04:00", [],
     ["Every day, 5 days left", "Printed again. 5 of 10 days are done.", "Counted for the days left: 5", "5 syringes",
      "7 injecting needles", "10 alcohol wipes", "5 gauze pads", "Your 5 days", "Wednesday, December 2, 2026 left"],
     ["Tuesday, December 1", "Every day, 10 days", "Your 10 days", "10 syringes"]),
)


def faults_of_paper(scratch):
    faults = []
    for number, (kind, now, edits, says, never) in enumerate(PAPER):
        folder = f"{scratch}/{number}"
        shutil.copytree(BASE, folder)
        for name, old, new in edits:
            write(f"{folder}/{name}", swap(read(name), (old, new)))
        words = [os.path.join(ROOT, ".build/dosewright"), "sheet", "--draft", "--text", "--now", now, "--out",
                 folder + "/out", f"{folder}/patients/{kind}.yaml"]
        done = subprocess.run(words, capture_output=True, text=True)
        names = [name for name in os.listdir(folder + "/out") if name.endswith(".txt")] if not done.returncode else []
        if not names:
            faults.append(f"no sheet {number}: {done.stderr[-400:]}")
            continue
        with open(f"{folder}/out/{names[0]}", encoding="utf-8") as file:
            text = re.sub(r"\s+", " ", file.read())
        faults += [f"sheet {number} does not say {words!r}" for words in says if words not in text]
        faults += [f"sheet {number} says {words!r}" for words in never if words in text]
    return faults


# ---- long lists ----

# The square of the list took over a minute; the list takes about three seconds.
BOUND = 25


def faults_of_growth(scratch, count=8000):
    """So many injections, each counted from the next one written, are checked within a bound that their
    square would break: the system ends the program then."""
    text = read("protocols/base.yaml")
    head, rest = text.split("  - name: trigger\n")
    chain = [f"  - {{name: t{i}, when: 2 h after t{i + 1}}}\n" for i in range(count)]
    chain.append(f"  - {{name: t{count}, when: 36 h before egg collection}}\n")
    shutil.copytree(BASE, scratch)
    write(f"{scratch}/protocols/base.yaml", head + "".join(chain) + rest[rest.index("kit:"):])
    done = subprocess.run([os.path.join(ROOT, ".build/dosewright"), "check", f"{scratch}/patients/base.yaml"], capture_output=True,
                          preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, (BOUND, BOUND)))
    return [] if done.returncode in (0, 1) else [f"{count} injections: exit status {done.returncode}"]


def main():
    rng = random.Random(20261129)
    clinics = [random_clinic(rng) for _ in range(CLINICS)]
    cases = [random_case(rng, settings) for settings in clinics for _ in range(PERSONS)]
    plain, minutes = ordinary_cases(), minute_cases()
    with tempfile.TemporaryDirectory() as scratch:
        answers = ask(scratch + "/random", cases)
        plain_answers = ask(scratch + "/plain", plain)
        minute_answers = ask(scratch + "/minutes", minutes)
        faults = faults_of_paper(scratch + "/paper") + faults_of_growth(scratch + "/long")
    refused = 0
    for number, (case, answer) in enumerate(zip(cases, answers)):
        found, errors = faults_of(case, answer)
        refused += bool(errors & TIMING)
        faults += [f"{number} ({case.kind}, {case.zone}, clinic {case.settings['zone']}, {case.on}): {fault}"
                   for fault in found]
    for case, answer in zip(plain, plain_answers):
        faults += faults_of_ordinary(case, answer)
    for case, answer in zip(minutes, minute_answers):
        faults += faults_of_minute(case, answer)
    print("\n".join(faults[:30]))
    print(f"{len(cases)} random plans, {refused} of them refused for a time; {len(plain)} ordinary ones")
    if refused > len(cases) // 4:
        faults.append("too many are refused")
    passed = len(cases) + len(plain) + len(minutes) + len(PAPER) + 1 - len(faults)
    print(f"{passed} passed, {len(faults)} failed")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
