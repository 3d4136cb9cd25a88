#pragma once

#include <string>

#include "seamwright/handoff/hand_off.h"
#include "seamwright/handoff/views.h"

namespace seamwright {

/// report.html: one self-contained page (pictures and the turnable pieces are inside; no server, no
/// address of any other file). First screen: the thing with its seams, the pieces on their beds,
/// how long, how much, what to start with, the order to test-fit; below: everything else, with what
/// each figure rests on. The turnable pieces are simplified to about `face_count` faces in all. The
/// same bytes for the same HandOff.
struct ReportOptions {
  std::size_t face_count = 160'000;
};
std::string report_html(const HandOff& hand_off, const HandOffPictures& pictures,
                        const ReportOptions& options = {}, const Run& run = {});

}  // namespace seamwright
