// The library that JSON is read and written with.
#pragma once

#include <string>

namespace trayworth::io {

std::string json_library_version(); // of nlohmann-json, as "3.11.2"

} // namespace trayworth::io
