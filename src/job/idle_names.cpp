#include "job/idle_names.h"

#include <fmt/format.h>

#include <algorithm>
#include <sstream>

namespace seamwright::job_detail {
namespace {

class IdleNames {
 public:
  IdleNames(HandOff& hand_off, const Job& job) : hand_off_(hand_off), job_(job) {
    for (const FinishedPiece& piece : hand_off.pieces) marks_.push_back(piece.mark);
    for (const Seam& seam : hand_off.seams.plan.seams) {
      const bool has_joint =
          std::any_of(hand_off.joints.begin(), hand_off.joints.end(),
                      [&](const Joint& joint) { return joint.face.seam == seam.id; });
      if (has_joint) seams_.push_back(seam_name(seam.id));
    }
  }

  void tell_stands() {
    for (std::size_t i = 0; i < job_.stands.size(); ++i) {
      const std::string& mark = job_.stands[i].piece;
      if (has(marks_, mark)) continue;
      tell("stand-idle", fmt::format("stand.{}.piece", i),
           fmt::format("[[stand]] piece = \"{}\": {}", mark, no_such("piece", marks_)));
    }
  }
  void tell_travel_seams() {
    for (const std::string& seam : job_.travel.seams) {
      if (has(seams_, seam)) continue;
      tell("travel-seam-idle", "travel.seams",
           fmt::format("[travel] seams names {}: {}", seam, no_such("joint", seams_)));
    }
  }
  void tell_spools() {
    for (const std::string& group : job_.days.same_spool) {
      std::istringstream words(group);
      for (std::string word; words >> word;) {
        if (has(marks_, word)) continue;
        tell("same-spool-idle", "days.same_spool",
             fmt::format("[days] same_spool names {}: {}", word, no_such("piece", marks_)));
      }
    }
  }
  void tell_joints() {
    for (std::size_t i = 0; i < job_.joinery.choices.size(); ++i) {
      const JointChoice& choice = job_.joinery.choices[i];
      if (is_used(choice)) continue;
      std::string where = choice.seam.empty() ? "" : fmt::format(" seam = \"{}\"", choice.seam);
      if (!choice.pieces.empty())
        where += fmt::format(" pieces = [\"{}\"]", fmt::join(choice.pieces, "\", \""));
      tell(
          "joint-choice-idle",
          fmt::format("joint.{}.{}", i, choice.seam.empty() ? "pieces" : "seam"),
          fmt::format("[[joint]]{}: this plan has no such joint, so nothing came of it; the report "
                      "lists all joints with their seams and pieces.",
                      where));
    }
  }

 private:
  static bool has(const std::vector<std::string>& names, const std::string& name) {
    return std::find(names.begin(), names.end(), name) != names.end();
  }
  static std::string no_such(const char* kind, const std::vector<std::string>& there) {
    return fmt::format("this plan has no such {}, so nothing came of it; it has {}.", kind,
                       there.empty() ? "none" : fmt::format("{}", fmt::join(there, ", ")));
  }
  bool is_used(const JointChoice& choice) const {
    return std::any_of(hand_off_.joints.begin(), hand_off_.joints.end(), [&](const Joint& joint) {
      return is_meant(choice, seam_name(joint.face.seam), marks_[to_index(joint.face.above)],
                      marks_[to_index(joint.face.below)]);
    });
  }
  void tell(const char* code, const std::string& key, const std::string& message) {
    hand_off_.warnings.push_back({code, place_without_folder(job_.given, key) + message});
  }

  HandOff& hand_off_;
  const Job& job_;
  std::vector<std::string> marks_, seams_;
};

}  // namespace

void tell_idle_names(HandOff& hand_off, const Job& job) {
  IdleNames names(hand_off, job);
  names.tell_stands();
  names.tell_joints();
  names.tell_travel_seams();
  names.tell_spools();
}

}  // namespace seamwright::job_detail
