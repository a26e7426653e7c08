# The Debian packages that building, the tests and the checks need; to be sourced (POSIX sh).
#
#   install_missing $build_packages $test_packages
#
# installs what is not there and does nothing, not even ask the network, when all of it is. On a
# system without dpkg it leaves finding the tools to meson, which names what it misses.

build_packages='gcc libc6-dev meson ninja-build pkg-config libxml2-dev zlib1g-dev
    libcairo2-dev libpango1.0-dev libpng-dev libjpeg62-turbo-dev fonts-dejavu-core'
# Independent programs that check what rabbet makes, and the locale that must not matter.
test_packages='g++ libcriterion-dev libgeos-dev libpolyclipping-dev locales python3 python3-ezdxf
    python3-gdal python3-numpy python3-pypdf gdal-bin librsvg2-bin python3-pil poppler-utils libxml2-utils groff-base'
check_packages='clang libclang-rt-dev clang-tidy cppcheck valgrind'

install_missing() {
    command -v dpkg-query >/dev/null || return 0
    missing=
    for package in "$@"; do
        case $(dpkg-query -W -f='${Status}' "$package" 2>/dev/null) in
        'install ok installed') ;;
        *) missing="$missing $package" ;;
        esac
    done
    [ -n "$missing" ] || return 0
    echo "installing:$missing"
    if [ "$(id -u)" -eq 0 ]; then
        as_root=
    elif command -v sudo >/dev/null; then
        as_root=sudo
    else
        echo "as root: apt-get install$missing" >&2
        return 1
    fi
    $as_root apt-get update -qq &&
        $as_root env DEBIAN_FRONTEND=noninteractive \
            apt-get install -y -qq --no-install-recommends $missing
}

# install_javascript BUILD_FOLDER: a DXF reader of another language, which one test asks. The version is
# fixed, so that what it reads does not change.
install_javascript() {
    [ -d "$1/javascript/node_modules/dxf-parser" ] && return 0
    command -v npm >/dev/null || install_missing nodejs npm || return 1
    echo 'installing: dxf-parser'
    npm install --prefix "$1/javascript" --no-audit --no-fund --silent dxf-parser@1.1.2
}
