#!/usr/bin/python3
"""What is drawn in life size, measured on a rendering at 300 dots an inch by poppler, which
knows nothing of how it was drawn: the bank card's length (ISO/IEC 7810, ID-1: 85.60
mm) and both needles (lengths as on the sheet, 25.4 mm an inch)
within 0.2 mm, the marks of the syringe within 0.1 mm of even spacing and of the length
that the shelf gives for the scale."""
import glob
import os
import re
import subprocess
import sys
import tempfile

from PIL import Image

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
sys.path.insert(0, "tests/score")
sys.dont_write_bytecode = True
from points import barrel_ticks, filled_figures
from sheet import Sheet

PROGRAM, DPI = ".build/dosewright", 300
PX = DPI / 25.4
SAMPLES = [("samples/lantern-cove/patients/LC-2041.yaml", "3 mL"), ("samples/lantern-cove/patients/LC-2060.yaml", "insulin 1 mL")]
faults, passed = [], 0


def expect(name, value, wanted, slack):
    global passed
    if value is not None and abs(value - wanted) <= slack:
        passed += 1
    else:
        faults.append(f"{name}: {value if value is None else round(value, 3)} mm for {wanted} mm")


class Raster:
    def __init__(self, sheet, page):
        with tempfile.TemporaryDirectory() as scratch:
            subprocess.run(["pdftoppm", "-r", str(DPI), "-gray", "-f", str(page + 1), "-l", str(page + 1), sheet.path,
                            scratch + "/p"], check=True)
            with Image.open(glob.glob(scratch + "/p*")[0]) as image:
                self.pixels, self.size = image.convert("L").load(), image.size

    def strokes(self, at, low, high, across):
        """Middles (mm) of the dark strokes that a line at this place crosses, weighted by darkness.
        across: along x at y = at; else along y at x = at."""
        found, weight, moment = [], 0.0, 0.0
        for i in range(int(low * PX), int(high * PX) + 1):
            j = int(at * PX)
            dark = 175 - (self.pixels[i, j] if across else self.pixels[j, i]) # darker than what is filled
            if dark > 0:
                weight, moment = weight + dark, moment + dark * (i + 0.5)
            elif weight:
                if weight > 100:
                    found.append(moment / weight / PX)
                weight = moment = 0.0
        return found


def outer(strokes):
    return strokes[-1] - strokes[0] if len(strokes) >= 2 else None


def check_card(sheet):
    """The line as long as a bank card (ISO/IEC 7810, ID-1: 85.60 mm), from end to end."""
    ends = sorted((p for p in sheet.paths if p.wide() < 1.2 and 3 < p.tall() < 5), key=lambda p: (p.page, p.top, p.left))
    card = next(((a, b) for a in ends for b in ends if a.page == b.page and abs(a.top - b.top) < 0.1
                 and abs(b.left - a.left - 85.6) < 1), None)
    if card is None:
        faults.append("no card to measure")
        return
    left, right = card
    raster = Raster(sheet, left.page)
    expect("card", outer(raster.strokes(left.top + 0.5, left.left - 2, right.right + 2, True)), 85.60, 0.2)


def check_marks(sheet, scale):
    for number, figure in enumerate(filled_figures(sheet)):
        marks = barrel_ticks(sheet.in_figure(figure))
        raster = Raster(sheet, figure["page"])
        at = min(m.bottom for m in marks) - min(m.tall() for m in marks) / 2 # clear of the barrel's corner
        seen = raster.strokes(at, marks[0].left - 1, marks[-1].left + 1, True)
        near = [min(seen, key=lambda x: abs(x - m.left)) for m in marks] if seen else []
        if len(set(near)) != len(marks):
            faults.append(f"figure {number}: {len(set(near))} marks to be seen of {len(marks)}")
            continue
        step = scale / (len(marks) - 1)
        worst = max(abs(x - near[0] - i * step) for i, x in enumerate(near))
        expect(f"figure {number}: marks", worst, 0, 0.1)
        expect(f"figure {number}: scale", near[-1] - near[0], scale, 0.2)


def scales_of_shelf():
    """Each syringe's scale length as the shelf has it, mm."""
    with open("samples/lantern-cove/shelf.yaml", encoding="utf-8") as file:
        rows = re.split(r"\n  - name: ", file.read())
    return {row.split("\n")[0]: re.search(r"scale_length: ([\d.]+) mm", row).group(1) for row in rows if "scale_length" in row}


with tempfile.TemporaryDirectory() as scratch:
    for patient, _ in SAMPLES:
        with open(patient, encoding="utf-8") as file:
            now = file.readline().split(" ")[-1].strip()
        subprocess.run([PROGRAM, "sheet", "--now", now, "--out", scratch, patient], check=True, capture_output=True)
    build = {"language": "en", "paper": "Letter", "large": False}
    for patient, syringe in SAMPLES:
        path = glob.glob(f"{scratch}/{os.path.basename(patient)[:-5]}-*.pdf")[0]
        sheet = Sheet(path, {"plan": {}, "injection": {}}, build)
        check_marks(sheet, float(scales_of_shelf()[syringe]))
        if "2041" in patient:
            check_card(sheet)
print("\n".join(faults))
print(f"{passed} passed, {len(faults)} failed")
sys.exit(1 if faults or not passed else 0)
