#!/usr/bin/env python3
# SPDX-License-Identifier: LGPL-2.1-or-later
"""start.py RHYTON JOB [RUNS]

How long the window takes from the start of the process until it shows the job on the vessel, and
how much memory it holds then and after three seconds. On a private Xvfb, whose frame buffer is
looked at: what counts is what a person sees. Processor time is shown beside it, for a machine that has
other things to do.
"""
import mmap
import os
import shutil
import statistics
import struct
import subprocess
import sys
import tempfile
import time

SCREEN = (1280, 960)
GOAL_S, GOAL_MB = 0.7, 200
LIMIT_S = 30.0


class Screen:
    """An Xvfb and its frame buffer, an XWD file (X11/XWDFile.h: header size first, big-endian words)."""

    def __init__(self, folder):
        self.file = os.path.join(folder, 'Xvfb_screen0')
        get, put = os.pipe()
        self.server = subprocess.Popen(
            ['Xvfb', '-displayfd', str(put), '-screen', '0', '%dx%dx24' % SCREEN, '-fbdir', folder, '-nolisten', 'tcp',
             '-noreset', '-extension', 'MIT-SHM'], pass_fds=[put], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        os.close(put)
        with os.fdopen(get) as number:
            self.display = ':' + number.readline().strip()
        with open(self.file, 'rb') as f:
            self.map = mmap.mmap(f.fileno(), 0, prot=mmap.PROT_READ)
        words = struct.unpack('>25I', self.map[:100])
        self.stride = words[12]
        self.start = words[0] + words[19] * 12

    def colours(self):
        """How many there are in the middle of the large view: metal and ink have hundreds, a bare panel few."""
        seen = set()
        for y in range(SCREEN[1] // 4, SCREEN[1] * 3 // 5, 16):
            row = self.start + y * self.stride
            for x in range(SCREEN[0] // 2, SCREEN[0] * 7 // 8, 8):
                seen.add(self.map[row + 4 * x:row + 4 * x + 3])
        return len(seen)

    def end(self):
        self.map.close()
        self.server.terminate()
        self.server.wait()


def memory_mb(pid):
    with open('/proc/%d/status' % pid) as f:
        values = dict(line.split(':', 1) for line in f)
    return [int(values[key].split()[0]) / 1024 for key in ('VmHWM', 'VmRSS')]


def processor_s(pid):
    with open('/proc/%d/stat' % pid) as f:
        fields = f.read().rsplit(')', 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf('SC_CLK_TCK')


def run(screen, program, job, folder):
    environment = dict(os.environ, DISPLAY=screen.display, GDK_BACKEND='x11', GSK_RENDERER='cairo', GDK_DEBUG='gl-disable',
                       GTK_A11Y='none', GTK_USE_PORTAL='0', GSETTINGS_BACKEND='memory', GIO_USE_VFS='local',
                       DBUS_SESSION_BUS_ADDRESS='disabled:')
    environment.pop('WAYLAND_DISPLAY', None)
    for name in ('RUNTIME_DIR', 'CONFIG_HOME', 'DATA_HOME', 'STATE_HOME', 'CACHE_HOME'):
        environment['XDG_' + name] = folder
    begin = time.monotonic()
    app = subprocess.Popen([program, job], env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    try:
        while screen.colours() < 60:
            if app.poll() is not None or time.monotonic() - begin > LIMIT_S:
                sys.exit('start.py: no picture: ' + app.stderr.read().decode())
            time.sleep(0.004)
        took, busy = time.monotonic() - begin, processor_s(app.pid)
        time.sleep(3.0)
        return [took, busy] + memory_mb(app.pid)
    finally:
        app.terminate()
        app.wait()
        time.sleep(0.2)


def row(what, ours, goal, met):
    print('%-44s %16s %20s %9s  %-16s %s' % (what, ours, '', '', goal, 'met' if met else 'MISSED'))


def main():
    if len(sys.argv) < 3:
        sys.exit('usage: start.py RHYTON JOB [RUNS]')
    if shutil.which('Xvfb') is None:
        print('start.py: Xvfb is missing, nothing measured')
        return
    folder = tempfile.mkdtemp(prefix='rhyton-start-')
    screen = Screen(folder)
    try:
        runs = [run(screen, sys.argv[1], sys.argv[2], folder) for _ in range(int(sys.argv[3]) if len(sys.argv) > 3 else 10)]
    finally:
        screen.end()
        shutil.rmtree(folder, ignore_errors=True)
    took, busy, peak, steady = (statistics.median(column) for column in zip(*runs))
    row('window: from start to the job on the vessel', '%.2f s, cpu %.2f' % (took, busy), '<= %.1f s' % GOAL_S, took <= GOAL_S)
    row('window: most memory, then steady', '%.0f MB, %.0f' % (peak, steady), '<= %d MB' % GOAL_MB, peak <= GOAL_MB)


main()
