"""The programs with a version that never changes, byte for byte as they are but for it: the version stands in the
last line of a sheet, and what a page holds follows from how long that line is.

usage: python3 tests/one_version.py PROGRAM VERSION    writes it into the program's own file"""
import os
import re
import shutil
import sys

VERSION = "0.0.0"  # no longer than that of any release


def put(path, version):
    """The version must stand in the file once, as a string of its own."""
    with open(path, "rb") as file:
        data = file.read()
    old, new = b"\0" + version.encode() + b"\0", b"\0" + VERSION.encode() + b"\0"
    if data.count(old) != 1 or len(old) < len(new):
        raise SystemExit(f"{path}: {version} stands there {data.count(old)} times")
    with open(path, "wb") as file:
        file.write(data.replace(old, new.ljust(len(old), b"\0")))


def said(run):
    """Of what --version prints."""
    return re.match(r"dosewright (\S+)", run("--version"))[1]


def programs(built, folder, version):
    """The first program's path: of copies of programs and templates in the folder, or where it was built so."""
    if version == VERSION:
        return f"{built}/dosewright"
    os.makedirs(f"{folder}/.build")
    for name in ("dosewright", "dosewright-paper"):
        shutil.copy(f"{built}/{name}", f"{folder}/.build/{name}")
        put(f"{folder}/.build/{name}", version)
    shutil.copytree(os.path.join(built, "..", "templates"), f"{folder}/templates")
    return f"{folder}/.build/dosewright"


if __name__ == "__main__":
    put(*sys.argv[1:])
