#!/bin/sh
# Runs a test program where it has a display of its own: a private Xvfb, no
# session bus, private folders. Without Xvfb it takes the display that is there,
# and without any the program says itself that it skips.
set -u
tmp=$(mktemp -d "${TMPDIR:-/tmp}/rhyton-test.XXXXXX") || exit 1
server=
finish () {
  [ -z "$server" ] || kill "$server" 2>/dev/null
  rm -rf "$tmp"
}
trap finish EXIT
trap 'exit 143' INT TERM HUP

for d in run config data state cache home; do mkdir -m 700 "$tmp/$d"; done
export XDG_RUNTIME_DIR="$tmp/run" XDG_CONFIG_HOME="$tmp/config" XDG_DATA_HOME="$tmp/data"
export XDG_STATE_HOME="$tmp/state" XDG_CACHE_HOME="$tmp/cache"
export DBUS_SESSION_BUS_ADDRESS=disabled: GTK_USE_PORTAL=0 GTK_A11Y=test
export GSETTINGS_BACKEND=memory GIO_USE_VFS=local GSK_RENDERER=cairo

if command -v Xvfb >/dev/null 2>&1; then
  mkfifo "$tmp/number"
  Xvfb -displayfd 3 -screen 0 "${RHYTON_TEST_SCREEN:-1400x1000}x24" -nolisten tcp -noreset -extension MIT-SHM \
    3>"$tmp/number" >"$tmp/xvfb.log" 2>&1 &
  server=$!
  read -r number <"$tmp/number"
  if [ -n "$number" ]; then
    export DISPLAY=":$number" GDK_BACKEND=x11 GDK_DEBUG=gl-disable
    unset WAYLAND_DISPLAY
  fi
fi
"$@"
