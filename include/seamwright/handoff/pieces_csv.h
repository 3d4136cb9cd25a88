#pragma once

#include <string>

#include "seamwright/handoff/hand_off.h"

namespace seamwright {

/// pieces.csv: one header line and one line a piece, by RFC 4180 (CRLF, quotes only where needed).
/// Numbers have a point and no thousands; text that a spreadsheet would take for a formula (it
/// begins with =, +, - or @) is led by an apostrophe.
std::string pieces_csv(const HandOff& hand_off);

}  // namespace seamwright
