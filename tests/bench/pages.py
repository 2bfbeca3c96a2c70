#!/usr/bin/python3
"""The pages of a finished sheet as a list of things to draw, for tests/bench/bare: each line
of text with its place and size (from mupdf), each path in points (from the content).
usage: pages.py SHEET.pdf LIST"""
import html
import re
import subprocess
import sys

import pikepdf


def times(a, b):
    return (a[0] * b[0] + a[1] * b[2], a[0] * b[1] + a[1] * b[3], a[2] * b[0] + a[3] * b[2], a[2] * b[1] + a[3] * b[3],
            a[4] * b[0] + a[5] * b[2] + b[4], a[4] * b[1] + a[5] * b[3] + b[5])


class Page:
    def __init__(self, page):
        self.height, self.out = float(page.MediaBox[3]), []
        self.state = {"ctm": (1, 0, 0, 1, 0, 0), "fill": "0 0 0", "stroke": "0 0 0", "width": 1.0}
        self.stack = []
        for operands, operator in pikepdf.parse_content_stream(page):
            self.one(str(operator), operands)

    def points(self, args):
        m, found = self.state["ctm"], []
        for x, y in zip(args[::2], args[1::2]):
            x, y = float(x), float(y)
            found += [x * m[0] + y * m[2] + m[4], self.height - (x * m[1] + y * m[3] + m[5])]
        return " ".join(f"{v:.3f}" for v in found)

    def one(self, op, args):
        state = self.state
        if op == "q":
            self.stack.append(dict(state))
        elif op == "Q":
            self.state = self.stack.pop()
        elif op == "cm":
            state["ctm"] = times([float(a) for a in args], state["ctm"])
        elif op in ("rg", "RG"):
            state["fill" if op == "rg" else "stroke"] = " ".join(str(float(a)) for a in args)
        elif op in ("g", "G"):
            state["fill" if op == "g" else "stroke"] = " ".join([str(float(args[0]))] * 3)
        elif op == "w":
            state["width"] = float(args[0])
        elif op in ("m", "l", "c"):
            self.out.append(f"{op} {self.points(args)}")
        elif op == "re":
            x, y, w, h = (float(a) for a in args)
            self.out += [f"m {self.points([x, y])}", f"l {self.points([x + w, y])}", f"l {self.points([x + w, y + h])}",
                         f"l {self.points([x, y + h])}", "h"]
        elif op == "h":
            self.out.append("h")
        elif op in ("f", "F", "f*"):
            self.out.append(f"f {state['fill']}")
        elif op in ("S", "s"):
            m = state["ctm"]
            self.out.append(f"S {state['width'] * abs(m[0] * m[3] - m[1] * m[2]) ** 0.5:.3f} {state['stroke']}")
        elif op == "n":
            self.out.append("n")


sheet, target = sys.argv[1:]
stext = subprocess.run(["mutool", "draw", "-q", "-F", "stext", sheet], capture_output=True, text=True, check=True).stdout
texts = re.split(r"<page ", stext)[1:]
with pikepdf.open(sheet) as pdf, open(target, "w", encoding="utf-8") as out:
    for page, text in zip(pdf.pages, texts):
        out.write("P\n" + "\n".join(Page(page).out) + "\n")
        for body in re.findall(r"<line [^>]*>(.*?)</line>", text, re.S):
            size, name = re.search(r'size="([^"]+)"', body).group(1), re.search(r'<font name="([^"]+)"', body).group(1)
            chars = re.findall(r'<char [^>]*? x="([^"]+)" y="([^"]+)"[^>]*? c="([^"]*)"', body)
            words = "".join(html.unescape(c) for _, _, c in chars)
            out.write(f"T {size} {int('Bold' in name)} {chars[0][0]} {chars[0][1]} {words}\n")
