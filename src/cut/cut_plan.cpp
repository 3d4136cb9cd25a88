#include "seamwright/cut/cut_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <unordered_map>

#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

std::string name_of(const Seam& seam) {
  return fmt::format("S{}", static_cast<std::uint32_t>(seam.id));
}

/// One half that some plan needed. The two halves of a cut are made together.
struct Half {
  std::shared_ptr<const Solid> solid;  ///< null: the half is empty
  std::vector<Solid> parts;            ///< its connected solids, once asked for
  bool has_parts = false;
};

/// What a cut depends on: the half it cuts, by its number, the plane, and the seam that caps bear.
struct CutKey {
  std::size_t parent = 0;
  SeamId seam{};
  Plane plane;
  friend bool operator==(const CutKey&, const CutKey&) = default;
};

struct CutKeyHash {
  std::size_t operator()(const CutKey& key) const {
    std::uint64_t hash = key.parent * 0x9e3779b97f4a7c15ULL + static_cast<std::uint32_t>(key.seam);
    for (double x :
         {key.plane.normal.x, key.plane.normal.y, key.plane.normal.z, key.plane.offset_mm}) {
      hash = (hash ^ std::hash<double>{}(x)) * 0xff51afd7ed558ccdULL;
      hash ^= hash >> 32;
    }
    return static_cast<std::size_t>(hash);
  }
};

struct Cut {
  std::size_t above = 0, below = 0;  ///< numbers of the halves
  std::size_t last_used = 0;         ///< the call that last needed it
};

/// A half that no seam cuts, and where it hangs in the tree.
struct Leaf {
  std::size_t half = 0;
  std::string path;
  const Seam* seam = nullptr;
  Side side = Side::above;
};

/// The seams of a plan by the half they cut.
class Tree {
 public:
  explicit Tree(const SeamPlan& plan) {
    for (const Seam& seam : plan.seams) {
      require(!seam.parent || find_seam(plan, *seam.parent) != nullptr,
              "a seam's parent is in its plan");
      const bool is_new = children_.emplace(key(seam.parent, seam.side), &seam).second;
      require(is_new, "no half of a plan has two seams");
    }
  }
  const Seam* root() const { return child_at({}); }
  const Seam* child(const Seam& seam, Side side) const { return child_at(key(seam.id, side)); }

 private:
  using Key = std::pair<std::optional<SeamId>, Side>;
  static Key key(std::optional<SeamId> parent, Side side) {
    return {parent, parent ? side : Side::above};
  }
  const Seam* child_at(const Key& key) const {
    const auto at = children_.find(key);
    return at != children_.end() ? at->second : nullptr;
  }
  std::map<Key, const Seam*> children_;
};

struct Task {
  const Seam* seam = nullptr;
  std::size_t parent = 0;  ///< number of the half to cut
};

}  // namespace

struct PlanCutter::Memory {
  std::map<std::size_t, Half> halves;  ///< by number, never used again; 0 is the part
  std::unordered_map<CutKey, Cut, CutKeyHash> cuts;
  std::size_t next_half = 1, calls = 0, last_cut_count = 0, remembered_calls = 8;

  /// Cuts every seam of the plan, depth by depth: halves of one depth don't depend on each other.
  Status cut_tree(const Tree& tree, const Run& run) {
    std::vector<Task> level;
    if (const Seam* root = tree.root()) level.push_back({root, 0});
    while (!level.empty()) {
      if (Status done = cut_level(level, run); !done) return done;
      std::vector<Task> next;
      for (const Task& task : level) {
        const Cut& cut = cuts.at(key_of(task));
        if (const Seam* seam = tree.child(*task.seam, Side::above))
          next.push_back({seam, cut.above});
        if (const Seam* seam = tree.child(*task.seam, Side::below))
          next.push_back({seam, cut.below});
      }
      level = std::move(next);
    }
    return ok();
  }

  Status cut_level(const std::vector<Task>& level, const Run& run) {
    std::vector<Task> missing;
    for (const Task& task : level) {
      const auto known = cuts.find(key_of(task));
      if (known != cuts.end())
        known->second.last_used = calls;
      else
        missing.push_back(task);
    }
    using Made = std::optional<Result<CutHalves>>;
    std::vector<Made> made = map_index(missing.size(), run, [&](std::size_t i) -> Made {
      if (run.should_stop()) return Error{"cancelled", "stopped while cutting"};
      const auto& parent = halves.at(missing[i].parent).solid;
      if (!parent) return CutHalves{};
      return plane_cut(*parent, missing[i].seam->plane, missing[i].seam->id);
    });
    for (std::size_t i = 0; i < missing.size(); ++i) {
      if (!*made[i])
        return std::move(*made[i]).error().within("cutting at seam " + name_of(*missing[i].seam));
      remember(missing[i], **std::move(made[i]));
    }
    return ok();
  }

  void remember(const Task& task, CutHalves made) {
    const std::shared_ptr<const Solid> parent = halves.at(task.parent).solid;
    const bool is_missed = made.above.has_value() != made.below.has_value();
    const auto share = [&](std::optional<Solid>& half) -> std::shared_ptr<const Solid> {
      if (!half) return nullptr;
      return is_missed ? parent : std::make_shared<const Solid>(std::move(*half));
    };
    halves[next_half].solid = share(made.above);
    halves[next_half + 1].solid = share(made.below);
    cuts[key_of(task)] = {next_half, next_half + 1, calls};
    next_half += 2;
    if (parent) ++last_cut_count;
  }

  static CutKey key_of(const Task& task) { return {task.parent, task.seam->id, task.seam->plane}; }

  /// The leaves under a half, a seam's above half first; empty halves left out.
  void gather(const Tree& tree, const Leaf& at, const Seam* seam, std::vector<Leaf>& leaves) const {
    if (!halves.at(at.half).solid) return;
    if (seam == nullptr) {
      leaves.push_back(at);
      return;
    }
    const Cut& cut = cuts.at(key_of({seam, at.half}));
    const std::string path = at.path.empty() ? name_of(*seam) : at.path + "/" + name_of(*seam);
    gather(tree, {cut.above, path + "+", seam, Side::above}, tree.child(*seam, Side::above),
           leaves);
    gather(tree, {cut.below, path + "-", seam, Side::below}, tree.child(*seam, Side::below),
           leaves);
  }

  void split_leaves(const std::vector<Leaf>& leaves, const Run& run) {
    std::vector<Half*> unsplit;
    for (const Leaf& leaf : leaves) {
      if (Half& half = halves.at(leaf.half); !half.has_parts) unsplit.push_back(&half);
    }
    for_each_index(unsplit.size(), run, [&](std::size_t i) {
      unsplit[i]->parts = split_components(*unsplit[i]->solid);
      unsplit[i]->has_parts = true;
    });
  }

  std::vector<CutPiece> name_pieces(const std::vector<Leaf>& leaves) const {
    std::vector<CutPiece> pieces;
    for (const Leaf& leaf : leaves) {
      const std::string path = leaf.path.empty() ? "whole" : leaf.path;
      const std::vector<Solid>& parts = halves.at(leaf.half).parts;
      for (std::size_t i = 0; i < parts.size(); ++i) {
        pieces.push_back({i == 0 ? path : fmt::format("{}.{}", path, i + 1),
                          leaf.seam ? std::optional(leaf.seam->id) : std::nullopt, leaf.side,
                          parts[i]});
      }
    }
    return pieces;
  }

  void forget_old_cuts() {
    std::erase_if(cuts, [&](const auto& entry) {
      if (entry.second.last_used + remembered_calls >= calls) return false;
      halves.erase(entry.second.above);
      halves.erase(entry.second.below);
      return true;
    });
  }
};

PlanCutter::PlanCutter(std::shared_ptr<const Solid> part, std::size_t remembered_calls)
    : memory_(std::make_unique<Memory>()) {
  require(part != nullptr, "a plan cutter needs a part");
  memory_->remembered_calls = remembered_calls;
  memory_->halves[0].solid = std::move(part);
}
PlanCutter::~PlanCutter() = default;
PlanCutter::PlanCutter(PlanCutter&&) noexcept = default;

std::size_t PlanCutter::last_cut_count() const {
  return memory_->last_cut_count;
}

Result<std::vector<CutPiece>> PlanCutter::pieces(const SeamPlan& plan, const Run& run) {
  ++memory_->calls;
  memory_->last_cut_count = 0;
  const Tree tree(plan);
  if (Status cut = memory_->cut_tree(tree, run); !cut) return std::move(cut).error();
  std::vector<Leaf> leaves;
  memory_->gather(tree, {}, tree.root(), leaves);
  memory_->split_leaves(leaves, run);
  memory_->forget_old_cuts();
  return memory_->name_pieces(leaves);
}

Result<std::vector<CutPiece>> cut_plan(const Solid& part, const SeamPlan& plan, const Run& run) {
  return PlanCutter(std::make_shared<const Solid>(part)).pieces(plan, run);
}

}  // namespace seamwright
