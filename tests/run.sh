#!/bin/sh
# Builds rabbet and runs its tests: sh tests/run.sh [BUILD_FOLDER]
# The last line is "N passed, N failed"; the exit status is 0 only when nothing failed.
set -u
cd "$(dirname "$0")/.." || exit 1
build=${1:-build}
log=$build/test-output.txt

. tests/packages.sh

give_up() {
    echo "$1" >&2
    echo '0 passed, 1 failed'
    exit 1
}

install_missing $build_packages $test_packages || give_up 'packages that the tests need are missing'
install_javascript "$build" || give_up 'the DXF reader that a test asks is missing'
[ -f "$build/build.ninja" ] || meson setup "$build" || give_up 'meson cannot set up the build'
ninja -C "$build" || give_up 'the build failed'
meson test -C "$build" --no-rebuild --print-errorlogs >"$log" 2>&1
status=$?
cat "$log"

# A test that was skipped has shown nothing, so it counts as failed.
awk -v status="$status" '
    /^(Ok|Expected Fail): +[0-9]+/ { passed += $NF }
    /^(Fail|Unexpected Pass|Skipped|Timeout): +[0-9]+/ { failed += $NF }
    END {
        if (passed + failed == 0 || (status != 0 && failed == 0))
            failed++
        printf "%d passed, %d failed\n", passed, failed
        exit failed > 0
    }' "$log"
