// How pages look: all of their CSS.
#pragma once

#include <string_view>

namespace trayworth::output {

extern const std::string_view html_style;

} // namespace trayworth::output
