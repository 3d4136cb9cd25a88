#include "seamwright/cut/seam_plan.h"

#include <fmt/format.h>

#include <algorithm>

namespace seamwright {
namespace {

std::string name_of(SeamId id) {
  return fmt::format("S{}", static_cast<std::uint32_t>(id));
}

Seam* find(SeamPlan& plan, SeamId id) {
  const auto at = std::find_if(plan.seams.begin(), plan.seams.end(),
                               [id](const Seam& seam) { return seam.id == id; });
  return at != plan.seams.end() ? &*at : nullptr;
}

Error no_such_seam(SeamId id) {
  return {"no-such-seam", fmt::format("the plan has no seam {}", name_of(id))};
}
Error locked(SeamId id) {
  return {"seam-locked", fmt::format("seam {} is locked; unlock it first", name_of(id))};
}

Status check_plane(const Plane& plane) {
  const double length = norm(plane.normal);
  if (std::abs(length - 1) <= 1e-9 && std::isfinite(plane.offset_mm)) return ok();
  return Error{"bad-plane",
               fmt::format("the plane's normal has length {} instead of 1, its offset is {} mm",
                           length, plane.offset_mm)};
}

/// Each kind of edit, on a copy of the plan.
struct Editor {
  SeamPlan plan;

  Result<SeamPlan> operator()(const AddSeam& edit) {
    if (Status plane = check_plane(edit.plane); !plane) return std::move(plane).error();
    if (edit.parent && find(plan, *edit.parent) == nullptr) return no_such_seam(*edit.parent);
    for (const Seam& seam : plan.seams) {
      const bool same_half = seam.parent == edit.parent && (!edit.parent || seam.side == edit.side);
      if (!same_half) continue;
      return Error{"half-taken", fmt::format("seam {} cuts that half already", name_of(seam.id))};
    }
    plan.seams.push_back({SeamId{plan.next_id++}, edit.parent, edit.side, edit.plane, false});
    return std::move(plan);
  }

  Result<SeamPlan> operator()(const MoveSeam& edit) {
    if (Status plane = check_plane(edit.plane); !plane) return std::move(plane).error();
    Seam* seam = find(plan, edit.seam);
    if (seam == nullptr) return no_such_seam(edit.seam);
    if (seam->is_locked) return locked(edit.seam);
    seam->plane = edit.plane;
    return std::move(plan);
  }

  /// Parents come before children, so one pass finds everything below the seam.
  Result<SeamPlan> operator()(const RemoveSeam& edit) {
    if (find(plan, edit.seam) == nullptr) return no_such_seam(edit.seam);
    std::vector<SeamId> doomed;
    const auto is_doomed = [&](SeamId id) {
      return std::find(doomed.begin(), doomed.end(), id) != doomed.end();
    };
    for (const Seam& seam : plan.seams) {
      if (seam.id != edit.seam && !(seam.parent && is_doomed(*seam.parent))) continue;
      if (seam.is_locked) return locked(seam.id);
      doomed.push_back(seam.id);
    }
    std::erase_if(plan.seams, [&](const Seam& seam) { return is_doomed(seam.id); });
    return std::move(plan);
  }

  Result<SeamPlan> operator()(const LockSeam& edit) {
    Seam* seam = find(plan, edit.seam);
    if (seam == nullptr) return no_such_seam(edit.seam);
    seam->is_locked = edit.is_locked;
    return std::move(plan);
  }
};

}  // namespace

Result<SeamPlan> apply(const SeamPlan& plan, const Edit& edit) {
  return std::visit(Editor{plan}, edit);
}

const Seam* find_seam(const SeamPlan& plan, SeamId id) {
  return find(const_cast<SeamPlan&>(plan), id);
}

}  // namespace seamwright
