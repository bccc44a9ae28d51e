# SPDX-License-Identifier: LGPL-2.1-or-later
"""test-demo.py SOURCE RHYTON-CLI: the demonstration jobs, from the file to the vessel.

Each job in all eight orientations, with the turn wired right and wrong: the bed
drawing is written, proved, drawn in pixels by rsvg-convert, and then burnt onto
the vessel by a machine of this program's own: formulas of the development of a
cone written here afresh, and the drive's table of orientations. What is on the
vessel must be the artwork as librsvg draws it, and must not be its mirror image.
Speaks TAP.
"""
import itertools
import math
import re
import struct
import subprocess
import sys
import tempfile
import zlib
from pathlib import Path

source, cli = Path(sys.argv[1]).resolve(), sys.argv[2]
demo = source / "shared" / "demo"
PIXELS_PER_MM = 12

# axis, mouth: x and y on the bed from X (towards the mouth) and A (along the turn)
TABLE = {
    ("x", "plus"): lambda X, A: (X, A),
    ("x", "minus"): lambda X, A: (-X, -A),
    ("y", "plus"): lambda X, A: (A, -X),
    ("y", "minus"): lambda X, A: (-A, X),
}


def read_png(data):
    """Grey pixels of an 8-bit RGB or RGBA PNG on white, as rows of 0 (ink) to 255."""
    at, chunks, width, height, kind = 8, b"", 0, 0, 0
    while at < len(data):
        length, name = struct.unpack(">I4s", data[at:at + 8])
        body = data[at + 8:at + 8 + length]
        if name == b"IHDR":
            width, height, _, kind = struct.unpack(">IIBB", body[:10])
        elif name == b"IDAT":
            chunks += body
        at += 12 + length
    size = {2: 3, 6: 4}[kind]
    raw, before, rows, stride = zlib.decompress(chunks), bytearray(width * size), [], width * size
    for y in range(height):
        method, line = raw[y * (stride + 1)], bytearray(raw[y * (stride + 1) + 1:(y + 1) * (stride + 1)])
        for i in range(stride):
            a = line[i - size] if i >= size else 0
            b = before[i]
            c = before[i - size] if i >= size else 0
            if method == 1:
                line[i] = (line[i] + a) & 255
            elif method == 2:
                line[i] = (line[i] + b) & 255
            elif method == 3:
                line[i] = (line[i] + (a + b) // 2) & 255
            elif method == 4:
                p = a + b - c
                pa, pb, pc = abs(p - a), abs(p - b), abs(p - c)
                line[i] = (line[i] + (a if pa <= pb and pa <= pc else b if pb <= pc else c)) & 255
        before = line
        rows.append(bytes(line[0::size]))
    return rows


def draw(svg, width_px):
    png = subprocess.run(["rsvg-convert", "-b", "white", "-w", str(width_px), str(svg)],
                         capture_output=True, check=True).stdout
    return read_png(png)


def ink_at(rows, x, y):
    """0 white to 1 black at pixel coordinates, bilinear; white outside."""
    x, y = x - 0.5, y - 0.5
    i, j = math.floor(x), math.floor(y)
    total = 0.0
    for dj, wy in ((0, j + 1 - y), (1, y - j)):
        for di, wx in ((0, i + 1 - x), (1, x - i)):
            if 0 <= j + dj < len(rows) and 0 <= i + di < len(rows[0]):
                total += wx * wy * (255 - rows[j + dj][i + di])
    return total / 255.0


def value_of(text, group, key):
    return re.search(rf"^\[{group}\]\n(?:(?!\[).*\n)*?{key}=(.*)$", text, re.M)[1]


class Vessel:
    """A cone or cylinder, and artwork rolled onto it as a paper cut-out."""

    def __init__(self, job, group="Artwork"):
        z0, z1 = map(float, value_of(job, "Vessel", "Heights").split(";"))
        d0, d1 = map(float, value_of(job, "Vessel", "Diameters").split(";"))
        self.slope = math.atan2((d1 - d0) / 2, z1 - z0)
        at = float(value_of(job, group, "At"))
        self.radius = d0 / 2 + (d1 - d0) / 2 * (at - z0) / (z1 - z0)

    def wall(self, u, v):
        """Slant above the anchor and angle around of the artwork's point (u, v)."""
        n = math.sin(self.slope)
        if abs(n) < 1e-12:
            return v, u / self.radius
        rho0 = self.radius / n
        across, up = (u, rho0 + v) if rho0 > 0 else (-u, -(rho0 + v))
        rho = math.copysign(math.hypot(across, up), rho0)
        return rho - rho0, math.atan2(across, up) / n


def read_artwork(svg, width_mm):
    """The artwork as a function of mm from the middle of its ink, and its ink's height."""
    px = 1600
    rows = draw(svg, px)
    # Any grey is ink: fine tips cover no whole pixel.
    xs = [x for row in rows for x, grey in enumerate(row) if grey < 250]
    ys = [y for y, row in enumerate(rows) if min(row) < 250]
    left, right, top, bottom = min(xs), max(xs) + 1, ys[0], ys[-1] + 1
    scale = (right - left) / width_mm
    return (lambda u, v: ink_at(rows, (left + right) / 2 + u * scale, (top + bottom) / 2 - v * scale)), (bottom - top) / scale


def burn(job_text, drawing, axis, mouth, reverse, travel):
    """What the machine burns, as a function of slant above the mark and angle around."""
    view = list(map(float, re.search(r'viewBox="([^"]*)"', drawing.read_text())[1].split()))
    rows = draw(drawing, round(view[2] * PIXELS_PER_MM))
    scale = len(rows[0]) / view[2]

    def burnt(s, angle):
        x, y = TABLE[axis, mouth](s, (-1 if reverse else 1) * angle * travel / (2 * math.pi))
        return ink_at(rows, (x - view[0]) * scale, (y - view[1]) * scale)
    return burnt


def mismatch(art, burnt, vessel, width, height, plain=0.9):
    """Share of the points that are plainly ink here and plainly none there, right way round and mirrored.

    Edges, grey in both pictures, are left out: they are drawn in pixels of two sizes.
    """
    def differ(a, b):
        return (a > plain and b < 1 - plain) or (a < 1 - plain and b > plain)
    step, right, mirrored, n = 0.5, 0, 0, 0
    for i, j in itertools.product(range(int(width / step)), range(int(height / step))):
        u, v = (i + 0.5) * step - width / 2, (j + 0.5) * step - height / 2
        found = burnt(*vessel.wall(u, v))
        right += differ(found, art(u, v))
        mirrored += differ(found, art(-u, v))
        n += 1
    return right / n, mirrored / n


def run(*words):
    return subprocess.run([cli, *map(str, words)], capture_output=True, text=True)


def job_is_line_art(name):
    """A picture has greys everywhere, and little that is plainly black or white."""
    return ".png" not in (demo / f"{name}.rhyton").read_text()


def problems_of(name, axis, mouth, reverse, folder, arts):
    text = (demo / f"{name}.rhyton").read_text().replace("Shades=dots", "Shades=grey")
    width, file = float(value_of(text, "Artwork", "Width")), value_of(text, "Artwork", "File")
    text = text.replace(f"File={file}", f"File={demo / file}", 1)
    file = file.replace(".png", ".svg")     # what the picture is drawn from
    machine = (demo / re.search(r"\[Machine\]\nFile=(.*)", text)[1]).resolve()
    text = re.sub(r"\[Machine\]\nFile=.*", f"[Machine]\nFile={machine}\nAxis={axis}\nMouth={mouth}\n"
                  f"TurnReversed={str(reverse).lower()}", text).replace("Mark=true", "Mark=false")
    job, drawing = folder / "job.rhyton", folder / "bed.svg"
    job.write_text(text)

    made = run("wrap", "-o", drawing, job)
    if made.returncode != 0:
        return f"wrap: {made.stderr.strip()}"
    proof = run("proof", job, drawing)
    distance = float(proof.stdout.split()[0]) if proof.stdout else math.inf
    if proof.returncode != 0 or not distance <= float(value_of(text, "Output", "Tolerance")):
        return f"proof: {proof.stdout.strip()} {proof.stderr.strip()}"

    vessel = Vessel(text)
    travel = value_of(machine.read_text(), "Machine", "TravelPerTurn")
    travel = 2 * math.pi * vessel.radius if travel == "auto" else float(travel)
    if (file, width) not in arts:
        arts[file, width] = read_artwork(demo / file, width)
    art, height = arts[file, width]
    right, mirrored = mismatch(art, burn(text, drawing, axis, mouth, reverse, travel), vessel, width, height,
                               0.9 if job_is_line_art(name) else 0.65)
    if not (right < 1e-3 and mirrored > 0.02):
        return f"ink differs at {right:.4f} of the points, from the mirror image at {mirrored:.4f}"
    return ""


def problems_of_picture(folder):
    """The picture is what its drawing draws; in dots it burns as much as in greys."""
    drawn, kept = draw(demo / "morning.svg", 576), read_png((demo / "morning.png").read_bytes())
    off = [abs(a - b) for row, other in zip(drawn, kept) for a, b in zip(row, other)]
    if len(drawn) != len(kept) or len(off) != 576 * 384 or sum(d > 4 for d in off) > 0.001 * len(off):
        return f"{sum(d > 4 for d in off)} of {len(off)} pixels differ from morning.svg"
    text = (demo / "morning.rhyton").read_text().replace("File=", f"File={demo}/").replace("Mark=true", "Mark=false")
    inks = []
    for shades in ("grey", "dots"):
        job, drawing = folder / "job.rhyton", folder / f"{shades}.svg"
        job.write_text(text.replace("Shades=dots", f"Shades={shades}"))
        made = run("wrap", "-o", drawing, job)
        if made.returncode != 0:
            return made.stderr
        rows = draw(drawing, 900)
        inks.append(sum(255 - grey for row in rows for grey in row) / 255 / 900 / len(rows))
    return "" if abs(inks[0] - inks[1]) < 0.01 and inks[0] > 0.2 else f"ink in greys {inks[0]:.4f}, in dots {inks[1]:.4f}"


def problems_of_both(axis, mouth, reverse, folder, arts):
    """Crest in front and the regatta's drawing behind: each where it belongs, neither mirrored."""
    text = (demo / "both-sides.rhyton").read_text()
    text = re.sub(r"Text=.*\nFont=.*\n", "File=regatta.svg\n", text).replace("Lay=ringed-balanced", "Lay=rolled")
    text = re.sub(r"File=(.*\.svg)", lambda m: f"File={demo / m[1]}", text)
    text = re.sub(r"Axis=.*\nMouth=.*", f"Axis={axis}\nMouth={mouth}\nTurnReversed={str(reverse).lower()}", text)
    job, drawing = folder / "job.rhyton", folder / "bed.svg"
    job.write_text(text + "\n[Output]\nMark=false\n")
    made, proof = run("wrap", "-o", drawing, job), run("proof", job, drawing)
    if made.returncode != 0 or proof.returncode != 0:
        return f"{made.stderr.strip()} {proof.stdout.strip()} {proof.stderr.strip()}"

    burnt = burn(text, drawing, axis, mouth, reverse, float(value_of(text, "Machine", "TravelPerTurn")))
    front = float(value_of(text, "Artwork crest", "At"))
    for group, around in (("Artwork crest", 0), ("Artwork back text", math.pi)):
        vessel, width, file = Vessel(text, group), float(value_of(text, group, "Width")), value_of(text, group, "File")
        up = (float(value_of(text, group, "At")) - front) / math.cos(vessel.slope)
        if (file, width) not in arts:
            arts[file, width] = read_artwork(file, width)
        art, height = arts[file, width]
        right, mirrored = mismatch(art, lambda s, a: burnt(s + up, a + around), vessel, width, height)
        if not (right < 1e-3 and mirrored > 0.02):
            return f"[{group}]: ink differs at {right:.4f} of the points, from the mirror image at {mirrored:.4f}"
    return ""


results = []
arts = {}
with tempfile.TemporaryDirectory(prefix="rhyton-demo-") as name:
    folder = Path(name)
    for job in ("tumbler", "can", "mug"):
        verdict = run("check", demo / f"{job}.rhyton")
        results.append((f"{job} is ready", "" if verdict.returncode == 0 else verdict.stdout + verdict.stderr))
        for (axis, mouth), reverse in itertools.product(TABLE, (False, True)):
            results.append((f"{job}, axis {axis}, mouth {mouth}{', turn reversed' if reverse else ''}",
                            problems_of(job, axis, mouth, reverse, folder, arts)))

    verdict = run("check", demo / "morning.rhyton")
    results.append(("the picture is ready", "" if verdict.returncode == 0 else verdict.stdout + verdict.stderr))
    results.append(("the picture is its drawing's, in greys and in dots", problems_of_picture(folder)))
    for (axis, mouth), reverse in ((("x", "plus"), False), (("y", "minus"), True)):
        results.append((f"the picture, axis {axis}, mouth {mouth}{', turn reversed' if reverse else ''}",
                        problems_of("morning", axis, mouth, reverse, folder, arts)))

    both = run("wrap", "-o", folder / "both.svg", demo / "both-sides.rhyton")
    proof = run("proof", demo / "both-sides.rhyton", folder / "both.svg")
    results.append(("front and back in one drawing", "" if both.returncode == proof.returncode == 0 else both.stderr + proof.stderr))
    for (axis, mouth), reverse in itertools.product((("x", "plus"), ("y", "minus")), (False, True)):
        results.append((f"front and back, axis {axis}, mouth {mouth}{', turn reversed' if reverse else ''}",
                        problems_of_both(axis, mouth, reverse, folder, arts)))

print(f"1..{len(results)}")
for number, (name, problem) in enumerate(results, 1):
    print(f"{'not ok' if problem else 'ok'} {number} - {name}")
    if problem:
        print("#", problem.strip().replace("\n", "\n# "))
sys.exit(any(problem for _, problem in results))
