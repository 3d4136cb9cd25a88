#include "app/earlier_plan.h"

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

EarlierMarks marks_of(const Json& plan) {
  std::map<std::string, EarlierSeam> seams;
  for (const Json& seam : plan.at("seams")) {
    const Json& normal = seam.at("normal");
    seams[seam.at("id").get<std::string>()] = {
        word_or_empty(seam, "parent"), word_or_empty(seam, "side"),
        Plane{{normal.at(0).get<double>(), normal.at(1).get<double>(), normal.at(2).get<double>()},
              seam.at("offset_mm").get<double>()}};
  }
  EarlierMarks earlier;
  for (const Json& piece : plan.at("pieces")) {
    earlier.pieces.push_back(
        {piece.at("mark").get<std::string>(),
         cell_of(seams, word_or_empty(piece, "seam"), word_or_empty(piece, "side"))});
  }
  if (plan.contains("retired_marks"))
    earlier.retired = plan["retired_marks"].get<std::vector<std::string>>();
  return earlier;
}

}  // namespace

EarlierMarks read_earlier_marks(const std::filesystem::path& plan_json) {
  std::ifstream in(plan_json, std::ios::binary);
  if (!in) return {};
  const Json plan = Json::parse(in, nullptr, false);
  if (plan.is_discarded() || !plan.is_object() || plan.value("schema", "") != "seamwright-plan/1")
    return {};
  try {
    return marks_of(plan);
  } catch (const Json::exception&) {
    return {};
  }
}

}  // namespace seamwright::app
