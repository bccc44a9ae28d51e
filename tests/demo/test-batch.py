# SPDX-License-Identifier: LGPL-2.1-or-later
"""test-batch.py SOURCE RHYTON-CLI: batches of names, from the outside.

What must hold: one drawing a row, with the checksum that hashlib gives; shares of the rows
make the same files as all of them at once; a batch killed in the middle and begun again
ends with the same bytes as one in one go; an edit of one row does that row again and no
other; a bad row spoils nothing. Names are invented. Speaks TAP.
"""
import csv
import hashlib
import os
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

source, cli = Path(sys.argv[1]).resolve(), sys.argv[2]
demo = source / "shared" / "demo"
job = demo / "crews.rhyton"


def batch(names, folder, *words, job=job):
    folder.mkdir(exist_ok=True)
    return subprocess.run([cli, "batch", "-n", names, "-d", folder, *words, job], capture_output=True, text=True, timeout=200)


def files_of(folder):
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def manifest_of(folder, name="manifest.csv"):
    with open(folder / name, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def names_list(path, n):
    first, last = ("Mira", "Jon", "Edda", "Ruben", "Ilse", "Tamsin"), ("Anders", "Falk", "Quill", "Sandholt", "Merrow")
    path.write_text("name,boat\n" + "".join(f"{first[i % 6]} {last[i % 5]} {i},Pair\n" for i in range(n)), encoding="utf-8")
    return path


def whole(folder):
    run = batch(demo / "crews.csv", folder)
    rows = manifest_of(folder)
    if run.returncode != 1 or len(rows) != 7:
        return f"exit {run.returncode}, {len(rows)} rows: {run.stderr}"
    for row in rows[:6]:
        data = (folder / row["file"]).read_bytes()
        if row["verdict"] != "ready" or row["sha256"] != hashlib.sha256(data).hexdigest() or int(row["bytes"]) != len(data):
            return f"row {row['row']} is not as its manifest says"
        proof = subprocess.run(["rsvg-convert", "-w", "50", folder / row["file"]], capture_output=True)
        if proof.returncode:
            return f"{row['file']} cannot be drawn"
    if rows[6]["verdict"] != "not ready" or "too-wide" not in rows[6]["findings"] or rows[6]["file"]:
        return f"the last row: {rows[6]}"
    if "row 7 (Bartholomew" not in run.stderr:
        return run.stderr
    return "" if (folder / "contact.pdf").read_bytes().startswith(b"%PDF") else "no contact sheet"


def shares(root):
    files = {}
    for part in (1, 2):
        batch(demo / "crews.csv", root / "parts", "--part", f"{part}/2")
    files, all_at_once = files_of(root / "parts"), files_of(root / "whole")
    rows = manifest_of(root / "parts", "manifest-1-of-2.csv") + manifest_of(root / "parts", "manifest-2-of-2.csv")
    if sorted(rows, key=lambda r: int(r["row"])) != manifest_of(root / "whole"):
        return "the manifests of the shares are not the whole one's"
    wrong = [n for n in all_at_once if n.endswith((".svg", ".png")) and files.get(n) != all_at_once[n]]
    return f"differ: {wrong}" if wrong else ""


def killed(root):
    names = names_list(root / "many.csv", 60)
    batch(names, root / "one-go")
    (root / "killed").mkdir()
    process = subprocess.Popen([cli, "batch", "-n", names, "-d", root / "killed", job], stderr=subprocess.DEVNULL)
    deadline = time.monotonic() + 60
    while len(list((root / "killed").glob("*.svg"))) < 8 and time.monotonic() < deadline and process.poll() is None:
        time.sleep(0.002)
    process.send_signal(signal.SIGKILL)
    process.wait()
    if (root / "killed" / "manifest.csv").exists():
        return "it was over before it could be killed"
    again = batch(names, root / "killed")
    kept = int(again.stderr.rsplit("(", 1)[1].split()[0])
    if kept < 4:
        return f"only {kept} rows were kept: {again.stderr}"
    a, b = files_of(root / "one-go"), files_of(root / "killed")
    leftovers = {n for n in b if n not in a}
    different = {n for n in a if b.get(n) != a[n]}
    # A temporary file of the write that was killed may be left; nothing else.
    leftovers = {n for n in leftovers if not Path(n).name.startswith(".")}
    return f"differ: {different}, left over: {leftovers}" if different or leftovers else ""


def stopped(root):
    names = names_list(root / "more.csv", 60)
    (root / "stopped").mkdir()
    process = subprocess.Popen([cli, "batch", "-n", names, "-d", root / "stopped", job], stderr=subprocess.PIPE, text=True)
    while not list((root / "stopped").glob("*.svg")) and process.poll() is None:
        time.sleep(0.002)
    process.send_signal(signal.SIGINT)
    _, said = process.communicate(timeout=60)
    return "" if process.returncode == 2 and "goes on from here" in said else f"exit {process.returncode}: {said}"


def edited(root):
    names = root / "crews.csv"
    text = (demo / "crews.csv").read_text(encoding="utf-8")
    names.write_text(text, encoding="utf-8")
    batch(names, root / "edited")
    before = {p.name: p.stat().st_mtime_ns for p in (root / "edited").glob("*.svg")}
    names.write_text(text.replace("Jon Falk", "Jon Falke"), encoding="utf-8")
    run = batch(names, root / "edited")
    after = {p.name: p.stat().st_mtime_ns for p in (root / "edited").glob("*.svg")}
    touched = {n for n in after if before.get(n) != after[n]}
    return "" if touched == {"2-Jon-Falke.svg"} and "(5 from an earlier run)" in run.stderr else f"{touched}: {run.stderr}"


def markup(root):
    """{name} in an SVG's own text, with what XML needs escaped."""
    folder = root / "markup"
    folder.mkdir()
    (folder / "tag.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="10mm" viewBox="0 0 60 10">'
                                    '<style>text{font-size:6px}</style><text x="1" y="7">{name}</text></svg>', encoding="utf-8")
    (folder / "names.csv").write_text('name\n"A & B <C>"\nD\n', encoding="utf-8")
    (folder / "job.rhyton").write_text("[Vessel]\nHeights=0;100\nDiameters=70;70\n[Artwork]\nFile=tag.svg\nHeight=6\n", encoding="utf-8")
    run = batch(folder / "names.csv", folder / "out", job=folder / "job.rhyton")
    rows = manifest_of(folder / "out")
    if run.returncode or len({row["sha256"] for row in rows}) != 2:
        return run.stderr + str(rows)
    return "" if rows[0]["file"] == "1-A-B-C.svg" else rows[0]["file"]


def bad_lists(root):
    folder = root / "bad"
    folder.mkdir()
    cases = [("name\n", 2, "no row"), ("boat\nEight\n", 2, "no column {name}: it has boat"), ("name\nMira\n", 2, "no column {boat}: it has name"), ('name\n"open\n', 2, "does not close"),
             ("name,boat\nx\n", 2, "2"), ("", 2, "no header"), ("name,boat\n" + "x" * 10_000_000 + ",Pair\n", 2, "KiB"),
             (b"name\n\xff\n", 2, "UTF-8"), ("\ufeffname,boat\r\nMira,Eight\r\n", 0, "1 ready"),
             ("name,boat\nMira,Eight\n,\n\nMira,Four\n", 0, "stood in the list before"),
             ("name,boat\n../../etc/x,Eight\n", 0, "1 ready"), ("name,boat\n \u200b,Eight\n", None, "")]
    for i, (text, status, says) in enumerate(cases):
        path = folder / f"{i}.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        run = batch(path, folder / f"out{i}")
        lines = run.stderr.strip().split("\n")
        if (status is not None and run.returncode != status) or says not in run.stderr or (status == 2 and len(lines) != 1):
            return f"case {i}: exit {run.returncode}, wanted {status} and {says!r}: {run.stderr[:300]}"
        if status == 2 and list((folder / f"out{i}").glob("*.csv")):
            return f"case {i} left a manifest"
    (folder / "a-file").write_text("x")
    run = subprocess.run([cli, "batch", "-n", demo / "crews.csv", "-d", folder / "a-file", job], capture_output=True, text=True)
    if run.returncode != 2 or "cannot be made a folder" not in run.stderr:
        return run.stderr
    inside = folder / "out10"
    return "" if [p.name for p in inside.glob("*.svg")] == ["1-etc-x.svg"] else str(list(inside.iterdir()))


os.environ["LC_ALL"] = "C.UTF-8"
results = []
with tempfile.TemporaryDirectory(prefix="rhyton-batch-") as name:
    root = Path(name)
    results.append(("a drawing for each row, as its manifest says", whole(root / "whole")))
    for title, test in (("shares of the rows", shares), ("killed and begun again", killed), ("stopped between rows", stopped),
                        ("an edit of one row", edited), ("columns in an SVG's text", markup), ("bad lists", bad_lists)):
        results.append((title, test(root)))

print(f"1..{len(results)}")
for number, (name, problem) in enumerate(results, 1):
    print(f"{'not ok' if problem else 'ok'} {number} - {name}")
    if problem:
        print("#", str(problem).strip().replace("\n", "\n# "))
sys.exit(any(problem for _, problem in results))
