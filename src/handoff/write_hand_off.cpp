#include "seamwright/handoff/write_hand_off.h"

#include "handoff/days_parts.h"
#include "handoff/draft_folder.h"
#include "seamwright/days/ics.h"
#include "seamwright/handoff/corner_pads.h"
#include "seamwright/handoff/loose_parts.h"
#include "seamwright/handoff/package_3mf.h"
#include "seamwright/handoff/pieces_csv.h"
#include "seamwright/handoff/plan_json.h"
#include "seamwright/handoff/report.h"
#include "seamwright/handoff/shopping.h"
#include "seamwright/handoff/views.h"
#include "seamwright/mesh/save.h"

namespace seamwright {
namespace {

std::string program_name(const HandOff& hand_off) {
  return "seamwright " + hand_off.program_version;
}

Error cancelled() {
  return {"cancelled", "stopped before the hand-off was written"};
}

Status write_package(DraftFolder& folder, const std::filesystem::path& path,
                     const HandOff& hand_off, std::span<const NamedSolid> solids) {
  Result<std::string> bytes = package_3mf(solids, program_name(hand_off));
  if (!bytes) return std::move(bytes).error().within("writing " + path.string());
  return folder.write(path, *bytes);
}

Status write_piece(DraftFolder& folder, const HandOff& hand_off, const FinishedPiece& piece) {
  const Solid solid = solid_in_file(piece, hand_off.material);
  const std::filesystem::path stl = piece.file;
  if (Status done = folder.write(stl, stl_bytes(solid)); !done) return done;
  const NamedSolid named{piece.mark, &solid};
  return write_package(folder, std::filesystem::path(stl).replace_extension(".3mf"), hand_off,
                       {&named, 1});
}

Status write_pads(DraftFolder& folder, const HandOff& hand_off, const FinishedPiece& piece) {
  if (piece.pads.empty()) return ok();
  const Solid pads = pads_in_file(piece, hand_off.material, hand_off.print.first_layer_mm);
  return folder.write(pads_file(piece), stl_bytes(pads));
}

Status write_pieces(DraftFolder& folder, const HandOff& hand_off, const Run& run) {
  for (std::size_t i = 0; i < hand_off.pieces.size(); ++i) {
    if (run.should_stop()) return cancelled();
    const FinishedPiece& piece = hand_off.pieces[i];
    if (Status done = write_piece(folder, hand_off, piece); !done) return done;
    if (Status done = write_pads(folder, hand_off, piece); !done) return done;
    run.report(0.3 * static_cast<double>(i + 1) / static_cast<double>(hand_off.pieces.size()));
  }
  for (const LoosePart& part : hand_off.loose_parts) {
    const std::string bytes = stl_bytes(loose_part_in_file(part, hand_off.material));
    if (Status done = folder.write(loose_part_file(part), bytes); !done) return done;
  }
  for (const ChannelLid& lid : hand_off.lids) {
    const std::string bytes = stl_bytes(lid_in_file(lid, hand_off.material));
    if (Status done = folder.write(lid_file(lid), bytes); !done) return done;
  }
  std::vector<NamedSolid> solids;
  for (const FinishedPiece& piece : hand_off.pieces) solids.push_back({piece.mark, &piece.keyed});
  for (const LoosePart& part : hand_off.loose_parts) solids.push_back({part.mark, &part.solid});
  return write_package(folder, "assembled.3mf", hand_off, solids);
}

Status write_loads(DraftFolder& folder, const HandOff& hand_off, const Run& run) {
  if (!hand_off.days) return ok();
  for (std::size_t load = 0; load < hand_off.days->loads.size(); ++load) {
    if (run.should_stop()) return cancelled();
    const days_parts::LoadSolids laid = days_parts::load_solids(hand_off, load);
    std::vector<NamedSolid> named;
    for (std::size_t i = 0; i < laid.solids.size(); ++i)
      named.push_back({laid.names[i], &laid.solids[i]});
    if (Status done = write_package(folder, laid.file, hand_off, named); !done) return done;
  }
  return ok();
}

Status write_days(DraftFolder& folder, const HandOff& hand_off) {
  if (!hand_off.days_input) return ok();
  if (Status done = folder.write("days.json", days_json(*hand_off.days_input)); !done) return done;
  if (!hand_off.days || !hand_off.days->has_date) return ok();
  return folder.write(
      "calendar.ics",
      calendar_ics(*hand_off.days, days_parts::printer_names(hand_off.days_input->input),
                   hand_off.days_input->title));
}

Status write_tables(DraftFolder& folder, const HandOff& hand_off) {
  if (Status done = folder.write("plan.json", plan_json(hand_off)); !done) return done;
  if (Status done = folder.write("pieces.csv", pieces_csv(hand_off)); !done) return done;
  if (Status done = folder.write("shopping.csv", shopping_csv(shopping_list(hand_off))); !done)
    return done;
  return folder.write("loose_parts.csv", loose_parts_csv(hand_off));
}

Status write_pictures_and_report(DraftFolder& folder, const HandOff& hand_off,
                                 const PictureSizes& sizes, const Run& run) {
  Run drawing = run;
  if (run.progress) drawing.progress = [&run](double share) { run.report(0.3 + 0.6 * share); };
  const Result<HandOffPictures> pictures = draw_pictures(hand_off, sizes, drawing);
  if (!pictures) return pictures.error();
  if (Status done = folder.write("pictures/assembled.png", pictures->assembled.png); !done)
    return done;
  if (Status done = folder.write("pictures/apart.png", pictures->apart.png); !done) return done;
  for (std::size_t i = 0; i < hand_off.pieces.size(); ++i) {
    const std::filesystem::path name =
        std::filesystem::path(hand_off.pieces[i].file).stem().replace_extension(".png");
    if (Status done = folder.write("pictures" / name, pictures->pieces[i].png); !done) return done;
  }
  for (std::size_t i = 0; i < pictures->wiring.size(); ++i) {
    const char* name = i == 0 ? "pictures/wiring.png" : "pictures/wiring_behind.png";
    if (Status done = folder.write(name, pictures->wiring[i].picture.png); !done) return done;
  }
  return folder.write("report.html", report_html(hand_off, *pictures, {}, run));
}

}  // namespace

Status write_hand_off(const HandOff& hand_off, const std::filesystem::path& folder, const Run& run,
                      const PictureSizes& sizes) {
  Result<DraftFolder> draft = DraftFolder::begin(folder);
  if (!draft) return std::move(draft).error();
  if (Status done = write_pieces(*draft, hand_off, run); !done) return done;
  if (Status done = write_tables(*draft, hand_off); !done) return done;
  if (Status done = write_loads(*draft, hand_off, run); !done) return done;
  if (Status done = write_days(*draft, hand_off); !done) return done;
  if (Status done = write_pictures_and_report(*draft, hand_off, sizes, run); !done) return done;
  if (run.should_stop()) return cancelled();
  return draft->publish();
}

}  // namespace seamwright
