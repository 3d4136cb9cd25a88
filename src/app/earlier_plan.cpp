#include "app/earlier_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>

namespace seamwright::app {
namespace {

using Json = nlohmann::json;

struct EarlierSeam {
  std::string parent, side;
  Plane plane;
};

std::vector<Plane> cell_of(const std::map<std::string, EarlierSeam>& seams, std::string seam,
                           std::string side) {
  std::vector<Plane> cell;
  // A damaged file may hold a loop of parents.
  while (cell.size() <= seams.size()) {
    const auto found = seams.find(seam);
    if (found == seams.end()) break;
    cell.push_back(side == "below" ? found->second.plane : found->second.plane.flipped());
    seam = found->second.parent;
    side = found->second.side;
  }
  return cell;
}

std::string word_or_empty(const Json& json, const char* key) {
  return json.contains(key) && json[key].is_string() ? json[key].get<std::string>() : "";
}

Vec3 vec_of(const Json& numbers) {
  return {numbers.at(0).get<double>(), numbers.at(1).get<double>(), numbers.at(2).get<double>()};
}

Plane plane_of(const Json& seam) {
  return {vec_of(seam.at("normal")), seam.at("offset_mm").get<double>()};
}

/// The keys of a piece.
std::vector<KeptKey> keys_of(const Json& plan, const std::string& piece_id) {
  std::vector<KeptKey> keys;
  for (const Json& joint : plan.value("joints", Json::array())) {
    const Json& pieces = joint.at("pieces");
    if (std::find(pieces.begin(), pieces.end(), piece_id) == pieces.end()) continue;
    for (const Json& key : joint.at("keys")) {
      keys.push_back({value_named<KeyKind>(word_or_empty(key, "kind")).value_or(KeyKind::none),
                      vec_of(key.at("at")), key.value("diameter_mm", 0.0),
                      key.value("depth_mm", 0.0), word_or_empty(key, "male") == piece_id});
    }
  }
  return keys;
}

EarlierMarks marks_of(const Json& plan) {
  std::map<std::string, EarlierSeam> seams;
  for (const Json& seam : plan.at("seams")) {
    seams[seam.at("id").get<std::string>()] = {word_or_empty(seam, "parent"),
                                               word_or_empty(seam, "side"), plane_of(seam)};
  }
  EarlierMarks earlier;
  for (const Json& piece : plan.at("pieces")) {
    earlier.pieces.push_back(
        {piece.at("mark").get<std::string>(),
         cell_of(seams, word_or_empty(piece, "seam"), word_or_empty(piece, "side")),
         piece.value("volume_mm3", 0.0), keys_of(plan, word_or_empty(piece, "id"))});
  }
  if (plan.contains("retired_marks"))
    earlier.retired = plan["retired_marks"].get<std::vector<std::string>>();
  return earlier;
}

/// Parents come before children; ids are given anew in that order.
Result<SeamPlan> plan_of(const Json& seams) {
  SeamPlan plan;
  std::map<std::string, SeamId> ids;
  for (const Json& seam : seams) {
    AddSeam add;
    const std::string parent = word_or_empty(seam, "parent");
    if (!parent.empty()) add.parent = ids.at(parent);
    add.side = word_or_empty(seam, "side") == "below" ? Side::below : Side::above;
    add.plane = plane_of(seam);
    Result<SeamPlan> grown = apply(plan, add);
    if (!grown) return grown;
    plan = std::move(*grown);
    ids[seam.at("id").get<std::string>()] = plan.seams.back().id;
  }
  return plan;
}

/// A whole plan.json of ours.
std::optional<Json> read_plan(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  if (!in || std::filesystem::is_directory(file)) return std::nullopt;
  Json plan = Json::parse(in, nullptr, false);
  if (!plan.is_object() || word_or_empty(plan, "schema") != "seamwright-plan/1")
    return std::nullopt;
  return plan;
}

Error not_a_plan(const std::filesystem::path& file, const std::string& what) {
  return {"bad-usage", fmt::format("--seams {}: {}; give the plan.json of a hand-off of this part",
                                   file.string(), what)};
}

}  // namespace

Result<SeamPlan> read_plan_seams(const std::filesystem::path& plan_json, int take) {
  std::ifstream in(plan_json, std::ios::binary);
  if (!in || std::filesystem::is_directory(plan_json))
    return not_a_plan(plan_json, "can't be read");
  const std::optional<Json> plan = read_plan(plan_json);
  if (!plan) return not_a_plan(plan_json, "is no plan");
  try {
    if (take == 0) return plan_of(plan->at("seams"));
    const Json others = plan->value("other_plans", Json::array());
    if (static_cast<std::size_t>(take) > others.size())
      return Error{"bad-usage", fmt::format("--take {}: {} holds {} other plans; make more with "
                                            "--other-plans",
                                            take, plan_json.string(), others.size())};
    return plan_of(others.at(static_cast<std::size_t>(take) - 1).at("seams"));
  } catch (const std::exception& error) {
    return not_a_plan(plan_json, fmt::format("is damaged ({})", error.what()));
  }
}

std::optional<EarlierPart> read_earlier_part(const std::filesystem::path& plan_json) {
  const std::optional<Json> plan = read_plan(plan_json);
  const auto part = plan ? plan->find("part") : Json::const_iterator();
  if (!plan || part == plan->end() || !part->is_object()) return std::nullopt;
  EarlierPart named{word_or_empty(*part, "file"), word_or_empty(*part, "sha256")};
  return named.file.empty() ? std::nullopt : std::optional(std::move(named));
}

EarlierMarks read_earlier_marks(const std::filesystem::path& plan_json) {
  const std::optional<Json> plan = read_plan(plan_json);
  if (!plan) return {};
  try {
    return marks_of(*plan);
  } catch (const Json::exception&) {
    return {};
  }
}

}  // namespace seamwright::app
