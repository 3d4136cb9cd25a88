#include "seamwright/job/marks.h"

#include <fmt/format.h>

#include <map>
#include <set>

#include "seamwright/cut/plane_cut.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

constexpr std::size_t kMostPerLetter = 5;

/// Splits the run of pieces [begin, end), which share the first `depth` steps of their paths, where
/// the paths part, until each group is small enough for one letter.
class Grouping {
 public:
  explicit Grouping(std::span<const CutPiece> pieces) : letter_(pieces.size()) {
    for (const CutPiece& piece : pieces) paths_.push_back(steps(piece.id));
    split(0, pieces.size(), 0);
  }
  std::vector<std::size_t> letters() && { return std::move(letter_); }

 private:
  static std::vector<std::string> steps(const std::string& id) {
    std::vector<std::string> parts;
    std::size_t from = 0;
    for (std::size_t at; (at = id.find('/', from)) != std::string::npos; from = at + 1) {
      parts.push_back(id.substr(from, at - from));
    }
    parts.push_back(id.substr(from));
    return parts;
  }
  void split(std::size_t begin, std::size_t end, std::size_t depth) {
    const auto step = [&](std::size_t i) {
      return depth < paths_[i].size() ? paths_[i][depth] : std::string();
    };
    const bool is_leaf = depth >= paths_[begin].size();
    if (end - begin <= kMostPerLetter || is_leaf) {
      for (std::size_t i = begin; i < end; ++i) letter_[i] = next_;
      ++next_;
      return;
    }
    for (std::size_t i = begin; i < end;) {
      std::size_t last = i;
      while (last < end && step(last) == step(i)) ++last;
      split(i, last, depth + 1);
      i = last;
    }
  }

  std::vector<std::vector<std::string>> paths_;
  std::vector<std::size_t> letter_;
  std::size_t next_ = 0;
};

/// A, B, …, Z, AA, AB, …
std::string letter_name(std::size_t index) {
  std::string name(1, static_cast<char>('A' + index % 26));
  for (index /= 26; index > 0; index /= 26)
    name.insert(name.begin(), static_cast<char>('A' + --index % 26));
  return name;
}

double overlap_mm3(const Solid& piece, const std::vector<Plane>& cell) {
  std::optional<Solid> rest = piece;
  for (const Plane& plane : cell) {
    Result<CutHalves> halves = plane_cut(*rest, plane, SeamId{});
    if (!halves) return 0;
    rest = std::move(halves->below);
    if (!rest) return 0;
  }
  return volume_mm3(*rest);
}

struct Claim {
  double overlap_mm3;
  std::size_t piece, earlier;
};

/// Earlier marks that pieces keep, by position of the piece.
std::map<std::size_t, std::string> kept_marks(std::span<const CutPiece> pieces,
                                              std::span<const EarlierPiece> earlier) {
  std::vector<Claim> claims;
  for (std::size_t i = 0; i < pieces.size() && !earlier.empty(); ++i) {
    const double own_mm3 = volume_mm3(pieces[i].solid);
    for (std::size_t k = 0; k < earlier.size(); ++k) {
      const double shared_mm3 = overlap_mm3(pieces[i].solid, earlier[k].cell);
      if (shared_mm3 > 0.5 * own_mm3) claims.push_back({shared_mm3, i, k});
    }
  }
  std::stable_sort(claims.begin(), claims.end(),
                   [](const Claim& a, const Claim& b) { return a.overlap_mm3 > b.overlap_mm3; });
  std::map<std::size_t, std::string> kept;
  std::set<std::string> taken;
  for (const Claim& claim : claims) {
    const std::string& mark = earlier[claim.earlier].mark;
    if (!kept.contains(claim.piece) && taken.insert(mark).second) kept[claim.piece] = mark;
  }
  return kept;
}

}  // namespace

const EarlierPiece* find_piece(const EarlierMarks& earlier, const std::string& mark) {
  const auto found = std::find_if(earlier.pieces.begin(), earlier.pieces.end(),
                                  [&](const EarlierPiece& piece) { return piece.mark == mark; });
  return found == earlier.pieces.end() ? nullptr : &*found;
}

std::vector<Plane> leaf_cell(const SeamPlan& plan, std::optional<SeamId> seam, Side side) {
  std::vector<Plane> cell;
  while (seam) {
    const Seam* found = find_seam(plan, *seam);
    require(found != nullptr, "a leaf's seam belongs to its plan");
    cell.push_back(side == Side::below ? found->plane : found->plane.flipped());
    seam = found->parent;
    side = found->side;
  }
  return cell;
}

std::vector<std::string> assign_marks(std::span<const CutPiece> pieces,
                                      const EarlierMarks& earlier) {
  if (pieces.empty()) return {};
  const std::map<std::size_t, std::string> kept = kept_marks(pieces, earlier.pieces);
  std::set<std::string> used(earlier.retired.begin(), earlier.retired.end());
  for (const EarlierPiece& piece : earlier.pieces) used.insert(piece.mark);
  const std::vector<std::size_t> letters = Grouping(pieces).letters();
  std::vector<std::string> marks(pieces.size());
  std::map<std::size_t, int> numbers;
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    if (const auto found = kept.find(i); found != kept.end()) {
      marks[i] = found->second;
      continue;
    }
    do {
      marks[i] = letter_name(letters[i]) + std::to_string(++numbers[letters[i]]);
    } while (!used.insert(marks[i]).second);
  }
  return marks;
}

}  // namespace seamwright
