#pragma once

#include <string>

namespace seamwright {

/// The same archive with the same packed entries, as plainly as ZIP allows: 32-bit sizes where the
/// input has 64-bit ones (which small readers don't know), entries in the order of their names,
/// dated 1980-01-01, the format's usual "none" (lib3mf writes month 0, day 0). Requires: entries
/// below 4 GB, stored or deflated. Source: ZIP application
/// note 4.3.7, 4.3.12, 4.3.14, 4.3.16, 4.5.3 (seen).
std::string plain_zip(const std::string& zip);

}  // namespace seamwright
