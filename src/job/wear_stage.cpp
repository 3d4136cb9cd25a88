#include "job/wear_stage.h"

#include <fmt/format.h>

#include <algorithm>

#include "job/wear_input.h"

namespace seamwright::job_detail {
namespace {

/// What a piece weighs once its support is off.
double piece_g(const FinishedPiece& piece) {
  return piece.print.mass_g - piece.print.support_g;
}

WornBody worn_body(const HandOff& out, const Job& job) {
  WornBody body{.plan = &out.seams.plan, .assembly = out.assembly};
  for (const FinishedPiece& piece : out.pieces) {
    body.solids.push_back(&piece.keyed);
    body.mass_g.push_back(piece_g(piece));
  }
  for (const Joint& joint : out.joints) body.faces.push_back(joint.face);
  body.rods = rods_through(out, job);
  return body;
}

/// What helps a seam that bears too much.
std::string remedies(const SeamLoad& load) {
  std::string text = fmt::format(
      "a rod of {:.1f} mm through it takes the bending, or a strap 30 mm wide and {:.0f} mm long "
      "on each side",
      load.rod_mm, std::max(10.0, load.strap_mm));
  return load.moved ? text + "; or " + moved_words(*load.moved) : text;
}

/// Bags' things: pieces that glued joints hold together.
std::vector<std::vector<std::size_t>> travel_groups(const HandOff& out,
                                                    const std::vector<SeamId>& more) {
  std::vector<std::size_t> group(out.pieces.size());
  for (std::size_t i = 0; i < group.size(); ++i) group[i] = i;
  for (const Joint& joint : out.joints) {
    if (!joint.is_glued || std::find(more.begin(), more.end(), joint.face.seam) != more.end())
      continue;
    const std::size_t from = group[to_index(joint.face.above)],
                      to = group[to_index(joint.face.below)];
    std::replace(group.begin(), group.end(), from, to);
  }
  std::vector<std::vector<std::size_t>> groups;
  for (std::size_t first = 0; first < group.size(); ++first) {
    if (std::find(group.begin(), group.begin() + static_cast<std::ptrdiff_t>(first),
                  group[first]) != group.begin() + static_cast<std::ptrdiff_t>(first))
      continue;
    groups.emplace_back();
    for (std::size_t i = first; i < group.size(); ++i) {
      if (group[i] == group[first]) groups.back().push_back(i);
    }
  }
  return groups;
}

std::vector<BagItem> bag_items(const HandOff& out,
                               const std::vector<std::vector<std::size_t>>& groups) {
  std::vector<BagItem> items;
  for (const auto& group : groups) {
    BagItem item;
    for (const std::size_t i : group) {
      item.name += (item.name.empty() ? "" : "+") + out.pieces[i].mark;
      item.solids.push_back(&out.pieces[i].keyed);
      item.mass_g += piece_g(out.pieces[i]);
    }
    items.push_back(std::move(item));
  }
  return items;
}

Result<PackedBags> pack_all(const HandOff& out, const std::vector<BagChoice>& bags,
                            const std::vector<SeamId>& more, const PackOptions& options,
                            const Run& run) {
  PackedBags packed;
  packed.groups = travel_groups(out, more);
  packed.more_travel_seams = more;
  const std::vector<BagItem> items = bag_items(out, packed.groups);
  std::vector<std::size_t> left(items.size());
  for (std::size_t i = 0; i < left.size(); ++i) left[i] = i;
  for (const BagChoice& bag : bags) {
    std::vector<BagItem> still;
    for (const std::size_t i : left) still.push_back(items[i]);
    Result<Packing> packing = pack_bag(still, bag, options, run);
    if (!packing) return packing.error();
    for (BagPlace& place : packing->places) place.item = left[place.item];
    std::vector<std::size_t> out_of_this;
    for (const std::size_t i : packing->left_out) out_of_this.push_back(left[i]);
    packing->left_out = left = out_of_this;
    packed.bags.push_back({bag, std::move(*packing)});
  }
  packed.left_out = left;
  return packed;
}

/// The least set of further travel seams with which all goes in: every seam alone, then every pair.
Result<std::optional<PackedBags>> with_more_joints(const HandOff& out, const Job& job,
                                                   const Run& run) {
  const PackOptions quick{.cells_a_side = 24, .try_count = 1};
  std::vector<std::vector<SeamId>> sets;
  std::vector<SeamId> glued;
  for (const Seam& seam : out.seams.plan.seams) {
    const bool is_glued = std::any_of(
        out.joints.begin(), out.joints.end(),
        [&](const Joint& joint) { return joint.face.seam == seam.id && joint.is_glued; });
    if (is_glued) glued.push_back(seam.id);
  }
  for (const SeamId seam : glued) sets.push_back({seam});
  for (std::size_t i = 0; i < glued.size(); ++i) {
    for (std::size_t k = i + 1; k < glued.size(); ++k) sets.push_back({glued[i], glued[k]});
  }
  sets.push_back(glued);
  constexpr std::size_t kMostSets = 40;
  if (sets.size() > kMostSets) sets.erase(sets.begin() + kMostSets - 1, sets.end() - 1);
  const std::size_t now = travel_groups(out, {}).size();
  for (const auto& more : sets) {
    if (travel_groups(out, more).size() == now) continue;  // other joints still hold it together
    Result<PackedBags> packed = pack_all(out, job.bags, more, quick, run);
    if (!packed) return packed.error();
    if (packed->left_out.empty()) return std::optional(std::move(*packed));
  }
  return std::optional<PackedBags>{};
}

}  // namespace

std::vector<WearRod> rods_through(const HandOff& out, const Job& job) {
  std::vector<WearRod> rods;
  for (const SparSpec& spar : job.wiring.spars) {
    for (const Channel& channel : out.channels) {
      if (channel.kind != "spar" || channel.name != spar.name) continue;
      for (const SeamId seam : crossed_seams(out, channel))
        rods.push_back({seam, spar.diameter_mm});
    }
  }
  return rods;
}

void judge_wear(HandOff& out, const Job& job, Vec3 up) {
  out.wear_choice = job.wear;
  out.wear = find_seam_loads(wear_input(worn_body(out, job), job.mounts, job.wear, up));
}

void warn_of_wear(HandOff& out) {
  for (const SeamLoad& load : out.wear->seams) {
    if (load.use_ratio <= 1) continue;
    out.warnings.push_back(
        {"seam-over-load", fmt::format("{} bears {:.1f} times what is allowed: {}",
                                       seam_name(load.seam), load.use_ratio, remedies(load))});
  }
  constexpr double kGuidanceRatio = 0.15;
  if (out.wear->body_share_ratio && *out.wear->body_share_ratio > kGuidanceRatio) {
    out.warnings.push_back(
        {"heavy-for-wearer",
         fmt::format("It weighs {:.0f} % of its wearer; guidance for children's backs is at most "
                     "10 to 15 % (Brackley and Stevenson, Spine 29 (2004) 2184)",
                     100 * *out.wear->body_share_ratio)});
  }
}

Status plan_travel(HandOff& out, const Job& job, const Run& run) {
  if (job.bags.empty()) return ok();
  Result<PackedBags> packed = pack_all(out, job.bags, {}, {}, run);
  if (!packed) return packed.error();
  if (!packed->left_out.empty()) {
    Result<std::optional<PackedBags>> more = with_more_joints(out, job, run);
    if (!more) return more.error();
    if (*more) {  // shown is how it would go in
      packed = std::move(**more);
      packed->is_helped = true;
      packed->help_seams = packed->more_travel_seams;
    }
    out.warnings.push_back(
        {"does-not-travel", packed->is_helped
                                ? fmt::format("Not all goes into the bags; it does when {} come "
                                              "apart too: name them in [travel] seams",
                                              seam_list(packed->help_seams))
                                : std::string("Not all goes into the bags, whatever seams come "
                                              "apart (of the sets tried); take larger "
                                              "bags")});
  }
  out.bags = std::move(*packed);
  return ok();
}

}  // namespace seamwright::job_detail
