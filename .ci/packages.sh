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

build_packages=(g++ cmake ninja-build nlohmann-json3-dev libcli11-dev libfmt-dev)
test_packages=(doctest-dev libgsl-dev parallel python3 python3-jsonschema mandoc)

# The program and the harnesses instrumented by Clang's sanitizers, in build-sanitize.
# build_sanitized [TARGET...]
build_sanitized() {
    need "${build_packages[@]}" clang llvm
    quietly cmake -S . -B build-sanitize -G Ninja -DCMAKE_CXX_COMPILER=clang++ \
        -DCMAKE_BUILD_TYPE=None -DCMAKE_CXX_FLAGS="-O1 -g1" -DBUILD_TESTING=OFF \
        -DTRAYWORTH_WERROR=ON -DTRAYWORTH_SANITIZE=address -DTRAYWORTH_FUZZ=ON
    quietly cmake --build build-sanitize ${1+--target "$@"}
}
