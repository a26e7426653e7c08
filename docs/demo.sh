#!/bin/sh
# The lantern walk: backings, mats, a shape, a strip and a conversion, in every format.
#
#     sh docs/demo.sh [BUILD_FOLDER]
#
# Installs what is missing (Debian and its relatives), builds rabbet and writes into
# BUILD_FOLDER/demo; the folder is `build` unless given.
set -eu
cd "$(dirname "$0")/.."
build=${1:-build}
out=$build/demo
frame=docs/lantern-walk/frame.svg

. tests/packages.sh
install_missing $build_packages $test_packages
[ -f "$build/build.ninja" ] || meson setup "$build"
ninja -C "$build" src/cli/rabbet
mkdir -p "$out"

rabbet() {
    echo
    echo "\$ rabbet $*"
    "$build/src/cli/rabbet" "$@"
}

# The whole spread: cut files, pictures of the pages, the list of pieces.
rabbet make docs/lantern-walk/walk.xml -d "$out/walk" --units in

rabbet back "$frame" --seam 2mm -o "$out/backs.svg" -o "$out/backs.dxf" -o "$out/backs.png" \
    --report "$out/backs.json"

# The rose, whose webs are narrow, backed in one piece, and the panes of each lantern too.
rabbet back "$frame" --seam 3mm \
    --group 3-6,9-15,17-20,23,24,29-31,35-42,44-48,51,52,57,58 --group 26-28 --group 32-34 \
    -o "$out/grouped.svg" -o "$out/grouped.dxf" -o "$out/grouped.png" \
    --report "$out/grouped.json"

# The arcade and its balustrade for cutting by hand, on A4 paper.
rabbet back "$frame" --only 54,61-63,66,69-81 --seam 2mm --form simple --sheet 210x297mm -o "$out/by-hand.svg" \
    -o "$out/by-hand.dxf" -o "$out/by-hand.png" --report "$out/by-hand.json"

rabbet mat --photo 5.75x3.75in --reveal 1/8in --corner 1/4in -o "$out/mat.svg" \
    -o "$out/mat.dxf" -o "$out/mat.png" --report "$out/mat.json"

rabbet mat --photo 5.75x3.75in --reveal 1/2in --style scalloped -o "$out/scalloped.svg" \
    -o "$out/scalloped.dxf" -o "$out/scalloped.png" --report "$out/scalloped.json"

# From the shape library: the moon's rose window, and a strip for the quay, lanterns along its edge.
rabbet shape rose-window diameter=160mm -o "$out/rose.svg" -o "$out/rose.dxf" -o "$out/rose.png" \
    --report "$out/rose.json"
rabbet edge lantern-edge --length 12in --width 1.5in --behind 2mm -o "$out/strip.svg" -o "$out/strip.dxf" \
    -o "$out/strip.png" --report "$out/strip.json"

# The same backings for a laser that reaches less than its bed, with their numbers in the seams.
rabbet back "$frame" --seam 3mm --gap 6mm --kerf 0.15mm --bed 600x400mm --bed-margins 10mm --bed-corner upper-left \
    --scale-check --labels -o "$out/laser.svg" -o "$out/laser.pdf" -o "$out/laser.plt" \
    --report "$out/laser.json"

# What would go wrong with the frame at a machine.
rabbet inspect "$frame" -o "$out/inspect.png" --report "$out/inspect.json"

rabbet convert "$frame" -o "$out/frame.dxf" -o "$out/frame.png" --report "$out/frame.json"

echo
echo "Everything is in $(cd "$out" && pwd):"
ls "$out"
echo "Begin with walk/spread.png, the two pages, and backs.png, the backings of a frame."
