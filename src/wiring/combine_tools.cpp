#include "wiring/combine_tools.h"

#include <algorithm>

#include "seamwright/core/boxes.h"

namespace seamwright::wiring_detail {
namespace {

constexpr Vec3 kShiftsMm[] = {{0, 0, 0}, {0.013, 0.017, -0.011}, {-0.029, 0.023, 0.019}};

Result<Solid> one_operation(const Solid& body, std::span<const Tool> tools, bool is_added,
                            const Run& run) {
  return is_added ? combine(body, tools, {}, run) : combine(body, {}, tools, run);
}

Result<Solid> one_tool(const Solid& body, const Tool& tool, bool is_added, const Run& run) {
  std::optional<Error> last;
  for (const Vec3& shift : kShiftsMm) {
    const Tool moved{tool.name, tool.solid.transformed({.shift = shift})};
    Result<Solid> done = one_operation(body, {&moved, 1}, is_added, run);
    if (done) return done;
    last = std::move(done).error();
  }
  return *last;
}

/// The tools in batches, each of tools whose boxes don't meet, in order.
std::vector<std::vector<Tool>> batches_of(std::span<const Tool> tools) {
  std::vector<std::vector<Tool>> batches;
  for (const Tool& tool : tools) {
    const auto has_room = [&](const std::vector<Tool>& batch) {
      return std::none_of(batch.begin(), batch.end(), [&](const Tool& other) {
        return boxes_meet(tool.solid.box(), other.solid.box());
      });
    };
    const auto found = std::find_if(batches.begin(), batches.end(), has_room);
    if (found == batches.end()) {
      batches.push_back({tool});
    } else {
      found->push_back(tool);
    }
  }
  return batches;
}

Result<Solid> batch_by_batch(Solid whole, const std::vector<std::vector<Tool>>& batches,
                             bool is_added, const Run& run) {
  for (const std::vector<Tool>& batch : batches) {
    if (batch.size() > 1) {
      Result<Solid> at_once = one_operation(whole, batch, is_added, run);
      if (at_once) {
        whole = std::move(*at_once);
        continue;
      }
    }
    for (const Tool& tool : batch) {
      Result<Solid> next = one_tool(whole, tool, is_added, run);
      if (!next) return std::move(next).error();
      whole = std::move(*next);
    }
  }
  return whole;
}

}  // namespace

Result<Solid> combine_tools(const Solid& body, std::span<const Tool> added,
                            std::span<const Tool> taken, const Run& run) {
  const auto adding = batches_of(added), taking = batches_of(taken);
  if (adding.size() == 1 && taking.size() == 1) {
    // Both in one go: half the time of the body's conversions.
    Result<Solid> at_once = combine(body, adding.front(), taking.front(), run);
    if (at_once) return at_once;
  }
  Result<Solid> fuller = batch_by_batch(body, adding, true, run);
  if (!fuller) return fuller;
  return batch_by_batch(std::move(*fuller), taking, false, run);
}

}  // namespace seamwright::wiring_detail
