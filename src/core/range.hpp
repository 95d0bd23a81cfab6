// A grade as a grader gives it: one point, or two where the stone straddles.
#pragma once

#include <algorithm>

namespace trayworth {

// Invariant: low <= high in the order of T; low == high is a point.
template<class T>
struct Range {
    T low{};
    T high{};

    [[nodiscard]] constexpr bool is_point() const { return low == high; }
    friend constexpr bool operator==(const Range&, const Range&) = default;
};

template<class T>
Range(T, T) -> Range<T>; // C++20 makes this for an aggregate; Clang before 17 does not

template<class T>
constexpr Range<T> point(T value) {
    return {value, value};
}

template<class T>
constexpr Range<T> ordered(T a, T b) {
    return a <= b ? Range<T>{a, b} : Range<T>{b, a};
}

} // namespace trayworth
