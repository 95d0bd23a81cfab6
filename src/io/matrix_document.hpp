// A price matrix that is parsed already, for those who build on a document of their own.
#pragma once

#include "core/diagnostic.hpp"
#include "io/document.hpp"
#include "pricing/matrix.hpp"

namespace trayworth::io {

// Every fault is appended to `diagnostics`, with its pointer alone.
pricing::Matrix matrix_from(const json& document, Diagnostics& diagnostics);

} // namespace trayworth::io
