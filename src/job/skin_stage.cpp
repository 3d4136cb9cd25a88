#include "job/skin_stage.h"

#include <fmt/format.h>

#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

#include "job/region_choice.h"
#include "seamwright/query/details.h"

namespace seamwright::job_detail {
namespace {

using Json = nlohmann::json;

bool is_named(const std::string& full, const std::string& wanted) {
  const std::size_t slash = full.find('/');
  return full == wanted || full.substr(0, slash) == wanted ||
         (slash != std::string::npos && full.substr(slash + 1) == wanted);
}

/// Whether a face is meant by a choice.
class Meant {
 public:
  Meant(const SkinChoice& choice, const Solid& solid, const FaceGroups& groups)
      : choice_(choice), solid_(solid), groups_(groups) {
    if (choice.radius_mm || choice.low) zone_ = zone_of(choice);
    if (choice.direction) direction_ = normalized(*choice.direction);
    least_cosine_ = std::cos(Angle::degrees(choice.angle_deg).radians());
    for (const std::string& name : groups.names)
      named_.push_back(!choice.group.empty() && is_named(name, choice.group));
  }

  bool operator()(FaceId face) const {
    if (!choice_.group.empty()) {
      const std::uint32_t id = solid_.origin(face).id;
      return id < groups_.group.size() && named_[groups_.group[id]];
    }
    if (choice_.direction)
      return dot(normalized(solid_.area_normal(face)), direction_) >= least_cosine_;
    const auto [a, b, c] = solid_.corners(face);
    return zone_.contains((a + b + c) / 3);
  }

 private:
  const SkinChoice& choice_;
  const Solid& solid_;
  const FaceGroups& groups_;
  Zone zone_;
  Vec3 direction_;
  double least_cosine_ = 1;
  std::vector<bool> named_;
};

Status lay_over(std::vector<double>& sight, const Solid& solid, const FaceGroups& groups,
                const std::vector<SkinChoice>& choices, double value, const char* section) {
  for (const SkinChoice& choice : choices) {
    const Meant meant(choice, solid, groups);
    std::size_t count = 0;
    for (std::size_t f = 0; f < sight.size(); ++f) {
      const FaceId face = to_id<FaceId>(f);
      if (solid.origin(face).kind != OriginKind::skin || !meant(face)) continue;
      sight[f] = value;
      ++count;
    }
    if (count > 0) continue;
    std::string known;
    for (const std::string& name : groups.names) known += (known.empty() ? "" : ", ") + name;
    return Error{"job-bad-value",
                 choice.group.empty()
                     ? fmt::format("[[{}]] meets no face of the part", section)
                     : fmt::format("[[{}]] group \"{}\": the part has no face of it; it has {}",
                                   section, choice.group, known.empty() ? "no groups" : known)};
  }
  return ok();
}

Error painted_error(const std::string& file, const std::string& what) {
  return {"painted-bad", fmt::format("{}: {}; write {{\"shown\": [0, 5], \"hidden\": [7]}} with "
                                     "numbers of the part's faces, counted from 0",
                                     file, what)};
}

Status paint(std::vector<double>& sight, const Solid& solid, const std::string& file) {
  if (file.empty()) return ok();
  std::ifstream in(file, std::ios::binary);
  if (!in) return painted_error(file, "can't be read");
  const Json painted = Json::parse(in, nullptr, false);
  if (!painted.is_object()) return painted_error(file, "is not a JSON object");
  std::size_t face_count = 0;
  for (const Origin& origin : solid.origins()) {
    if (origin.kind == OriginKind::skin)
      face_count = std::max<std::size_t>(face_count, origin.id + 1);
  }
  std::vector<double> value(face_count, -1);
  for (const auto& [key, shown] : {std::pair{"shown", 1.0}, std::pair{"hidden", 0.0}}) {
    if (!painted.contains(key)) continue;
    if (!painted[key].is_array()) return painted_error(file, fmt::format("\"{}\" is no list", key));
    for (const Json& face : painted[key]) {
      if (!face.is_number_unsigned() || face.get<std::size_t>() >= face_count)
        return painted_error(file, fmt::format("\"{}\" holds {}, but the part has {} faces", key,
                                               face.dump(), face_count));
      value[face.get<std::size_t>()] = shown;
    }
  }
  for (std::size_t f = 0; f < sight.size(); ++f) {
    const Origin origin = solid.origin(to_id<FaceId>(f));
    if (origin.kind == OriginKind::skin && value[origin.id] >= 0) sight[f] = value[origin.id];
  }
  return ok();
}

}  // namespace

Status mark_skin(std::vector<double>& sight, const Solid& wired, const FaceGroups& groups,
                 const Job& job) {
  const Status shown = lay_over(sight, wired, groups, job.shows, 1, "show");
  if (!shown) return shown;
  const Status hidden = lay_over(sight, wired, groups, job.hides, 0, "hide");
  if (!hidden) return hidden;
  return paint(sight, wired, job.part.painted);
}

Result<std::vector<double>> skin_weights(const Solid& wired, const Job& job, const Run& run) {
  if (job.cost.detail_ratio == 1 && job.cost.line_ratio == 1) return std::vector<double>{};
  if (job.search.effort == Effort::quick) return std::vector<double>{};
  constexpr double kMostSamples = 4e5;
  double area_mm2 = 0;
  for (std::size_t f = 0; f < wired.face_count(); ++f)
    area_mm2 += norm(wired.area_normal(to_id<FaceId>(f))) / 2;
  DetailOptions options;
  options.spacing_mm = std::max(options.spacing_mm, std::sqrt(area_mm2 / kMostSamples));
  const Result<DetailMap> map = find_details(wired, options, run);
  // Whoever wants the run to finish before the search begins has no use for a finer one.
  if (!map && run.should_finish() && !run.should_stop()) return std::vector<double>{};
  if (!map) return map.error();
  const FaceDetails details = face_details(wired, *map);
  std::vector<double> weights(wired.face_count(), 1.0);
  for (std::size_t f = 0; f < weights.size(); ++f) {
    if (details.relief_mm[f] > 0.1)
      weights[f] = job.cost.detail_ratio;
    else if (details.line_ratio[f] > 0.1)
      weights[f] = job.cost.line_ratio;
  }
  return weights;
}

}  // namespace seamwright::job_detail
