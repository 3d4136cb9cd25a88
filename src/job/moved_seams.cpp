#include "job/moved_seams.h"

#include <algorithm>
#include <array>
#include <map>
#include <memory>

#include "job/notes.h"
#include "job/wear_input.h"
#include "job/wear_stage.h"
#include "seamwright/cut/joint_faces.h"
#include "seamwright/query/mass_properties.h"
#include "seamwright/seams/plan_desk.h"

namespace seamwright::job_detail {
namespace {

constexpr std::size_t kMostSeams = 3;
constexpr std::array kMoves_mm{5.0,  -5.0,  10.0, -10.0, 20.0, -20.0,
                               30.0, -30.0, 45.0, -45.0, 60.0, -60.0};
constexpr double kLeastRelief_ratio = 0.1, kAsBefore_ratio = 1.01;
constexpr std::size_t kMostQuestions = 6;  // to the desk, for each seam

using Uses = std::map<SeamId, double>;

/// A plan with one seam moved, and what its seams bear.
struct Move {
  double by_mm = 0;
  double use_ratio = 0;
  SeamPlan plan;
};

class SeamMover {
 public:
  SeamMover(const HandOff& out, const Job& job, Vec3 up, const Run& run)
      : out_(out), job_(job), up_(up), run_(run), cutter_(unowned(out.wired)) {
    double volume = 0;
    for (const FinishedPiece& piece : out.pieces) volume += volume_mm3(piece.planned.cut.solid);
    density_g_mm3_ = out.wear->whole.mass_g / volume;
  }
  static std::shared_ptr<const Solid> unowned(const Solid& solid) {
    return {std::shared_ptr<void>(), &solid};
  }

  /// What each seam of a plan bears.
  Result<Uses> uses(const SeamPlan& plan) {
    const Result<std::vector<CutPiece>> cuts = cutter_.pieces(plan, run_);
    if (!cuts) return cuts.error();
    Result<std::vector<JointFace>> faces = find_joint_faces(plan, *cuts);
    if (!faces) return faces.error();
    WornBody body{.plan = &plan, .rods = rods_through(out_, job_)};
    for (const CutPiece& cut : *cuts) {
      body.solids.push_back(&cut.solid);
      body.mass_g.push_back(density_g_mm3_ * volume_mm3(cut.solid));
    }
    std::vector<SeamId> seams;
    for (const JointFace& face : *faces) seams.push_back(face.seam);
    body.assembly = assembly_order(plan, seams);
    body.faces = std::move(*faces);
    Uses uses;
    const WearFindings found = find_seam_loads(wear_input(body, job_.mounts, job_.wear, up_));
    for (const SeamLoad& load : found.seams) uses[load.seam] = load.use_ratio;
    return uses;
  }

  /// Moves that relieve the seam and overload no other: those after which it holds, the least
  /// first; then the others, the best first. Errors: "cancelled".
  Result<std::vector<Move>> moves(SeamId id, const Uses& now) {
    std::vector<Move> moves;
    const Seam& seam = *find_seam(out_.seams.plan, id);
    for (const double by_mm : kMoves_mm) {
      const Plane plane{seam.plane.normal, seam.plane.offset_mm + by_mm};
      Result<SeamPlan> plan = apply(out_.seams.plan, MoveSeam{id, plane});
      if (!plan) break;  // locked
      const Result<Uses> then = uses(*plan);
      if (!then && then.error().code == "cancelled") return then.error();
      if (!then || !helps(id, now, *then)) continue;
      moves.push_back({by_mm, then->at(id), std::move(*plan)});
    }
    std::stable_sort(moves.begin(), moves.end(), [](const Move& a, const Move& b) {
      return std::max(1.0, a.use_ratio) < std::max(1.0, b.use_ratio);
    });
    return moves;
  }

 private:
  static bool helps(SeamId id, const Uses& now, const Uses& then) {
    if (!then.contains(id) || then.at(id) > (1 - kLeastRelief_ratio) * now.at(id)) return false;
    return std::all_of(then.begin(), then.end(), [&](const auto& other) {
      const auto before = now.find(other.first);
      return other.first == id || other.second <= 1 ||
             (before != now.end() && other.second <= kAsBefore_ratio * before->second);
    });
  }

  const HandOff& out_;
  const Job& job_;
  Vec3 up_;
  const Run& run_;
  PlanCutter cutter_;
  double density_g_mm3_ = 0;  // with walls and fill
};

bool is_done_seam(const Plane& plane, const PlanOptions& asked) {
  const auto lies_on = [&](const Plane& other) {
    return norm(cross(plane.normal, other.normal)) < 1e-9 &&
           std::abs(plane.offset_mm - dot(plane.normal, other.normal) * other.offset_mm) < 1e-6;
  };
  return std::any_of(asked.done_cells.begin(), asked.done_cells.end(), [&](const auto& cell) {
    return std::any_of(cell.begin(), cell.end(), lies_on);
  });
}

std::vector<SeamLoad*> overloaded_seams(HandOff& out, const PlanOptions& asked) {
  std::vector<SeamLoad*> list;
  for (SeamLoad& load : out.wear->seams) {  // most used first
    const Seam* seam = find_seam(out.seams.plan, load.seam);
    if (load.use_ratio > 1 && !seam->is_locked && !is_done_seam(seam->plane, asked))
      list.push_back(&load);
  }
  list.resize(std::min(list.size(), kMostSeams));
  return list;
}

/// The first of the moves whose pieces all fit.
Result<std::optional<MovedSeam>> first_that_fits(const std::vector<Move>& moves, Vec3 normal,
                                                 PlanDesk& desk, double now_h, const Run& run) {
  for (std::size_t i = 0; i < std::min(moves.size(), kMostQuestions); ++i) {
    const Result<PlannedSeams> judged = desk.judge(moves[i].plan, run);
    if (!judged && judged.error().code == "cancelled") return judged.error();
    if (!judged) continue;
    const double by_mm = moves[i].by_mm;
    return std::optional(MovedSeam{by_mm, normal * (by_mm < 0 ? -1.0 : 1.0), moves[i].use_ratio,
                                   judged->maker_h - now_h});
  }
  return std::optional<MovedSeam>{};
}

}  // namespace

Status move_overloaded_seams(HandOff& out, const Job& job, const std::vector<double>& weights,
                             const PlanOptions& asked, const PieceJudge& judge, Vec3 up,
                             const Run& run) {
  const std::vector<SeamLoad*> loads = overloaded_seams(out, asked);
  if (loads.empty()) return ok();
  const Run quiet{run.thread_count, run.cancel, {}};
  SeamMover mover(out, job, up, quiet);
  const Result<Uses> now = mover.uses(out.seams.plan);
  if (!now) return now.error();
  PlanDesk desk(SeamMover::unowned(out.wired), {out.sight, weights}, asked, judge);
  const Result<PlannedSeams> judged = desk.judge(out.seams.plan, quiet);
  if (!judged) return judged.error();
  for (SeamLoad* load : loads) {
    if (!now->contains(load->seam)) continue;
    const Result<std::vector<Move>> moves = mover.moves(load->seam, *now);
    if (!moves) return moves.error();
    const Vec3 normal = find_seam(out.seams.plan, load->seam)->plane.normal;
    const auto moved = first_that_fits(*moves, normal, desk, judged->maker_h, quiet);
    if (!moved) return moved.error();
    load->moved = *moved;
  }
  return ok();
}

}  // namespace seamwright::job_detail
