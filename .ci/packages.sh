# Sourced by the scripts that set themselves up: installs Debian packages that are missing, by name.

# need PACKAGE...
need() {
    if ! command -v apt-get >/dev/null 2>&1; then
        echo "This system has no apt-get. Install what these Debian packages hold, then use CMake:" >&2
        echo "  $*" >&2
        exit 2
    fi
    local missing=() package
    for package; do
        if ! dpkg-query --show --showformat='${db:Status-Abbrev}' "$package" 2>/dev/null |
            grep -q '^ii'; then
            missing+=("$package")
        fi
    done
    if [ ${#missing[@]} -eq 0 ]; then
        return
    fi
    echo "Installing: ${missing[*]}"
    quietly as_root apt-get update -qq
    quietly as_root apt-get install -y -qq --no-install-recommends "${missing[@]}"
}

as_root() {
    if [ "$(id -u)" -eq 0 ]; then
        DEBIAN_FRONTEND=noninteractive "$@"
    elif command -v sudo >/dev/null 2>&1; then
        sudo -n DEBIAN_FRONTEND=noninteractive "$@"
    else
        echo "Neither root nor sudo here; as root, run: $*" >&2
        exit 2
    fi
}

# Runs a command and shows what it printed only when it fails.
quietly() {
    local log
    log=$(mktemp)
    if ! "$@" >"$log" 2>&1 </dev/null; then
        cat "$log" >&2
        rm -f "$log"
        echo "failed: $*" >&2
        return 1
    fi
    rm -f "$log"
}

build_packages=(g++ cmake ninja-build nlohmann-json3-dev libcli11-dev libfmt-dev libeigen3-dev)
test_packages=(doctest-dev libgsl-dev parallel python3 python3-jsonschema python3-rdflib iso-codes
               mandoc jq zsh fish binutils dpkg-dev fakeroot file lintian
               r-base-core r-cran-mass r-cran-nlme r-cran-survival r-cran-ggplot2)

# Builds for the gates: each folder of the library joined, which compiles in a fraction of the time.
# build_for NAME "FLAGS" [CMAKE-OPTION...] -- TARGET...
build_for() {
    local folder=build-$1 flags=$2 options=()
    shift 2
    while [ "$1" != -- ]; do
        options+=("$1")
        shift
    done
    shift
    need "${build_packages[@]}" "${test_packages[@]}" clang llvm
    quietly cmake -S . -B "$folder" -G Ninja -DCMAKE_BUILD_TYPE=None -DBUILD_TESTING=ON \
        -DCMAKE_CXX_FLAGS="$flags" -DCMAKE_UNITY_BUILD=ON \
        -DTRAYWORTH_WERROR=ON "${options[@]}"
    quietly cmake --build "$folder" --target "$@"
}

# Clang's address and undefined-behaviour sanitizers, and what libFuzzer needs.
# build_sanitized TARGET...
build_sanitized() {
    build_for sanitize "-O1 -g1" -DCMAKE_CXX_COMPILER=clang++ -DTRAYWORTH_SANITIZE=address \
        -DTRAYWORTH_FUZZ=ON -- "$@"
}
