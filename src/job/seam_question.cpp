#include "job/seam_question.h"

#include "job/region_choice.h"
#include "job/shrinkage.h"
#include "job/symmetry.h"
#include "job/wiring_stage.h"
#include "seamwright/pose/quick_estimate.h"

namespace seamwright::job_detail {
namespace {

Plane plane_of(Vec3 normal, double offset_mm) {
  const double length = norm(normal);
  return {normal / length, offset_mm / length};
}

/// What the maker wants of the seams.
void add_wishes(PlanOptions& options, const Job& job, const EarlierMarks& earlier) {
  for (const LockChoice& lock : job.locks)
    options.locked.push_back(plane_of(lock.normal, lock.offset_mm));
  for (const PreferChoice& wish : job.prefers)
    options.preferred.push_back({plane_of(wish.normal, wish.offset_mm), wish.discount_ratio});
  for (const ForbidChoice& zone : job.forbids) {
    options.forbidden.push_back(zone_of(zone));
    options.forbidden.back().name = zone.name;
  }
  for (const DoneChoice& done : job.dones) {
    const EarlierPiece* piece = find_piece(earlier, done.piece);
    require(piece != nullptr, "done pieces were checked");
    options.done_cells.push_back(piece->cell);
  }
  options.given = job.given_plan;
  options.most_pieces = static_cast<std::size_t>(job.search.most_pieces);
  options.longest_print_h = job.search.longest_print_h;
  options.other_plans = static_cast<std::size_t>(job.search.other_plans);
}

}  // namespace

PlanOptions plan_options(const Job& job, const HandOff& out, const EarlierMarks& earlier) {
  PlanOptions options;
  options.printers.clear();
  options.cost = job.cost;
  options.poses = job.search.poses;
  options.effort = job.search.effort;
  options.seed = static_cast<std::uint64_t>(job.search.seed);
  for (const Printer& printer : job.printers) {
    options.printers.push_back(with_room_for_shrinkage(printer, job.material));
  }
  add_wishes(options, job, earlier);
  options.mirror = mirror_plane(out.wired, job.search.symmetric);
  keep_clear_of(out.channels, out.pockets, options);
  return options;
}

PieceJudge piece_judge(const Job& job, const std::vector<Printer>& printers) {
  PrintSettings bare = job.print;
  bare.has_support = false;
  return {
      .print_s =
          [&job, &printers](const Solid& solid, const Pose& pose, std::size_t printer) {
            return quick_estimate(solid, pose, printers.at(printer), job.material, job.print)
                .print_s;
          },
      .bare_print_s =
          [&job, &printers, bare](const Solid& solid, const Pose& pose, std::size_t printer) {
            return quick_estimate(solid, pose, printers.at(printer), job.material, bare).print_s;
          }};
}

}  // namespace seamwright::job_detail
