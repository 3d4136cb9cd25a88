#include <nlohmann/json.hpp>

#include "handoff/days_parts.h"

namespace seamwright::days_parts {
namespace {

using Json = nlohmann::ordered_json;

Json numbers(Vec3 v) {
  return Json::array({v.x, v.y, v.z});
}
Json mass_json(const MassPoint& point) {
  return {{"mass_g", point.mass_g}, {"middle_mm", numbers(point.middle)}};
}
Json moved_json(const std::optional<MovedSeam>& moved) {
  if (!moved) return {};
  return {{"by_mm", moved->by_mm},
          {"direction", numbers(moved->direction)},
          {"use_ratio", moved->use_ratio},
          {"more_h", moved->more_h}};
}
Json load_json(const SeamLoad& load) {
  return {{"seam", seam_name(load.seam)},
          {"carried_g", load.carried_g},
          {"shared", load.is_shared},
          {"pull_n", load.pull_n},
          {"shear_n", load.shear_n},
          {"bending_nmm", load.bending_nmm},
          {"twist_nmm", load.twist_nmm},
          {"by_rods_nmm", load.by_rods_nmm},
          {"area_mm2", load.section.area_mm2},
          {"pull_mpa", load.pull_mpa},
          {"shear_mpa", load.shear_mpa},
          {"use_ratio", load.use_ratio},
          {"rod_mm", load.rod_mm},
          {"strap_mm", load.strap_mm},
          {"sag_mm", load.sag_mm},
          {"moved", moved_json(load.moved)}};
}

Json motion_json(const Transform& motion) {
  Json rows = Json::array();
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t k = 0; k < 3; ++k) rows.push_back(motion.rows[i][k]);
    rows.push_back(motion.shift[i]);
  }
  for (const int last : {0, 0, 0, 1}) rows.push_back(last);
  return rows;
}

}  // namespace

Json wear_part(const HandOff& hand_off) {
  if (!hand_off.wear) return {};
  const WearFindings& wear = *hand_off.wear;
  Json steps = Json::array(), seams = Json::array();
  for (const MassPoint& step : wear.steps) steps.push_back(mass_json(step));
  for (const SeamLoad& load : wear.seams) seams.push_back(load_json(load));
  return {{"whole", mass_json(wear.whole)},
          {"steps", std::move(steps)},
          {"seams", std::move(seams)},
          {"body_share_ratio", wear.body_share_ratio ? Json(*wear.body_share_ratio) : Json()},
          {"harness_moment_nmm", wear.harness_moment_nmm}};
}

Json bags_part(const HandOff& hand_off) {
  if (!hand_off.bags) return {};
  const auto marks = [&](std::size_t group) {
    Json list = Json::array();
    for (const std::size_t piece : hand_off.bags->groups.at(group))
      list.push_back(hand_off.pieces[piece].mark);
    return list;
  };
  Json bags = Json::array();
  for (const PackedBag& packed : hand_off.bags->bags) {
    Json places = Json::array();
    for (const BagPlace& place : packed.packing.places)
      places.push_back(
          {{"pieces", marks(place.item)}, {"bag_from_part", motion_json(place.bag_from_part)}});
    bags.push_back({{"name", packed.bag.name},
                    {"inner_mm", numbers(packed.bag.inner_mm)},
                    {"mass_g", packed.packing.mass_g},
                    {"places", std::move(places)}});
  }
  Json left = Json::array();
  for (const std::size_t group : hand_off.bags->left_out) left.push_back(marks(group));
  Json needed = Json::array();
  for (const SeamId seam : hand_off.bags->help_seams) needed.push_back(seam_name(seam));
  return {{"bags", std::move(bags)},
          {"left_out", std::move(left)},
          {"further_travel_seams", std::move(needed)}};
}

}  // namespace seamwright::days_parts
