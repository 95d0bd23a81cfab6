#include "io/json_library.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace trayworth::io {

std::string json_library_version() {
    return fmt::format("{}.{}.{}", NLOHMANN_JSON_VERSION_MAJOR, NLOHMANN_JSON_VERSION_MINOR,
                       NLOHMANN_JSON_VERSION_PATCH);
}

} // namespace trayworth::io
