#pragma once

#include "seamwright/cut/boolean.h"

namespace seamwright::wiring_detail {

/// combine(), in as few operations as keep the tools of each apart from one another: measured on
/// the carapace, ridges and seats united with each other first failed where each alone did not. A
/// tool that fails is tried again shifted by 0.02 to 0.04 mm. Errors: combine's, the tool named.
Result<Solid> combine_tools(const Solid& body, std::span<const Tool> added,
                            std::span<const Tool> taken, const Run& run = {.thread_count = 1});

}  // namespace seamwright::wiring_detail
