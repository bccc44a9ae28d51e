#!/usr/bin/env python3
# SPDX-License-Identifier: LGPL-2.1-or-later
"""Long words in every place a job has for them: nothing cut, nothing over something else.

The pages are read back by poppler (pdftotext -bbox), which says where every word stands. A word
must keep the page's margins, no two may share paper, and each word of what may not be shortened
must be found. Names are invented.

Then everything again in a language that there is not: each string of po/rhyton.pot 40 % longer and with
accents on its letters, as translations are at worst (IBM's and the W3C's advice for texts of that length:
40 %; for shorter ones up to 200 %, which words of up to 20 letters get here).
"""

import html
import itertools
import os
import re
import struct
import subprocess
import sys
import tempfile

CLI = sys.argv[1]
ROOT = sys.argv[2]
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


def check(pdf, whole, margin=MARGIN):
    words = words_of(pdf)
    trouble = []
    assert len(words) > 20, f"{pdf}: only {len(words)} words"
    for page, w, h, x0, y0, x1, y1, text in words:
        if x0 < margin or x1 > w - margin or y0 < min(margin, 9 * PT) or y1 > h - 6 * PT:
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


def cli(*arguments, expect=(0,), env=None):
    run = subprocess.run([CLI, *arguments], capture_output=True, text=True, env=env)
    assert run.returncode in expect, f"{arguments}: {run.returncode}: {run.stderr}"
    return run.stdout


# ---- a language that there is not ----

ACCENTS = str.maketrans("aceinouyACEINOUY", "áçéíñöûýÁÇÉÍÑÖÛÝ")


def strings_of(pot):
    """Every msgid of a template."""
    found, text = [], None
    for line in open(pot, encoding="utf-8"):
        m = re.match(r'(?:msgid )?"(.*)"$', line.strip())
        if line.startswith("msgid "):
            text = m[1]
        elif line.startswith('"') and text is not None:
            text += m[1]
        elif line.startswith("msgstr"):
            found.append(text.replace("\\n", "\n").replace('\\"', '"'))
            text = None
    return [t for t in found if t]


def longer(text):
    parts = re.split(r"(%[-0-9.]*[a-z%]|\n)", text)
    shown = "".join(p if i % 2 else p.translate(ACCENTS) for i, p in enumerate(parts))
    more = round(len(text) * (2.0 if len(text) <= 10 else 1.0 if len(text) <= 20 else 0.4))
    return shown + " " + " ".join("lénger"[: min(6, more - i)] for i in range(0, more, 7) if more > i)


def write_catalogue(path, strings):
    """A GNU .mo file: magic, revision, count, offsets of both tables, hash table of none (GNU gettext
    manual, "The Format of GNU MO Files")."""
    pairs = sorted([("", "Content-Type: text/plain; charset=UTF-8\n")] + [(t, longer(t)) for t in strings],
                   key=lambda p: p[0].encode())
    blobs, offset, tables = b"", 28 + 16 * len(pairs), ([], [])
    for side in (0, 1):
        for pair in pairs:
            raw = pair[side].encode()
            tables[side].append(struct.pack("<II", len(raw), offset + len(blobs)))
            blobs += raw + b"\0"
    os.makedirs(os.path.dirname(path))
    with open(path, "wb") as out:
        out.write(struct.pack("<7I", 0x950412DE, 0, len(pairs), 28, 28 + 8 * len(pairs), 0, 28 + 16 * len(pairs)))
        out.write(b"".join(tables[0] + tables[1]) + blobs)


def check_template(pot):
    """The template has every string that the papers mark, and no other."""
    marked = set()
    for name in open(os.path.join(ROOT, "po", "POTFILES")).read().split():
        text = open(os.path.join(ROOT, name), encoding="utf-8").read()
        for m in re.finditer(r'\bN?_ ?\(((?:\s*"(?:[^"\\]|\\.)*")+)\s*\)', text):
            literal = "".join(re.findall(r'"((?:[^"\\]|\\.)*)"', m[1]))
            literal = re.sub(r"(?:\\x[0-9a-f]{2})+", lambda x: bytes.fromhex(x[0].replace("\\x", "")).decode(), literal)
            marked.add(literal.replace("\\n", "\n"))
    found = set(strings_of(pot))
    return [f"po/rhyton.pot is old (ninja rhyton-pot): {sorted(marked ^ found)[:3]}"] if marked != found else []


ELSEWHERE = """[Zone Griff der Kanne gegenüber dem Vereinswappen]
Kind=handle
Centre=180
Width=60
From=20
To=130
[Output]
Bands=6
"""


def main_translated(folder):
    pot = os.path.join(ROOT, "po", "rhyton.pot")
    trouble = check_template(pot)
    write_catalogue(os.path.join(folder, "locale", "xx", "LC_MESSAGES", "rhyton.mo"), strings_of(pot))
    env = dict(os.environ, LC_ALL="C.UTF-8", LANGUAGE="xx", RHYTON_LOCALEDIR=os.path.join(folder, "locale"))
    demo = os.path.join(ROOT, "shared", "demo")
    jobs = [os.path.join(demo, name + ".rhyton") for name in ("tumbler", "both-sides", "mug")]
    own = os.path.join(folder, "own.rhyton")
    with open(own, "w", encoding="utf-8") as out:
        out.write(JOB.format(title=TITLES["german"], note=NOTE, vessel=LONG, name=NAME, at=149) + ELSEWHERE)
    for job, paper in itertools.product([*jobs, own], ("a4", "letter")):
        base = os.path.join(folder, os.path.basename(job)[:-7] + "-" + paper)
        cli("sheet", "--paper", paper, "-o", base + "-sheet.pdf", job, expect=(0, 1), env=env)
        trouble += check(base + "-sheet.pdf", ())
        text = " ".join(w[7] for w in words_of(base + "-sheet.pdf"))
        for wanted in (longer("Step by step"), longer("Cautions"), longer("Burn, and stay with the machine until it has stopped.")):
            if wanted not in text:
                trouble.append(f"{base}: \"{wanted}\" is not on the sheet")
        if job == own:
            continue                # its ink is past the rim: no pattern
        for options in ((), ("--cut", "gores"), ("--cut", "rings")) if "mug" in job else ((),):
            pdf = base + "-pattern" + "".join(options).replace("--", "-") + ".pdf"
            cli("pattern", "--paper", paper, *options, "-o", pdf, job, env=env)
            trouble += check(pdf, (), margin=4 * PT)
            if longer("Measure the bar and the square first.").split()[0] not in " ".join(w[7] for w in words_of(pdf)):
                trouble.append(f"{pdf}: is not translated")
    for piece, paper in itertools.product(("ruler", "arrow", "ladder", "turn"), ("a4", "letter")):
        pdf = os.path.join(folder, f"{piece}-{paper}-sheet.pdf")
        for language in (env, None):
            cli("piece", "-o", pdf[:-4] + ".svg", "--sheet", pdf, "--paper", paper, "--watts", "20", "--powers", "5;12.5;20;40;60;80;100",
                piece, own if piece != "turn" else jobs[0], env=language)
            trouble += check(pdf, ())
            said = " ".join(w[7] for w in words_of(pdf))
            wanted = "What to do with it"
            if (longer(wanted) if language else wanted) not in said:
                trouble.append(f"{pdf}: \"{wanted}\" is not on the sheet")
    names = os.path.join(demo, "crews.csv")
    cli("batch", "--names", names, "-d", os.path.join(folder, "crews"), os.path.join(demo, "crews.rhyton"), expect=(0, 1), env=env)
    trouble += check(os.path.join(folder, "crews", "contact.pdf"), ())
    # What other programs read stays as it is, whatever the language.
    for arguments in (("check", "--json", jobs[0]), ("check", jobs[0]), ("wrap", "-o", "-", jobs[0])):
        if cli(*arguments, env=env) != cli(*arguments):
            trouble.append(f"{arguments[0]} is not the same in every language")
    return trouble


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
            # What does not fit in the smallest letters ends in dots there: the manifest has it whole.
            for pdf in (f for f in os.listdir(cups) if f.endswith(".pdf")):
                trouble += check(os.path.join(cups, pdf), ())
        trouble += main_translated(folder)
    print("\n".join(trouble[:40]))
    return 1 if trouble else 0


if __name__ == "__main__":
    sys.exit(main())
