# SPDX-License-Identifier: LGPL-2.1-or-later
"""tally.py LOGS: count what meson test ran, case by case.

A program that speaks TAP counts its cases; any other counts as one. A program
that failed without a failing case (it crashed, leaked or ran out of time)
counts as one failure. Prints "N passed, N failed" last; exit 1 if any failed
or nothing ran.
"""
import json
import sys
from pathlib import Path
from xml.etree import ElementTree


BAD = ("FAIL", "ERROR", "TIMEOUT", "INTERRUPT", "UNEXPECTEDPASS")


def outcome_of(case):
    kinds = {child.tag for child in case}
    if kinds & {"failure", "error"}:
        return "failed"
    return "skipped" if "skipped" in kinds else "passed"


def main(logs):
    lines = (logs / "testlog.json").read_text().splitlines()
    programs = [json.loads(line) for line in lines if line.strip()]
    suites = {suite.get("name"): suite for suite in ElementTree.parse(logs / "testlog.junit.xml").iter("testsuite")}
    count = {"passed": 0, "failed": 0, "skipped": 0}
    failures = []

    for program in programs:
        # A TAP program has a suite of its own, named by project and program.
        suite = next((s for name, s in suites.items() if name.endswith("." + program["name"])), None)
        found = [(c.get("name"), outcome_of(c)) for c in suite.iter("testcase")] if suite is not None else []
        bad = program["result"] in BAD
        if not found and not bad:
            found = [(program["name"], "skipped" if program["result"] == "SKIP" else "passed")]
        # A program may fail with all its cases well: it died, or the sanitizers spoke at its end.
        if bad and all(outcome != "failed" for _, outcome in found):
            found.append((f"{program['result'].lower()}, return code {program['returncode']}", "failed"))
        # What cannot be tested here says so and returns, see rhy-test.h.
        untested = program.get("stdout", "").count("# cannot be tested here:")
        count["skipped"] += untested
        count["passed"] -= untested
        for name, outcome in found:
            count[outcome] += 1
            if outcome == "failed":
                failures.append(f"{program['name']}: {name}")

    for failure in failures:
        print("failed:", failure)
    if count["skipped"]:
        print(count["skipped"], "skipped")
    print(f"{count['passed']} passed, {count['failed']} failed")
    return 1 if count["failed"] or not count["passed"] else 0


sys.exit(main(Path(sys.argv[1])))
