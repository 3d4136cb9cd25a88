#pragma once

#include <string>
#include <string_view>

#include "seamwright/core/result.h"

namespace seamwright {

/// What the general importer takes on trust, looked at first (a header cut short kept it busy for
/// ever, counts were believed): every line of a PLY header is one of the format's, it has its end,
/// and no count is larger than the file. Errors: "file-malformed" with the line, "file-truncated".
Status check_ply_header(std::string_view bytes, const std::string& name);

/// The same of an OFF file's two counts.
Status check_off_header(std::string_view bytes, const std::string& name);

}  // namespace seamwright
