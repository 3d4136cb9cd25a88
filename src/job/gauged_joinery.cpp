#include "job/gauged_joinery.h"

namespace seamwright::job_detail {

GaugedJoinery gauged_joinery(const Job& job) {
  GaugedJoinery gauged{job.joinery, ""};
  if (find_given(job.given, "joints.slide_clearance_mm") != nullptr) return gauged;
  for (const Printer& printer : job.printers) {
    const PrinterRecord* record = find_record(job.records, printer.name);
    if (record == nullptr || !record->slide_clearance_mm) continue;
    if (!gauged.source.empty() && *record->slide_clearance_mm <= gauged.joinery.slide_clearance_mm)
      continue;
    gauged.joinery.slide_clearance_mm = *record->slide_clearance_mm;
    gauged.source = "gauge piece of \"" + printer.name + "\", on record";
  }
  return gauged;
}

}  // namespace seamwright::job_detail
