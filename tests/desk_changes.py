#!/usr/bin/env python3
"""What changes after a sheet was printed, at the desk: a change is taken back until a new sheet is printed;
who gets a new one is told what is new; Tonight lists what the wall's list does not know; two who have one
person open see each other; a scan of a box (GS1 General Specifications) is taken apart; a name without room is told.  usage: tests/desk_changes.py"""
import os
import re
import sys
import tempfile

import desk
from desk import Browser, Server

DAY = "2026-11-24T14:00-04:00"


def fields_of(browser):
    """The person's form as it stands on the page."""
    form = re.search(r'<form class="live" id="person".*?</form>', browser.page, re.S).group(0)
    fields = {}
    for tag in re.findall(r"<input[^>]*>", form):
        known = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        if known.get("type") not in ("radio", "checkbox") or " checked" in tag:
            fields[known["name"]] = desk.html.unescape(known.get("value", ""))
    fields["protocol"] = re.search(r'value="([\w-]+)" selected', form).group(1)
    del fields["token"]
    return fields


def text_of(folder, code):
    with open(os.path.join(folder, "patients", code + ".yaml"), encoding="utf-8") as file:
        return file.read()


def hidden(folder):
    return [name for name in os.listdir(os.path.join(folder, "before")) if name.endswith(".before")]


def check_undo(folder, browser, expect):
    before = text_of(folder, "LC-2041")
    browser.get("/person/LC-2041")
    expect(not browser.has("Changed since a sheet was printed"), "nothing was changed yet")
    fields = fields_of(browser)
    browser.send("/person", **{**fields, "anchor.clock": "11:45 am"})
    expect(browser.status == 303, "changed")
    browser.get("/person/LC-2041?saved=1")
    expect(browser.has("Changed since a sheet was printed") and "11:45 am" in text_of(folder, "LC-2041"), "the page says so")
    browser.send("/person", **{**fields_of(browser), "phone": "902 555 0199"})
    browser.get("/person/LC-2041")
    digest = fields_of(browser)["digest"]
    browser.send("/person/LC-2041/back", digest="0" * 64)
    expect(browser.status == 409 and "11:45 am" in text_of(folder, "LC-2041"), "back from what nobody looked at")
    browser.send("/person/LC-2041/back", digest=digest)
    expect(browser.status == 303 and text_of(folder, "LC-2041") == before and not hidden(folder), "both changes are taken back")
    browser.get("/person/LC-2041?back=1")
    expect(browser.has("As before") and not browser.has("Changed since a sheet"), "and the page says so")
    expect("LC-2041</span>" in browser.get("/?still=1").page and not browser.has("Without a sheet that counts"), "she is on the list")


def spoken_code(folder):
    """Of the sheet that counts, as the record has it."""
    return re.findall(r"code ([0-9A-Z]{5})", desk.record(folder, "find", "LC-2041"))[-1]


def check_replaced(folder, browser, expect):
    old = spoken_code(folder)
    browser.get("/person/LC-2041")
    browser.send("/person", **{**fields_of(browser), "anchor.clock": "11:45 am"})
    browser.get("/person/LC-2041")
    browser.send("/person/LC-2041/print", digest=fields_of(browser)["digest"], replace="yes")
    expect(browser.status == 303 and not hidden(folder), "printed anew, and no way back")
    browser.get(browser.headers["Location"])
    expect(browser.has("Ring now, say it, hear it back") and browser.has("11:45 pm; it was") and browser.has("tear it up"),
           "what to say when a sheet is replaced")
    spaced = "%20".join(old.lower()) # as somebody spells it on the telephone
    browser.get(f"/call?word={spaced}")
    for words in (f"The code {old} is of a sheet that does not count", "of LC-2041, replaced", "it said Tuesday 2026-11-24 11:30 pm", "counts",
                  f"code {spoken_code(folder)}", "Tuesday 2026-11-24 11:45 pm", "do nothing from the sheet in your hand"):
        expect(browser.has(words), f"whoever holds the old sheet: {words}")


def check_since(browser, expect):
    """The lists were made at 3 pm of the day before; now it is 2 pm."""
    browser.get("/?still=1&since=1:30 pm".replace(" ", "%20"))
    expect(browser.has("Changed since 1:30 pm") and browser.has("now 11:45 pm, was 11:30 pm"), "moved since")
    browser.get("/person/LC-2056")
    number = re.search(r'name="sheet" value="(\d+)"', browser.page).group(1)
    browser.send("/person/LC-2056/cancel", sheet=number, because="no egg collection", sure="yes")
    browser.get("/new")
    fresh = {**desk.NEW, "patient": "LC-2060", "name": "Odile R.", "anchor.clock": "11:15 am", "allergies": "none", "digest": ""}
    browser.send("/person", **fresh)
    browser.get("/person/LC-2060")
    browser.send("/person/LC-2060/print", digest=fields_of(browser)["digest"])
    expect(browser.status == 303, f"printed {browser.page[-300:]}")
    browser.get("/person/LC-2049")
    browser.send("/person/LC-2049/move", day="2026-11-27", hour="9:45 am", print="yes")
    browser.get("/?still=1&since=13:30")
    for words in ("LC-2056: off the list, was 11 pm", "LC-2060: is new, 11:15 pm",
                  "LC-2049: not tonight any more, was 9:45 pm; now Wednesday 2026-11-25, 9:45 pm"):
        expect(browser.has(words), words)
    browser.get("/?still=1&since=3%20pm")
    expect(not browser.has("Changed since") and not browser.has("Nothing has changed"), "since an hour to come")
    browser.get("/?still=1&since=soon")
    expect(browser.has("is no clock time") and browser.status == 200, "since no hour")


def check_beside(server, browser, expect):
    other = Browser(server, server.new_link()).sit("P. Invented")
    other.get("/person/LC-2041")
    browser.get("/person/LC-2041")
    expect(browser.has("P. Invented has this person open as well"), "the second sees the first")
    expect(other.send("/preview", **fields_of(browser)).has("K. Madeup has this person open as well"), "the first sees the second")
    other.get("/")
    browser.get("/person/LC-2041")
    expect(not browser.has("open as well"), "who left is not there")
    other.get("/person/LC-2049")
    expect(not other.has("open as well"), "another person is another page")


SCAN = "]d2010952123454321317280800" # a number that GS1 keeps for examples; day 00: the end of the month


def check_scan(folder, browser, expect):
    """What a scanner types into the field of a lot, GS and all, is taken apart and compared with the shelf."""
    shelf = os.path.join(folder, "shelf.yaml")
    with open(shelf, encoding="utf-8") as file:
        text = file.read()
    with open(shelf, "w", encoding="utf-8") as file:
        file.write(text.replace("    generic: chorionic gonadotropin\n",
                                '    generic: chorionic gonadotropin\n    item_numbers: ["09521234543213"]\n'))
    fields = {**desk.NEW, "patient": "LC-2062", "anchor.clock": "11:15 am", "allergies": "none", "box.0.expires": "", "digest": ""}
    browser.get("/new")
    browser.send("/person", **{**fields, "box.0.lot": SCAN + "10B77/2\x1d21S1"})
    expect(browser.status == 303, "a scan is kept")
    with open(os.path.join(folder, "patients", "LC-2062.yaml"), encoding="utf-8") as file:
        kept = file.read()
    expect('lot: "B77/2", item: "09521234543213", expires: "2028-08"' in kept, f"taken apart: {kept}")
    browser.get("/new")
    browser.send("/preview", **{**fields, "patient": "LC-2063", "box.0.lot": "010950110153000317280831" + "10B77"})
    expect("is not this medicine" in desk.html.unescape(desk.at_field(browser.page, "box_0")), "another box")
    browser.send("/preview", **{**fields, "patient": "LC-2063", "box.0.lot": SCAN + "10B7721S1"})
    expect("left out the sign between the parts" in desk.html.unescape(desk.at_field(browser.page, "box_0")), "a lost GS")


def check_loads(folder, browser, expect):
    """Work for two is drawn: whose bar is longest, and the way to what each has to do."""
    path = os.path.join(folder, "protocols", "arm-trigger.yaml")
    with open(path, encoding="utf-8") as file:
        text = file.read()
    with open(path, "w", encoding="utf-8") as file:
        file.write(re.sub(r"revision: \d+", "revision: 9", text))
    browser.get("/worklist")
    bars = re.findall(r'<dt><a href="(/worklist\?owner=[^"]+)">([^<]+)</a></dt><dd><svg.*?</svg><span>(.*?)</span>', browser.page)
    expect(len(bars) > 1 and len({bar[1] for bar in bars}) == len(bars), f"who has how much to do: {bars}")
    told = sum(int(count) for bar in bars for count in re.findall(r"\d+", bar[2]))
    head = re.search(r"(\d+) stop a sheet, (\d+) wait for a name, (\d+) end soon", browser.page).groups()
    expect(told == sum(map(int, head)), f"the bars hold all of it: {bars} {head}")
    for way, owner, _ in bars:
        owners = set(re.findall(r'waits for</span> <b>([^<]*)</b>', browser.get(desk.html.unescape(way)).page))
        expect(owners == {owner}, f"the way to {owner}: {owners}")


def check_whiteboard(folder, browser, expect):
    """A day, an hour and a date of a box as people write them stand in full in the file, and beside the field
    before; what is empty in a new form is named once; the next person begins with the protocol alone."""
    browser.get("/new?protocol=evening-trigger&name=Somebody&patient=LC-9")
    expect('value="evening-trigger" selected' in browser.page and "Somebody" not in browser.page and "LC-9" not in browser.page and
           browser.has("Box handed out: chorionic") and "finding stop" not in browser.page and
           re.search(r"Still to fill in: Code .*Procedure .*Who injects", re.sub(r"<[^>]*>", "", browser.page)), "the next person")
    typed = {**desk.NEW, "patient": "LC-2066", "order": "R-66", "anchor.on": "Thu", "anchor.clock": "1115", "allergies": "none",
             "box.0.expires": "08/2028"}
    browser.send("/preview", **typed)
    expect(browser.has("Read as Thursday 2026-11-26") and browser.has("Read as 11:15") and browser.has("Read as 2028-08") and
           'value="Thu"' in browser.page and browser.has("Page 1 of 4"), "what was read of it")
    browser.send("/person", **typed, digest="")
    browser.get("/person/LC-2066")
    expect('value="Thursday 2026-11-26"' in browser.page and 'value="11:15"' in browser.page and 'value="2028-08"' in browser.page and
           browser.has("Nothing stops this sheet"), "kept in full")
    os.remove(os.path.join(folder, "patients", "LC-2066.yaml"))
    browser.send("/preview", **{**typed, "anchor.clock": "9.15"})
    expect(browser.has("Read as 9:15 am"), "the clinic's procedures are from 7 am to 2 pm")
    browser.send("/preview", **{**typed, "anchor.clock": "5.15", "box.0.expires": "8/27"})
    expect(not browser.has("Read as") or browser.page.count("Read as") == 1, "what means two is not taken")
    for way in ("anchor.clock=5:15 am", "anchor.clock=5:15 pm", "box.0.expires=2027-08", "box.0.expires=2027-08-27"):
        expect(f'name="take" value="{way}"' in browser.page, f"a button for {way}")
    browser.send("/preview", **{**typed, "anchor.clock": "5.15", "take": "anchor.clock=5:15 am"})
    expect('name="anchor.clock" value="5:15 am"' in browser.page and 'name="take"' not in browser.page, "one of two is chosen")
    expect(browser.has("The clinic’s only one") and browser.has("In English."), "the sheet's language is said")


def check_start(folder, browser, expect):
    """The first day of a course is typed, and the day of the procedure follows from its protocol (day -11); two days
    that do not belong together are refused, and so is a start of a protocol that counts in hours."""
    course = {**desk.NEW, "patient": "LC-2067", "name": "Ines V.", "protocol": "pen-course", "order": "R-67", "by": "self",
              "anchor.clock": "8.30", "anchor.on": "", "allergies": "none", "box.0.medicine": "follitropin alfa 600 units in 1 mL",
              "box.0.count": "3", "start": "Thu 26"}
    browser.send("/preview", **course)
    expect(browser.has("First injection Thursday 2026-11-26, so the egg collection is on Monday 2026-12-07") and
           browser.has("evening: inject Thursday 2026-11-26, 8 pm"), "the start of a course")
    browser.send("/person", **{**course, "anchor.on": "Tue 8 Dec"}, digest="")
    expect(browser.status == 422 and browser.has("The two days do not belong together"), "two days that disagree")
    browser.send("/person", **{**course, "start": "soon"}, digest="")
    expect(browser.status == 422 and browser.has("is no day that can be read"), "no day")
    browser.send("/person", **{**course, "anchor.on": "Mon 7 Dec"}, digest="")
    path = os.path.join(folder, "patients", "LC-2067.yaml")
    with open(path, encoding="utf-8") as file:
        text = file.read()
    expect(browser.status == 303 and "Monday 2026-12-07" in text and "start" not in text, f"kept: {text}")
    browser.get("/person/LC-2067")
    browser.send("/person", **{**course, **browser.fields("/person"), "start": "Fri 27", "anchor.on": "Monday 2026-12-07"})
    with open(path, encoding="utf-8") as file:
        expect("Tuesday 2026-12-08" in file.read(), "a new start moves the day that stands there")
    browser.get("/new")
    browser.send("/preview", **{**desk.NEW, "start": "Thu 26", "anchor.on": ""})
    expect(not browser.has("First injection") and 'name="start"' not in browser.page, "hours before it: many starts, or none")
    os.remove(path)


def check_others(folder, browser, expect):
    """Somebody of the same first name that night; a lot that is another medicine's on a sheet, in a file, in the form."""
    typed = {**desk.NEW, "patient": "LC-2068", "name": "Joëlle X.", "anchor.clock": "8 am", "allergies": "none"}
    browser.send("/preview", **typed)
    expect(browser.has("Another one of this first name, in these nights: Joëlle C., LC-2056, Tuesday 2026-11-24") and
           "once more" not in browser.page, "of one first name, and a lot of its own medicine")
    for day, told in (("2026-11-29", True), ("2026-11-30", False)): # three nights behind them, and four
        browser.send("/preview", **{**typed, "anchor.on": day})
        expect(browser.has("Another one") == told, f"of one first name, on {day}")
    browser.send("/preview", **{**typed, "name": "Maud X."})
    expect(not browser.has("Another one"), "nobody of that name")
    pen = "follitropin alfa 600 units in 1 mL"
    browser.send("/preview", **{**typed, "protocol": "pen-course", "box.0.medicine": pen})
    expect(browser.has("this lot is known as that of chorionic gonadotropin 10,000 units (LC-20"), "a lot of another medicine")
    browser.send("/preview", **{**typed, "box.0.lot": "B77", "box.1.medicine": pen, "box.1.lot": "B77"})
    expect(browser.has(f"this lot is typed for {pen} as well"), "one lot in two boxes")


def check_fits(folder, browser, expect):
    """What only drawing finds is said before it is printed, at the name: the page, the preview and printing agree.
    Words of the widest letters as long as the page lets pass without drawing do print."""
    browser.get("/new")
    browser.send("/person", **{**desk.NEW, "patient": "LC-2067", "order": "R-67", "anchor.clock": "11:05 am", "allergies": "none"},
                 digest="")
    browser.get("/person/LC-2067")
    fields = fields_of(browser)
    for name, why in (("W" * 22, "does not fit its place"), ("Mar\u0e01 T.", "the letter \u0e01 (U+0E01)"),
                      ("WWWWWWWWWWWWWW WWWWWWWWWWWWWW WWWWWWWWWW", None)):
        browser.get("/person/LC-2067")
        browser.send("/preview", **{**fields, "name": name})
        at_name = desk.html.unescape(desk.at_field(browser.page, "who"))
        expect("base64," in browser.page and (why in at_name if why else "Stops" not in at_name), f"the preview of {name}")
        browser.get("/person/LC-2067")
        browser.send("/person", **{**fields, "name": name, "digest": fields_of(browser)["digest"]})
        browser.get("/person/LC-2067")
        at_name = desk.html.unescape(desk.at_field(browser.page, "who"))
        expect(why in at_name and browser.has("1 to put right") and not browser.has("Nothing stops") if why else
               browser.has("Nothing stops this sheet"), f"the page of {name}")
        browser.send("/person/LC-2067/print", digest=fields_of(browser)["digest"])
        expect(browser.status == (422 if why else 303), f"printing {name}")


def check_boxes(folder, browser, expect):
    """The form asks for the boxes of the protocol that is chosen, and for no others; a finding stands at the box
    that it is of; how many were handed out can be said where one is not enough."""
    typed = {**desk.NEW, "patient": "LC-2077", "order": "R-77", "protocol": "pen-course", "anchor.on": "2026-12-07", "anchor.clock": "9:30 am",
             "box.0.lot": "", "box.0.expires": "", "box.1.medicine": "follitropin alfa 600 units in 1 mL"}
    browser.send("/preview", **typed)
    expect(not browser.has("Box handed out: chorionic") and browser.has("Box handed out: follitropin"), "no box of another protocol")
    browser.send("/preview", **{**typed, "box.0.lot": "A1234"})
    expect(browser.has("Box handed out: chorionic") and 'value="A1234"' in browser.page, "what was typed is not lost")
    typed = {**typed, "protocol": "double-trigger", "box.0.medicine": "leuprolide acetate 14 mg in 2.8 mL", "box.1.lot": "L55",
             "box.1.medicine": "chorionic gonadotropin 10,000 units", "box.1.expires": "2020-01"}
    browser.send("/preview", **typed)
    expect("Stops the sheet" not in desk.at_field(browser.page, "box_0") and "Stops the sheet" in desk.at_field(browser.page, "box_1"),
           "a finding stands at its box, though the first is empty")
    typed = {**typed, "protocol": "pen-course", "box.0.medicine": "follitropin alfa 600 units in 1 mL", "box.0.lot": "F77", "box.0.expires": "2027-08",
             "box.1.medicine": "", "box.1.lot": "", "box.1.expires": ""}
    browser.send("/preview", **typed)
    expect(browser.has("needed 3") and 'name="box.0.count"' in browser.page, "too few: how many is asked")
    browser.send("/person", **typed, digest="")
    browser.get("/person/LC-2077")
    browser.send("/person", **{**fields_of(browser), "box.0.count": "3"})
    expect("count: \"3\"" in text_of(folder, "LC-2077") or "count: 3" in text_of(folder, "LC-2077"), "and kept")
    browser.get("/person/LC-2077")
    expect(not browser.has("needed 3") and 'name="box.0.count" value="3"' in browser.page, "and read back")
    os.remove(os.path.join(folder, "patients", "LC-2077.yaml"))


def check_unprinted(folder, browser, expect):
    """Who was kept and has no sheet is found; what hangs on the procedure says which it is; a warning leads to where a
    name is put to it; "ready" does not say that a sheet lies on paper."""
    browser.get("/new?protocol=evening-trigger")
    expect(browser.has("Procedure: egg collection"), "which procedure")
    browser.send("/person", **{**desk.NEW, "patient": "LC-2078", "name": "Zora Q.", "order": "R-78", "anchor.clock": "8:30", "allergies": "some",
                               "allergies.these": "latex"}, digest="")
    browser.get("/person/LC-2078?saved=1")
    to = re.search(r'href="#(because-\d+)">this allergy', browser.page)
    expect(to and f'id="{to.group(1)}"' in browser.page, "from a warning to the place for a name")
    for word in ("LC-2078", "lc-2078", "zora"):
        browser.get(f"/call?word={word}")
        expect(not browser.has("Nobody is known") and browser.has("No sheet yet") and 'href="/person/LC-2078"' in browser.page, f"found: {word}")
    expect(browser.get("/call?word=ora").has("Nobody is known"), "the middle of a name names nobody")
    browser.get("/person/LC-2078")
    browser.send("/person", **{**fields_of(browser), "anchor.clock": "8:30 am", "allergies": "none", "allergies.these": ""})
    browser.get("/person/LC-2078")
    browser.send("/person/LC-2078/print", digest=fields_of(browser)["digest"])
    browser.get("/person/LC-2078?printed=1")
    told = re.search(r'role="status">.*?</p>', browser.page, re.S)
    expect(told and 'href="/sheet/LC-2078-' in told.group(0) and "not on paper yet" in told.group(0) and
           told.group(0).index("/sheet/") < told.group(0).index("/new?"), "the paper before the next person")
    browser.send("/person/LC-2078/move", day="", hour="5:45")
    expect(browser.has("Not moved") and browser.has("is no time: write") and "--help" not in browser.page and "dosewright:" not in browser.page,
           "no words of a terminal")
    expect(browser.get("/protocols").page.count("counts from egg collection") == 7, "what each protocol counts from")


def main():
    faults = []
    with tempfile.TemporaryDirectory() as temporary:
        folder = os.path.join(temporary, "clinic")
        desk.clinic_into(folder)
        server = Server(folder, DAY)
        try:
            browser = Browser(server, server.link).sit()

            def expect(fine, what):
                if not fine:
                    faults.append(f"{what}: {browser.status}\n{re.sub('<[^>]*>', ' ', browser.page)[:2500]}")

            check_undo(folder, browser, expect)
            check_replaced(folder, browser, expect)
            check_since(browser, expect)
            check_beside(server, browser, expect)
            check_scan(folder, browser, expect)
            check_whiteboard(folder, browser, expect)
            check_start(folder, browser, expect)
            check_others(folder, browser, expect)
            check_boxes(folder, browser, expect)
            check_unprinted(folder, browser, expect)
            check_fits(folder, browser, expect)
            check_loads(folder, browser, expect)
        finally:
            server.end()
    print("\n".join(faults) or "desk_changes: taken back, replaced, changed since, two at one person, a scan, a whiteboard")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
