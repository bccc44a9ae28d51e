#!/usr/bin/env python3
# SPDX-License-Identifier: LGPL-2.1-or-later
"""Long words in every place a job has for them: nothing cut, nothing over something else.

The pages are read back by poppler (pdftotext -bbox), which says where every word stands. A word
must keep the page's margins, no two may share paper, and each word of what may not be shortened
must be found. Names are invented.
"""

import html
import itertools
import os
import re
import subprocess
import sys
import tempfile

CLI = sys.argv[1]
PT = 72.0 / 25.4
MARGIN = 14.0 * PT          # the sheets' margin is 15 mm; accents and italics hang over by less than 1

TITLES = {
    "german": "Pokalbecher der Achterrennmannschaftswanderpreisverleihung mit Vereinswappen und Jahreszahl, zweite Auflage",
    "greek": "Αναμνηστικό κύπελλο του κωπηλατικού ομίλου με έμβλημα, όνομα και έτος, δεύτερη έκδοση για όλα τα πληρώματα",
    "cyrillic": "Памятный кубок гребного клуба с гербом, именем и годом, второе издание для всех экипажей и тренеров",
    "unbroken": "X" * 160,
}
LONG = "Gebürstetes doppelwandiges Edelstahlreisetrinkgefäß mit konischer Wandung ohne Beschichtung"
NAME = "Vereinswappen mit Spruchband und Jahreszahl vorne mittig unter dem Rand des Gefäßes"
NOTE = " ".join("Gegenüberliegende Seite bleibt vollständig unbehandelt und muss abgedeckt werden." for _ in range(12))

JOB = """[Job]
Format=1
Title={title}
Note={note}
[Vessel]
Name={vessel}
Heights=0;150
Diameters=62;88
[Artwork {name} A]
Text=Larkmoor
FontSize=8
At=90
[Artwork {name} B]
Text=Larkmoor
FontSize=8
At={at}
Around=180
[Zone {name} C]
Kind=handle
Centre=120
Width=20
From=20
To=70
[Machine]
Name={vessel}
TravelPerTurn=200
"""


def words_of(pdf):
    """[(page, page width, page height, x0, y0, x1, y1, text)]"""
    out = subprocess.run(["pdftotext", "-bbox", pdf, "-"], check=True, capture_output=True, text=True).stdout
    found, page, size = [], -1, (0.0, 0.0)
    for line in out.splitlines():
        m = re.search(r'<page width="([\d.]+)" height="([\d.]+)"', line)
        if m:
            page, size = page + 1, (float(m[1]), float(m[2]))
        m = re.search(r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*)</word>', line)
        if m:
            found.append((page, *size, *(float(v) for v in m.groups()[:4]), html.unescape(m[5])))
    return found


def check(pdf, whole):
    words = words_of(pdf)
    trouble = []
    assert len(words) > 20, f"{pdf}: only {len(words)} words"
    for page, w, h, x0, y0, x1, y1, text in words:
        if x0 < MARGIN or x1 > w - MARGIN or y0 < 9 * PT or y1 > h - 6 * PT:
            trouble.append(f"page {page + 1}: \"{text}\" is outside the margins: {x0:.0f} to {x1:.0f}, {y0:.0f} to {y1:.0f}")
    for a, b in itertools.combinations(words, 2):
        if a[0] != b[0]:
            continue
        across = min(a[5], b[5]) - max(a[3], b[3])
        down = min(a[6], b[6]) - max(a[4], b[4])
        # A font's box is higher than its letters: lines set close share a little of it.
        if across > 1.0 and down > 0.3 * min(a[6] - a[4], b[6] - b[4]):
            trouble.append(f"page {a[0] + 1}: \"{a[7]}\" and \"{b[7]}\" overlap")
    run_on = "".join(w[7] for w in words)
    for text in whole:
        for word in text.split():
            if word not in run_on:
                trouble.append(f"\"{word}\" is cut")
    return [f"{os.path.basename(pdf)}: {t}" for t in trouble]


def cli(*arguments, expect=(0,)):
    run = subprocess.run([CLI, *arguments], capture_output=True, text=True)
    assert run.returncode in expect, f"{arguments}: {run.returncode}: {run.stderr}"


def main():
    trouble = []
    keep = os.environ.get("RHY_KEEP")
    with tempfile.TemporaryDirectory() as folder:
        folder = keep or folder
        for i, ((key, title), paper) in enumerate(itertools.product(TITLES.items(), ("a4", "letter"))):
            at = (90, 149)[(i + i // 2) % 2]    # every other job is not ready, on either paper
            job = os.path.join(folder, f"{key}-{at}.rhyton")
            with open(job, "w", encoding="utf-8") as out:
                out.write(JOB.format(title=title, note=NOTE, vessel=LONG, name=NAME, at=at))
            pdf = os.path.join(folder, f"{key}-{at}-{paper}.pdf")
            cli("sheet", "--paper", paper, "--power", "dreiundsechzig Hundertstel der Nennleistung", "-o", pdf, job,
                expect=(0,) if at == 90 else (1,))
            trouble += check(pdf, (title, LONG, NAME, NOTE))
            if at == 149 and not words_of(pdf)[0][7] == "NOT":
                trouble.append(f"{key}: a job that is not ready does not say so first")
        names = os.path.join(folder, "names.csv")
        with open(names, "w", encoding="utf-8") as out:
            out.write("name\n" + "".join(f'"{text} {i}"\n' for i, text in enumerate([*TITLES.values(), NAME] * 5)))
        job = os.path.join(folder, "batch.rhyton")
        with open(job, "w", encoding="utf-8") as out:
            out.write(JOB.format(title=TITLES["greek"], note=NOTE, vessel=LONG, name=NAME, at=90)
                      .replace("Text=Larkmoor\nFontSize=8", "Text={name}\nFontSize=8\nWidthMax=80\nShrinkMin=0.01", 1))
        for paper in ("a4", "letter"):
            cups = os.path.join(folder, "cups-" + paper)
            cli("batch", "--names", names, "-d", cups, "--paper", paper, job, expect=(0, 1))
            # What is longer than its picture is wide ends in dots there: the manifest has it whole.
            for pdf in (f for f in os.listdir(cups) if f.endswith(".pdf")):
                trouble += check(os.path.join(cups, pdf), ())
    print("\n".join(trouble[:40]))
    return 1 if trouble else 0


if __name__ == "__main__":
    sys.exit(main())
