# SPDX-License-Identifier: LGPL-2.1-or-later
"""test-paper.py SOURCE RHYTON-CLI: the printed pattern, measured in its pixels.

The PDF is drawn by poppler (pdftocairo). At 300 dots per inch the scale bar must be
100 mm long to a pixel; and the pages of A4 and Letter, laid by their marks as a maker
lays them, must show every line of the one large sheet. Speaks TAP.
"""
import subprocess
import sys
import tempfile
from pathlib import Path

source, cli = Path(sys.argv[1]).resolve(), sys.argv[2]
demo = source / "shared" / "demo"


def pattern(folder, job, name, *words):
    subprocess.run([cli, "pattern", "-o", folder / name, *words, demo / f"{job}.rhyton"], check=True, capture_output=True)
    return folder / name


def grey(pdf, dpi):
    """The pages as (width, height, bytes), 0 black."""
    subprocess.run(["pdftoppm", "-gray", "-r", str(dpi), pdf, pdf.with_suffix("")], check=True)
    pages = []
    for path in sorted(pdf.parent.glob(pdf.stem + "-*.pgm")):
        data = path.read_bytes()
        kind, width, height, _ = data.split(maxsplit=4)[:4]
        assert kind == b"P5"
        pages.append((int(width), int(height), data[-int(width) * int(height):]))
        path.unlink()
    return pages


def longest_run(page):
    """(row, first, last) of the longest dark level line in the lower half but for the outlines."""
    width, height, data = page
    best = (0, 0, 0)
    for y in range(height // 2, height):
        row, x = data[y * width:(y + 1) * width], 0
        while (x := next((i for i in range(x, width) if row[i] < 128), width)) < width:
            end = next((i for i in range(x, width) if row[i] >= 128), width)
            if end - x > best[2] - best[1]:
                best = (y, x, end - 1)
            x = end
    return best


def bar_is_true(folder):
    """A bar of 100 mm and one of 4 in: the longest level lines under the tumbler's curved outline."""
    page = grey(pattern(folder, "tumbler", "sheet.pdf"), 300)[0]
    y, first, last = longest_run(page)
    problems = []
    if abs((last - first) - 4 * 300) > 1.5:         # the longer one; a line's own width is 0.15 mm = 1.8 px
        problems.append(f"4 in bar: {last - first} pixels at 300 dots per inch")
    width, height, data = page
    blank = bytearray(data)
    for row in range(y - 3, y + 4):
        blank[row * width:(row + 1) * width] = b"\xff" * width
    _, first, last = longest_run((width, height, bytes(blank)))
    if abs((last - first) - 100 / 25.4 * 300) > 1.5:
        problems.append(f"100 mm bar: {last - first} pixels at 300 dots per inch")
    return "; ".join(problems)


def pages_make_the_sheet(folder, job, paper, across, down):
    """Each dark pixel of the sheet is dark, give or take one, on the pages laid together; 8 mm white, 10 mm overlap."""
    dpi = 127                                       # 5 pixels a mm, exactly
    width, height, sheet = grey(pattern(folder, job, "sheet.pdf"), dpi)[0]
    pages = grey(pattern(folder, job, f"{paper}.pdf", "--paper", paper), dpi)
    if len(pages) != across * down:
        return f"{len(pages)} pages, expected {across * down}"
    white, overlap, strip = 8 * 5, 10 * 5, 11 * 5
    laid = bytearray(b"\xff" * (width * height))
    tile_width = pages[0][0] - 2 * white
    tile_height = pages[0][1] - 2 * white - strip
    for i, (w, _, data) in enumerate(pages):
        x0, y0 = i % across * (tile_width - overlap), i // across * (tile_height - overlap)
        for y in range(min(tile_height, height - y0)):
            n = min(tile_width, width - x0)
            part = data[(y + white) * w + white:(y + white) * w + white + n]
            at = (y0 + y) * width + x0
            laid[at:at + n] = bytes(map(min, laid[at:at + n], part))
    missing = dark = 0
    for y in range(2, height - 2):
        for x in (x for x in range(2, width - 2) if sheet[y * width + x] < 100):
            dark += 1
            if all(min(laid[(y + j) * width + x - 1:(y + j) * width + x + 2]) > 160 for j in (-1, 0, 1)):
                missing += 1
    return "" if dark > 1000 and missing == 0 else f"{missing} of {dark} dark pixels of the sheet are on no page"


results = []
with tempfile.TemporaryDirectory(prefix="rhyton-paper-") as name:
    folder = Path(name)
    results.append(("the scale bars are true to a pixel", bar_is_true(folder)))
    results.append(("the tumbler's pattern on A4", pages_make_the_sheet(folder, "tumbler", "a4", 2, 1)))
    results.append(("the mug's pattern on Letter", pages_make_the_sheet(folder, "mug", "letter", 2, 1)))

print(f"1..{len(results)}")
for number, (name, problem) in enumerate(results, 1):
    print(f"{'not ok' if problem else 'ok'} {number} - {name}")
    if problem:
        print("#", problem)
sys.exit(any(problem for _, problem in results))
