# SPDX-License-Identifier: LGPL-2.1-or-later
"""test-docs.py SOURCE RHYTON-CLI: do page, completions and README say what --help says?

The program's own --help is the truth; the three shells and the manual page are
read as text. Speaks TAP.
"""
import re
import shutil
import subprocess
import sys
from pathlib import Path

source, cli = Path(sys.argv[1]).resolve(), sys.argv[2]
shared = source / "shared"
results = []


def case(name, problem):
    results.append((name, problem))


def help_of(*verb):
    return subprocess.run([cli, *verb, "--help"], capture_output=True, text=True, check=True).stdout


def options_in(text):
    return set(re.findall(r"(?<![\w-])--[a-z][a-z-]+", text))


def options_of(*verb):
    """Those that --help lists, not those that it speaks of."""
    return set(re.findall(r"^ +(?:-\w, )?(--[a-z][a-z-]+)", help_of(*verb), re.M)) | {"--help"}


verbs = re.findall(r"^  (\w+) +\S", help_of().split("Verbs:")[1].split("Options:")[0], re.M)
page = (shared / "man" / "rhyton-cli.1").read_text().replace(r"\-", "-")
sections = {m[1]: m[2] for m in re.finditer(r"^\.SS (\w+)(.*?)(?=^\.S[SH] )", page, re.M | re.S)}

case("the manual page has every verb and no other",
     "" if set(sections) == set(verbs) else f"page {sorted(sections)}, --help {sorted(verbs)}")
for verb in verbs:
    wanted = options_of(verb) - {"--help"}
    given = options_in(sections.get(verb, "").replace(r"\fB", ""))
    case(f"the manual page has {verb}'s options and no other",
         "" if wanted == given else f"page {sorted(given)}, --help {sorted(wanted)}")

everything = set().union(*(options_of(verb) for verb in verbs)) | {"--version"}
long_options = {
    "bash": options_in((shared / "completions" / "rhyton-cli").read_text()),
    "zsh": options_in((shared / "completions" / "_rhyton-cli").read_text()),
    "fish": {"--" + word for word in re.findall(r"^complete .* -l ([a-z-]+)", (shared / "completions" / "rhyton-cli.fish").read_text(), re.M)},
}
for shell, given in long_options.items():
    case(f"{shell} completes every option and no other",
         "" if given == everything else f"differ: {sorted(given ^ everything)}")
for shell, name in (("bash", "rhyton-cli"), ("zsh", "_rhyton-cli"), ("fish", "rhyton-cli.fish")):
    text = (shared / "completions" / name).read_text()
    missing = [verb for verb in verbs if not re.search(rf"\b{verb}\b", text)]
    case(f"{shell} completes every verb", f"missing {missing}" if missing else "")
    command = [shell, "--no-execute" if shell == "fish" else "-n", str(shared / "completions" / name)]
    if shutil.which(shell) is None:
        case(f"{shell} can read its file # SKIP no {shell} here", "")
    else:
        run = subprocess.run(command, capture_output=True, text=True)
        case(f"{shell} can read its file", run.stderr.strip())

codes = {code for file in (source / "lib" / "job").glob("verdict*.c")
         for code in re.findall(r'RHY_LEVEL_\w+, "([a-z-]+)"', file.read_text())}
missing = sorted(code for code in codes if not re.search(rf"(?<![\w-]){code}(?![\w-])", page))
case("the manual page has every finding", f"missing {missing}" if missing or not codes else "")

# What the job file's reader asks for, against the page of the job file.
reader = (source / "lib" / "job" / "job-keys.c").read_text()
keys = set(re.findall(r'{ (?:"[A-Z]\w*"|group), "([A-Z]\w*)"', reader)) | set(re.findall(r'\(&?source, "[A-Z]\w*", "([A-Z]\w*)"', reader))
job_page = (shared / "man" / "rhyton.5").read_text()
missing = sorted(key for key in keys if not re.search(rf"\b{key}\b", job_page))
case("the page of the job file has every key", f"missing {missing}" if missing or not keys else "")

readme = (source / "README.md").read_text()
shown = re.sub(r"\\\n", " ", "\n".join(re.findall(r"^    \$ (rhyton-cli .*(?:\\\n.*)*)", readme, re.M)))
wrong = [(verb, sorted(options_in(rest) - options_of(verb) if verb in verbs else ["no such verb"]))
         for verb, rest in re.findall(r"rhyton-cli (\w+)(.*)", shown)]
case("the README's example uses verbs and options that there are",
     "; ".join(f"{verb}: {rest}" for verb, rest in wrong if rest) if wrong else "no example found")

for name in ("rhyton.1", "rhyton-cli.1", "rhyton.5"):
    if shutil.which("mandoc") is None:
        case(f"{name} is a sound page # SKIP no mandoc here", "")
        continue
    run = subprocess.run(["mandoc", "-T", "lint", "-W", "warning", str(shared / "man" / name)], capture_output=True, text=True)
    case(f"{name} is a sound page", (run.stdout + run.stderr).strip())

print(f"1..{len(results)}")
for number, (name, problem) in enumerate(results, 1):
    print(f"{'not ok' if problem else 'ok'} {number} - {name}")
    if problem:
        print("#", problem.replace("\n", "\n# "))
sys.exit(any(problem for _, problem in results))
