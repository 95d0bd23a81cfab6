// A number held to within a share of itself: doctest's Approx alone also allows that share of 1.
#pragma once

#include <doctest/doctest.h>

namespace trayworth::test {

inline doctest::Approx near(double value, double relative) {
    return doctest::Approx(value).epsilon(relative).scale(0);
}

} // namespace trayworth::test
