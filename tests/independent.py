#!/usr/bin/env python3
"""An independent sum: random clinics, shelves, protocols and people, worked out here in
Python from protocols/README.md alone, and compared with what the program plans
(.build/drivers/plans, one process for many plans).  Times with Python's zoneinfo on the
system's IANA database, half of them within days of a change of the clocks; amounts with
fractions.Fraction.

usage: tests/independent.py [CASES [SEED]]    1,500 when not said; "make score" asks for 10,000
"""
import json
import os
import random
import subprocess
import sys
import tempfile
import zoneinfo
from datetime import date, datetime, time, timedelta, timezone
from fractions import Fraction as F
from math import ceil, floor

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
zoneinfo.reset_tzpath(["/usr/share/zoneinfo"])
ZONES = """America/Halifax America/New_York America/St_Johns America/Vancouver America/Santiago Europe/London
Europe/Berlin Europe/Athens Asia/Tokyo Asia/Kathmandu Australia/Sydney Australia/Lord_Howe Pacific/Auckland""".split()
UTC = timezone.utc
MINUTE = timedelta(minutes=1)


# ---- writing numbers as the guide says ----

def number(value):
    """A decimal without zeros at its end, with commas between thousands."""
    value = F(value)
    whole, rest = divmod(value, 1)
    text = f"{int(whole):,}"
    if rest:
        digits = ""
        while rest:
            digit, rest = divmod(rest * 10, 1)
            digits += str(int(digit))
            assert len(digits) < 7
        text += "." + digits
    return text


def amount(value, unit):
    return f"{number(value)} {unit}"


def clock(minute):
    hour, minute = divmod(minute, 60)
    return f"{hour:02d}:{minute:02d}"


def span(minutes):
    hours, minutes = divmod(minutes, 60)
    return " ".join([f"{hours} h"] * (hours > 0) + [f"{minutes} min"] * (minutes > 0))


# ---- zones ----

def instants(zone, local):
    """The instants that carry this local time, earliest first."""
    found = set()
    for fold in (0, 1):
        moment = local.replace(tzinfo=zone, fold=fold)
        if moment.astimezone(UTC).astimezone(zone).replace(tzinfo=None, fold=0) == local:
            found.add(moment.astimezone(UTC))
    return sorted(found)


def change_days(zone):
    """Days of 2026 to 2028 on which the clocks change."""
    days, day = [], datetime(2026, 3, 1, 12, tzinfo=UTC)
    while day.year < 2028:
        after = day + timedelta(days=1)
        if day.astimezone(zone).utcoffset() != after.astimezone(zone).utcoffset():
            days.append(after.date())
        day = after
    return days


# ---- a random case ----

class Case:
    """All that stands in the files, as numbers; files() writes it down.  The approval is missing and
    much is out of the ordinary on purpose: findings stop the sheet, and the sums hold all the same."""


SYRINGES = [  # name, capacity, mark_every, number_every, dead space, fixed needle, marks
    ("syringe three", F(3), F(1, 10), F(1, 2), F(3, 100), None, "mL"),
    ("syringe five", F(5), F(1, 5), F(1), F(7, 100), None, "mL"),
    ("syringe one", F(1), F(1, 100), F(1, 10), F(1, 100), None, "mL"),
    ("syringe half", F(1, 2), F(1, 100), F(1, 10), F(1, 200), "29 G x 0.5 in", "U-100 marks"),
    ("syringe fine", F(1), F(1, 50), F(1, 10), None, "29 G x 0.5 in", "U-100 marks"),
]
NEEDLES = {"18 G x 1.5 in": F(1, 50), "22 G x 1.5 in": F(3, 100), "25 G x 1.5 in": F(1, 100),
           "27 G x 0.5 in": F(1, 100)}


def random_shelf(rng, case):
    """One medicine, in one of the ways."""
    case.way = rng.choice(["whole", "vials", "part", "apart", "solution", "solution", "prefilled", "pen"])
    case.unit = rng.choice(["mg", "units", "mcg"])
    case.content = F(rng.choice([10, 50, 75, 100, 150, 250, 500, 5000, 10000]))
    case.single_dose = rng.random() < 0.25
    case.in_use = rng.choice([None, 14, 28])
    case.deliverable = case.withdraw = case.makes = case.stated = case.volume = None
    case.add = F(rng.choice([1, 1, 2, F(5, 2), 4]))
    case.most_vials = 6
    if case.way in ("whole", "vials", "part", "apart"):
        if rng.random() < 0.6:
            case.makes = case.add + rng.choice([0, F(1, 10), F(1, 5), F(1, 4)])
        if case.makes is None or rng.random() < 0.4:
            # A label's strength is that of what results; it must be writable.
            for _ in range(40):
                stated = case.content / (case.makes or case.add)
                if (stated * 10**6).denominator == 1 and stated > F(1, 1000):
                    case.stated = stated
                    break
                case.content += 5
        if rng.random() < 0.5:
            case.withdraw = (case.makes or case.add) - rng.choice([0, F(1, 10), F(1, 20)])
        if case.stated is None and case.makes is None:
            case.makes = case.add
    else:
        case.volume = F(rng.choice([1, 2, F(5, 2), 5, 10])) if case.way != "prefilled" else F(rng.choice([1, F(1, 2)]))
        case.stated = case.content / case.volume
        case.deliverable = None


def random_dose(rng, case):
    case.syringe = rng.choice(SYRINGES[:3])
    case.mixer = None
    case.vials = 1
    if case.way == "whole":
        case.dose, case.whole = case.content, True
    elif case.way == "vials":
        case.vials = rng.randrange(1, 5)
        case.dose, case.whole = case.content * case.vials, True
    elif case.way == "prefilled":
        case.syringe = ("syringe filled", case.volume, F(1, 20), F(1, 10), F(1, 50),
                        rng.choice([None, "29 G x 0.5 in"]), "mL")
        case.whole = rng.random() < 0.5
        case.dose = case.content if case.whole else case.content * F(rng.randrange(2, 10), 10)
    elif case.way == "pen":
        case.step = case.content / rng.choice([20, 25, 40])
        case.dose = case.step * rng.randrange(1, 8)
        case.flow = case.step * rng.choice([1, 2])
        case.whole = False
        case.syringe = None
    else:
        case.whole = False
        case.dose = case.content * F(rng.choice([1, 2, 5, 8, 10, 20, 25, 37, 40, 50]), 100)
        if case.way == "apart":
            case.mixer, case.syringe = case.syringe, rng.choice(SYRINGES)
        elif case.way == "solution":
            case.syringe = rng.choice(SYRINGES)
    if case.way in ("pen", "solution") and rng.random() < 0.3:
        case.deliverable = case.content - case.dose * rng.choice([0, F(1, 2)])
        case.deliverable = max(case.deliverable, case.dose)
    fixed = case.syringe and case.syringe[5]
    names = sorted(NEEDLES)
    case.draw_needle = None if fixed or case.way in ("pen", "prefilled") else rng.choice(names[:2])
    case.mix_needle = rng.choice(names[:2])
    case.give_needle = None if fixed else "31 G x 8 mm" if case.way == "pen" else rng.choice(names[2:])
    case.spares = rng.randrange(0, 3)
    case.days = rng.choice([1, 1, 1, 2, 3, 7, 10])
    case.diluent_volume = F(rng.choice([1, 2, 10, 10]))
    case.add = min(case.add, F(5))
    if case.diluent_volume < case.add:
        case.diluent_volume = F(10)


def random_time(rng, case, changes):
    case.clinic_zone = rng.choice(ZONES)
    case.person_zone = rng.choice(ZONES) if rng.random() < 0.3 else case.clinic_zone
    near = changes[rng.choice([case.clinic_zone, case.person_zone])]
    if near and rng.random() < 0.6:
        case.day0 = rng.choice(near) + timedelta(days=rng.randrange(-3, 5))
    else:
        case.day0 = date(2026, 4, 1) + timedelta(days=rng.randrange(500))
    case.anchor_minute = rng.randrange(7 * 60, 15 * 60, rng.choice([1, 5, 15, 30]))
    case.timing = rng.choice(["elapsed", "elapsed", "calendar"]) if case.days == 1 else "calendar"
    case.before = rng.random() < 0.8
    case.offset = rng.randrange(60, 72 * 60, rng.choice([5, 15, 30, 60]))
    case.calendar_day = rng.randrange(-12, 4)
    case.calendar_minute = rng.choice([rng.randrange(1, 1440), rng.randrange(18 * 60, 23 * 60, 30)])
    if case.calendar_minute == 720:
        case.calendar_minute = 721
    before, after = rng.choice([(0, 0), (15, 15), (60, 60), (10, 30), (0, 20), (30, 0), (90, 120)])
    case.window = (before, after)
    case.alarms, case.start = rng.choice([60, 90, 120, 180]), rng.choice([20, 30, 45, 60])
    case.start_ready = rng.choice([None, 15, 20])
    case.sit = rng.choice([5, 10, 15])
    case.check_kit, case.call_by = rng.choice([(960, 1020), (600, 900), (840, 960)])
    case.midnight = rng.choice([None, "a minute earlier", "a minute later"])
    case.empty = rng.choice([None, "yes", "no"])
    mixed_once = case.way in ("whole", "vials", "part") and case.days == 1
    case.ahead = rng.choice([None, None, 2, 6, 24]) if mixed_once else None
    case.done = rng.randrange(1, case.days) if case.days > 2 and rng.random() < 0.3 else 0
    case.second = rng.choice([None, None, "together with one", *(f"{hours} h after one" for hours in (1, 6, 12))])
    if case.days > 1 or case.way in ("pen", "prefilled"):
        case.second = None
    case.take_out = rng.choice([None, 30, 60])


def files(case):
    """{name: text}"""
    q = json.dumps
    dose = amount(case.dose, case.unit)
    preparation = [f"check_kit: {clock(case.check_kit)}", f"call_by: {clock(case.call_by)}",
                   f"alarms: {span(case.alarms)}", f"start: {span(case.start)}", f"sit: {span(case.sit)}"]
    if case.start_ready:
        preparation.append(f"start_ready: {span(case.start_ready)}")
    if case.midnight:
        preparation.append(f"midnight: {case.midnight}")
    if case.empty:
        preparation.append(f"empty_filling_needle: {case.empty}")
    clinic = f"""clinic: A Random Clinic
zone: {case.clinic_zone}
clock: 24-hour
temperature: C
paper: A4
languages: [en]
phones:
  day: {{number: 555 0120, dial: "+15550120", hours: at any hour}}
  night: {{number: 555 0142, dial: "+15550142", hours: at any hour}}
  emergency: {{number: "911", hours: at any hour}}
procedures: {{days: [Monday, Tuesday, Wednesday, Thursday, Friday, Saturday, Sunday], hours: 06:00 to 18:00}}
governance: {{people: two, physicians: [Dr R. Invented], nurses: [P. Invented]}}
preparation: {{{", ".join(preparation)}}}
advice: {{normal: [A small bruise.], emergency: [You find it hard to breathe.]}}
"""
    form = "powder" if case.volume is None else "solution"
    container = {"prefilled": "prefilled syringe", "pen": "cartridge"}.get(case.way, "vial")
    row = [f"    form: {form}", "    fluid: water", f"    container: {container}",
           f"    content: {amount(case.content, case.unit)}",
           f"    doses: {{single: {q(dose)}, set_by: the clinic, source: a}}",
           "    routes: [subcutaneous, intramuscular]"]
    if case.unit == "units":
        row.append("    activity: international units")
    if case.volume is not None:
        row.append(f"    volume: {amount(case.volume, 'mL')}")
        row.append(f"    strength: {amount(case.stated, case.unit)}/mL")
    else:
        mixing = [f"add: {amount(case.add, 'mL')}", f"most_vials: {case.most_vials}"]
        if case.makes is not None:
            mixing.append(f"makes: {amount(case.makes, 'mL')}")
        if case.stated is not None:
            mixing.append(f"strength: {q(amount(case.stated, case.unit) + '/mL')}")
        if case.withdraw is not None:
            mixing.append(f"withdraw: {amount(case.withdraw, 'mL')}")
        mixing.append("keep: [up to 28 days in the refrigerator]")
        row += ["    diluents: [water]", f"    mixing: [{{{', '.join(mixing)}}}]"]
    if case.single_dose:
        row.append("    single_dose: yes")
    if case.deliverable is not None:
        row.append(f"    deliverable: {amount(case.deliverable, case.unit)}")
    storage = ["temperature: 2 C to 8 C"]
    if case.in_use:
        storage.append(f"in_use: {case.in_use} days")
    if case.take_out:
        storage.append(f"take_out: {case.take_out} min")
    row += [f"    storage: {{{', '.join(storage)}}}", "    label: {source: a, on: 2026-02-01}"]
    if case.way == "pen":
        row.append("    pen: the pen")
    if case.way == "prefilled":
        row.append("    syringe: syringe filled")
    syringes = []
    stocked = SYRINGES + ([case.syringe] if case.way == "prefilled" else [])
    for name, capacity, every, numbers, dead, fixed, marks in stocked:
        line = [f"name: {name}", f"capacity: {amount(capacity, 'mL')}", f"marks: {marks}",
                f"mark_every: {amount(every, 'mL')}", f"number_every: {amount(numbers, 'mL')}", "scale_length: 57 mm",
                "barrel: 9 mm"]
        line += [f"dead_space: {amount(dead, 'mL')}"] if dead is not None else []
        line += [f"needle: {fixed}"] if fixed else []
        syringes.append(f"  - {{{', '.join(line)}}}")
    pens = ""
    if case.way == "pen":
        pens = (f"pens:\n  - {{name: the pen, dial_every: {q(amount(case.step, case.unit))}, dial_most: "
                f"{q(amount(case.step * 10, case.unit))}, flow_check: {q(amount(case.flow, case.unit))}}}\n")
    needles = [f"  - {{needle: {name}, hub: pink, dead_space: {amount(dead, 'mL')}}}" for name, dead in NEEDLES.items()]
    shelf = "\n".join(["shelf: Random", "medicines:", "  - name: the medicine", "    generic: somedrug", *row,
                       "diluents:",
                       f"  - {{name: water, container: vial, volume: {amount(case.diluent_volume, 'mL')}, "
                       "label: {source: a, on: 2026-02-01}}", "syringes:", *syringes, pens + "needles:", *needles,
                       "  - {needle: 31 G x 8 mm, hub: green}",
                       "supplies: [alcohol wipe, gauze pad, small plaster, sharps box]"]) + "\n"
    if case.timing == "elapsed":
        when = f"{span(case.offset)} {'before' if case.before else 'after'} egg collection"
    else:
        when = f"{clock(case.calendar_minute)} on day {case.calendar_day:+d}".replace("+0", "0")
        when += f" for {case.days} days" if case.days > 1 else ""
    before, after = case.window
    window = ("exactly" if before == after == 0 else f"{span(before)} either side" if before == after
              else f"{span(before) or '0 min'} before to {span(after) or '0 min'} after")
    order = ["  - name: one", "    medicine: the medicine", f"    dose: {dose}",
             f"    dose_is: {'the whole content' if case.whole else 'a measured part'}"]
    order += [f"    vials: {case.vials}"] if case.vials > 1 else []
    order += [f"    when: {when}", f"    window: {window}", "    route: subcutaneous", "    site: abdomen"]
    if case.volume is None:
        mixer = case.mixer or case.syringe
        order += ["    mix:", "      diluent: water", f"      add: {amount(case.add, 'mL')}",
                  f"      syringe: {mixer[0]}",
                  f"      needle: {case.mix_needle if case.mixer else case.draw_needle}"]
        order += [f"      ahead: up to {case.ahead} h in the refrigerator"] if case.ahead else []
    if case.mixer or case.way == "solution":
        order += ["    draw:", f"      syringe: {case.syringe[0]}"]
        order += [f"      needle: {case.draw_needle}"] if case.draw_needle else []
    order += ["    give:", "      angle: 45 degrees", "      by: self"]
    if case.give_needle:
        order += [f"      needle: {case.give_needle}", f"      spare_needles: {case.spares or 'none'}"]
    order += ["      rotate: a new spot each time"] if case.days > 1 else []
    order += ["    late: Call us now."]
    if case.second:
        order += [{"  - name: one": "  - name: two", f"    when: {when}": f"    when: {case.second}"}.get(line, line)
                  for line in order]
    protocol = "\n".join(["protocol: p", "title: Yours", "revision: 1", "author: Dr A. Invented",
                          "anchor: egg collection",
                          "why: It matters.", "injections:", *order, "kit:", "  - {item: alcohol wipe, count: 90}",
                          "  - {item: gauze pad, count: 40}", "  - {item: small plaster, count: 40}",
                          "  - {item: sharps box, count: 1}"]) + "\n"
    patient = f"""patient: a
name: Test P.
protocol: p
order: R-1
sheet: 1
prepared_by: P. Invented
anchor: {{on: {case.day0}, clock: {clock(case.anchor_minute)}}}
zone: {case.person_zone}
allergies: []
boxes:
  - {{medicine: the medicine, lot: A1, expires: 2030-01, count: 40}}
"""
    return {"clinic.yaml": clinic, "shelf.yaml": shelf, "protocols/p.yaml": protocol, "patients/a.yaml": patient}


# ---- the sum, from the guide ----

def half_up(value, step):
    return floor(value / step + F(1, 2)) * step


def amounts(case):
    """{value of the plan: what it must be}"""
    want = {"dose": case.dose, "content": case.content}
    if case.way == "pen":
        # "each dose takes its drop too", or what the label says one container gives
        each = floor(case.deliverable / case.dose) if case.deliverable is not None else floor(
            case.content / (case.dose + case.flow))
        case.each = each
        want.update(dial=case.dose, flow=case.flow, strength=case.stated, dose_drawn=case.dose)
        return want
    if case.volume is None:
        # several vials that share one liquid: each swells it by what the row says one does
        one = case.makes if case.makes is not None else case.content / case.stated
        final = case.add + case.vials * (one - case.add)
        kept = one - case.withdraw if case.withdraw is not None else 0
        drawable = final - case.vials * kept
        strength = case.stated if case.stated is not None and case.vials == 1 else case.content * case.vials / final
        want.update(final_volume=final, drawable=drawable, add=case.add)
    else:
        drawable, strength = case.volume, case.stated
    exact = drawable if case.whole else case.dose / strength
    volume = half_up(exact, case.syringe[2])
    want.update(strength=strength, exact_volume=exact, volume=volume, dose_drawn=volume * strength,
                mark=volume * (100 if case.syringe[6] == "U-100 marks" else 1))
    case.each = None
    if not case.whole and case.way != "prefilled":
        # the dose, and what fills nozzle and drawing needle; a fixed needle counts with its syringe
        taken = volume + (case.syringe[4] or 0) + (NEEDLES[case.draw_needle] if case.draw_needle else 0)
        want["taken"] = taken
        larger = max(volume, exact)
        case.each = floor(case.deliverable / strength / larger) if case.deliverable is not None else floor(
            drawable / (taken - volume + larger))
    change = case.draw_needle and case.give_needle and case.draw_needle != case.give_needle
    if change:
        filling, new = NEEDLES[case.draw_needle], NEEDLES[case.give_needle]
        want["lost"] = (0 if case.empty == "yes" else filling) if case.whole else (
            max(0, new - filling) if case.empty == "yes" else new)
    return want


def serves_several(case):
    if case.single_dose or case.way == "prefilled" or case.whole and case.way != "solution":
        return False
    if case.way in ("pen", "solution"):
        return True
    return case.way == "apart" and case.in_use is not None


def counts(case, days):
    """{job: how many are handed out} over the whole course"""
    want = {}
    injections = 2 if case.second else 1
    acts = days * injections
    if serves_several(case):
        want["medicine"] = ceil(F(acts, max(case.each, 1)))
    else:
        want["medicine"] = acts * case.vials
    if case.give_needle:
        want["needle for injecting"] = acts + case.spares * injections
    if case.way not in ("prefilled", "pen"):
        want["syringe"] = acts
    if case.way == "pen":
        want["pen"] = 1
    opened = want["medicine"] if serves_several(case) else acts
    if case.volume is None:
        want["liquid to mix with"] = opened
    if case.mixer:
        want["syringe to mix with"] = want["needle to mix with"] = opened
    if case.draw_needle:
        want["needle for drawing up"] = acts
    return want


class Unclear(Exception):
    """A time that occurs never or twice: the program refuses it, and says so."""


def one_instant(zone, local):
    found = instants(zone, local)
    if len(found) != 1:
        raise Unclear
    return found[0]


def beside_midnight(zone, instant, minutes):
    local = instant.astimezone(zone)
    return instant + minutes * MINUTE if (local.hour, local.minute) == (0, 0) else instant


def before_night(zone, instant):
    """Between 10 pm and 6 am: 9 pm before that night."""
    local = instant.astimezone(zone).replace(tzinfo=None)
    if 6 <= local.hour < 22:
        return instant
    day = local.date() if local.hour >= 22 else local.date() - timedelta(days=1)
    return one_instant(zone, datetime.combine(day, time(21)))


def acts_of(case):
    """(the event, each injection)"""
    clinic, person = zoneinfo.ZoneInfo(case.clinic_zone), zoneinfo.ZoneInfo(case.person_zone)
    anchor = one_instant(clinic, datetime.combine(case.day0, time(*divmod(case.anchor_minute, 60))))
    if case.timing == "elapsed":
        return anchor, [anchor + timedelta(minutes=case.offset) * (-1 if case.before else 1)]
    first = datetime.combine(case.day0 + timedelta(days=case.calendar_day), time(*divmod(case.calendar_minute, 60)))
    return anchor, [one_instant(person, first + timedelta(days=day)) for day in range(case.days)]


def from_act(case, acts, minutes):
    """So long after the injection; of a course, that much later on the clock on every day."""
    person = zoneinfo.ZoneInfo(case.person_zone)
    if len(acts) == 1:
        return acts[0] + timedelta(minutes=minutes)
    return one_instant(person, acts[0].astimezone(person).replace(tzinfo=None, fold=0) + timedelta(minutes=minutes))


def desk_times(case, start):
    """(kit checked, last call): the last day of the clinic on which both leave an hour."""
    clinic, person = zoneinfo.ZoneInfo(case.clinic_zone), zoneinfo.ZoneInfo(case.person_zone)
    day = start.astimezone(clinic).date()
    for back in range(4):
        pair = [one_instant(clinic, datetime.combine(day - timedelta(days=back), time(*divmod(minute, 60))))
                for minute in (case.check_kit, case.call_by)]
        if max(pair) + timedelta(hours=1) <= start:
            return [beside_midnight(person, at, -1) for at in pair]
    raise AssertionError("no day to call")


def left_of(case, acts):
    """Those of a running course that are left: their window is not over."""
    return acts[case.done:]


def ladder_of(case, acts):
    """{rung: instant}, and the times that are no rungs of their own."""
    person = zoneinfo.ZoneInfo(case.person_zone)
    sideways = 1 if case.midnight == "a minute later" else -1
    filled = case.way == "prefilled"
    mixed = case.volume is None
    # Where nothing is mixed there is less to do; with a filled syringe only oneself to prepare.
    ready = filled or case.way == "pen" or not mixed and bool(case.syringe[5])
    lead = case.start_ready if ready and case.start_ready else case.sit if filled else case.start

    def before(minutes):
        return beside_midnight(person, from_act(case, acts, -minutes), sideways)

    rungs = {"start": before(lead), "injection_time": acts[0]}
    more = {}
    rungs["check_kit"], more["call_by"] = desk_times(case, rungs["start"])
    if case.take_out:
        rungs["take_out"] = before(case.take_out + (0 if filled else lead))
    if not filled:
        rungs["sit"] = before(case.sit)
    if mixed:
        more["mix_from"] = rungs["start"]
        if case.ahead:
            end = from_act(case, acts, case.window[1])
            more["mix_from"] = max(beside_midnight(person, end - timedelta(hours=case.ahead), 1), more["call_by"])
            if more["mix_from"] < rungs["start"]:
                rungs["mix"] = more["mix_from"]
    alarms = before_night(person, rungs["start"] - timedelta(minutes=case.alarms))
    if alarms == rungs["check_kit"] and alarms + 5 * MINUTE < rungs["start"]:
        alarms += 5 * MINUTE
    while alarms in rungs.values():
        alarms = before_night(person, alarms - MINUTE)
    rungs["set_alarms"] = alarms
    # No two at one minute: the earlier one comes a minute before.
    order = ["check_kit", "set_alarms", "take_out", "mix", "start", "sit", "injection_time"]
    names = sorted(rungs, key=lambda name: (rungs[name], order.index(name)))
    for earlier, later in zip(names[-2::-1], names[:0:-1]):
        if rungs[earlier] >= rungs[later]:
            rungs[earlier] = beside_midnight(person, rungs[later] - MINUTE, -1)
    case.ladder = sorted((at, name) for name, at in rungs.items())
    if "mix" in rungs:
        assert rungs.pop("mix") == more["mix_from"]
    return rungs | more


def times(case):
    """(times of the injection, all injections)"""
    person = zoneinfo.ZoneInfo(case.person_zone)
    anchor, every = acts_of(case)
    acts = left_of(case, every)
    before, after = case.window
    want = {"anchor_time": anchor, "last_time": acts[-1], "earliest": acts[0], "latest": acts[0]}
    if before:
        want["earliest"] = beside_midnight(person, from_act(case, acts, -before), 1)
    if after:
        want["latest"] = beside_midnight(person, from_act(case, acts, after), -1)
    end = acts[-1] + timedelta(minutes=after)
    end = beside_midnight(person, end, -1) if after else end
    valid = max(acts[-1] + timedelta(hours=6), end)
    while len(instants(person, valid.astimezone(person).replace(tzinfo=None, fold=0))) > 1:
        valid += MINUTE  # not within an hour that occurs twice
    want["valid_until"] = beside_midnight(person, valid, 1)
    return want | ladder_of(case, acts), acts, len(every)


def second_times(case, acts):
    """Of the second injection, which counts from the first."""
    person = zoneinfo.ZoneInfo(case.person_zone)
    at = acts[0] + (timedelta() if "together" in case.second else timedelta(hours=int(case.second.split(" ")[0])))
    if len(instants(person, at.astimezone(person).replace(tzinfo=None, fold=0))) != 1:
        raise Unclear
    before, after = case.window
    want = {"injection_time": at}
    want["earliest"] = beside_midnight(person, at - before * MINUTE, 1) if before else at
    want["latest"] = beside_midnight(person, at + after * MINUTE, -1) if after else at
    return want


# ---- what the program says ----

RUNGS = {"check the kit": "check_kit", "set the alarms": "set_alarms", "take out of the refrigerator": "take_out",
         "may be mixed from now on": "mix", "wash hands, begin": "start", "change needle, sit down": "sit",
         "inject": "injection_time"}

def plan_instant(text):
    return datetime.fromisoformat(text.replace("Z", "+00:00")).astimezone(UTC)


def differences(case, answer):
    """Each value in which the two differ, as words."""
    plan = answer["plan"]
    found = []
    injection = plan["injections"][0]
    for name, value in amounts(case).items():
        if name not in injection:
            found.append(f"{name}: {value}, the plan has none")
            continue
        said = injection[name]
        if name == "strength":  # shown with six places
            said, value = F(said["text"].split(" ")[0].replace(",", "")), half_up(value, F(1, 10**6))
        elif name in ("mark", "dial", "flow"):
            said = F(said["text"].replace("the line ", "").split(" ")[0].replace(",", ""))
        else:
            said = F(said["number"])
        if said != value:
            found.append(f"{name}: {value}, the plan {said}")
    try:
        want, acts, days = times(case)
        if case.second and len(plan["injections"]) == 2:
            for name, at in second_times(case, acts).items():
                said = plan["injections"][1].get(name)
                if not said or plan_instant(said["instant"]) != at:
                    found.append(f"second {name}: {at}, the plan {said}")
    except Unclear:
        rules = {finding.split(" ")[1] for finding in answer["findings"]}
        said = rules & {"local_time_twice", "local_time_missing"}
        return found if said else found + ["a time twice or never, unsaid"]
    for name, at in want.items():
        said = injection.get(name) or plan["plan"].get(name)
        if not said:
            found.append(f"{name}: {at}, the plan has none")
        elif plan_instant(said["instant"]) != at:
            found.append(f"{name}: {at}, the plan {said['instant']}")
    ladder = [(plan_instant(rung["at"]), RUNGS[rung["rung"]]) for rung in injection["ladder"]]
    if ladder != case.ladder:
        found.append(f"ladder: {[(str(at), name) for at, name in sorted(set(case.ladder) ^ set(ladder))]}")
    if [plan_instant(text) for text in injection["acts"]] != acts:
        found.append(f"acts: {acts}, the plan {injection['acts']}")
    jobs = {}
    for item in plan["kit"]:
        jobs[item["job"]] = jobs.get(item["job"], 0) + item["count"]
    for job, count in counts(case, days).items():
        if jobs.get(job, 0) != count:
            found.append(f"{job}: {count}, the plan {jobs.get(job, 0)}")
    return found


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1500
    rng = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else 20261124)
    changes = {name: change_days(zoneinfo.ZoneInfo(name)) for name in ZONES}
    cases, questions = [], []
    with tempfile.TemporaryDirectory() as scratch:
        for index in range(count):
            case = Case()
            random_shelf(rng, case)
            random_dose(rng, case)
            random_time(rng, case, changes)
            folder = f"{scratch}/{index}"
            os.makedirs(folder + "/protocols")
            os.makedirs(folder + "/patients")
            for name, text in files(case).items():
                with open(f"{folder}/{name}", "w", encoding="utf-8") as file:
                    file.write(text)
            now = datetime.combine(case.day0 - timedelta(days=20), time(12), UTC)
            if case.done:  # half a minute after the window of the last day that lies behind
                try:
                    now = acts_of(case)[1][case.done - 1] + timedelta(minutes=case.window[1], seconds=30)
                except Unclear:
                    case.done = 0
            questions.append(f"{int(now.timestamp())} {folder}/patients/a.yaml")
            cases.append(case)
        if os.environ.get("KEEP"):
            import shutil
            shutil.rmtree(os.environ["KEEP"], ignore_errors=True)
            shutil.copytree(scratch, os.environ["KEEP"])
        done = subprocess.run([".build/drivers/plans"], input="\n".join(questions) + "\n", capture_output=True,
                              text=True)
    answers = done.stdout.split("\n")[:-1]
    agreed, unread, faults, ways = 0, 0, [], {}
    for index, (case, text) in enumerate(zip(cases, answers)):
        answer = json.loads(text)
        if not answer["plan"]:
            unread += 1
            faults.append(f"{index}: no plan: {answer['findings']}")
            continue
        wrong = differences(case, answer)
        faults += [f"{index} {case.way}: {'; '.join(wrong)} ({' '.join(answer['findings'])})"] if wrong else []
        agreed += not wrong
        ways[case.way] = ways.get(case.way, 0) + 1
    print("\n".join(faults[:int(os.environ.get("SHOW", 20))]))
    print(f"{ways}; {agreed} agree, {len(cases) - agreed} do not; driver's exit {done.returncode} {done.stderr[-300:]}")
    return 1 if agreed != count else 0


if __name__ == "__main__":
    sys.exit(main())
