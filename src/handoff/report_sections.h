#pragma once

#include <set>
#include <string>

#include "seamwright/handoff/report.h"

namespace seamwright::report {

/// Each gives one part of the page's body as HTML.
std::string first_screen(const HandOff& hand_off, const HandOffPictures& pictures);
std::string turnable_section(const HandOff& hand_off, const HandOffPictures& pictures,
                             std::size_t face_count, const Run& run);
std::string pieces_section(const HandOff& hand_off);
std::string directions_section(const HandOff& hand_off);
std::string printing_section(const HandOff& hand_off);
std::string seams_section(const HandOff& hand_off);
/// The plans that were found beside the chosen one; empty without any.
std::string other_plans_section(const HandOff& hand_off);
std::string joints_section(const HandOff& hand_off);
/// Why the holes of a flange's screws and inserts get no roof; empty without screws.
std::string screw_holes_note(const HandOff& hand_off);
std::string lids_table(const HandOff& hand_off);
std::string loose_parts_section(const HandOff& hand_off);
std::string strength_section(const HandOff& hand_off);
std::string wiring_section(const HandOff& hand_off, const HandOffPictures& pictures);
std::string days_section(const HandOff& hand_off);
std::string shopping_section(const HandOff& hand_off);
std::string wear_section(const HandOff& hand_off);
std::string travel_section(const HandOff& hand_off, const std::vector<std::string>& bag_pictures);
std::string assembly_section(const HandOff& hand_off, const Run& run);
std::string warnings_section(const HandOff& hand_off);
std::string basis_section(const HandOff& hand_off);
std::string cautions_section();

/// The page's own style sheet and script.
std::string_view style();
std::string_view script();

/// A picture with the pieces' marks written on it.
std::string figure(const ShownPicture& picture, const HandOff& hand_off,
                   const std::string& description, const std::string& caption);
/// What a figure rests on: a small tag after it.
std::string tag(std::string_view basis);
/// A section with its heading.
std::string section(const std::string& id, const std::string& heading, const std::string& body);
/// A table: a heading row and rows of cells that are HTML already; columns in `numeric` align
/// right.
std::string table(const std::vector<std::string>& heading,
                  const std::vector<std::vector<std::string>>& rows, const std::string& caption,
                  const std::vector<bool>& numeric = {});
/// The page's rules of each piece's colour, chosen once; chips go by them.
std::string piece_styles(const HandOff& hand_off);
/// "A1" in its piece's colour; several in a row.
std::string mark_chip(const HandOff& hand_off, std::size_t piece);
/// The two pieces of a joint, never on two lines.
std::string pair_chips(const HandOff& hand_off, const JointFace& face);
std::string chips(const HandOff& hand_off, const std::set<std::size_t>& pieces);
/// What a load prints: pieces as chips, loose parts by their marks.
std::string load_chips(const HandOff& hand_off, const Load& load);

/// Items for a seam's step of gluing: the channels that cross it, by name; empty without any.
std::string channels_at_seam(const HandOff& hand_off, SeamId seam);
/// The last step: wires and lights by name; empty without any.
std::string lights_step(const HandOff& hand_off);

/// One seam's joints close at once: what is glued already on one side goes to what is on the other.
struct FittingStep {
  SeamId seam{};
  std::set<std::size_t> above, below;  ///< pieces that meet at the seam
  std::vector<std::size_t> joints;
};
std::vector<FittingStep> fitting_steps(const HandOff& hand_off);

}  // namespace seamwright::report
