"""The samples' clinics in two languages, for tests that print the others."""
import glob
import os
import re
import shutil


def both_ways(text, key, own, tag):
    """A text of the samples in two languages, with the same words in both."""
    return re.sub(rf"^(\s*{key})([A-Za-z][^\n{{}}\[\]]*)$", rf'\1{{{own}: "\2", {tag}: "\2"}}', text, flags=re.M)


def translated_samples(folder, clinic, tag):
    """The samples' clinic with every text in two languages."""
    translated(os.path.join("samples", clinic), folder, "en-GB" if clinic == "northmere" else "en", tag)


def translated(source, folder, own, tag):
    """A clinic's folder, written in one language, with every text in two."""
    shutil.copytree(source, folder)
    for path in glob.glob(folder + "/*.yaml") + glob.glob(folder + "/protocols/*.yaml"):
        with open(path, encoding="utf-8") as file:
            text = file.read()
        for key in "demonstration title why late technique answers".split():
            text = both_ways(text, key + ": ", own, tag)
            text = re.sub(rf"({key}: )([A-Za-z][^\n,{{}}\[\]]*)(?=[,}}])", rf'\1{{{own}: "\2", {tag}: "\2"}}', text)
        lists = r"^  (?:normal|emergency|signs):\n(?:    - .*\n)+"
        text = re.sub(lists, lambda found: both_ways(found[0], "    - ", own, tag), text, flags=re.M)
        text = re.sub(r"((?:normal|emergency|signs): \[)([^\]{]*)\]", lambda found: found[1] + ", ".join(
            f'{{{own}: "{words}", {tag}: "{words}"}}' for words in found[2].split(", ")) + "]", text)
        text = re.sub(r"^languages: \[(.*)\]", rf"languages: [\1, {tag}]", text, flags=re.M)
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)
