#include "printing/support.h"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

constexpr double kLinkSpacings = 2;   // longest way from one row's end to the next row
constexpr double kShortestLines = 2;  // shorter stretches, in line widths, can't stand

/// The rows on which support is laid, cut into cells.
struct Grid {
  Vec2 low;
  double spacing_mm, cell_mm;
  std::size_t row_count, cell_count;
  double row_y_mm(std::size_t row) const {
    return low.y + (static_cast<double>(row) + 0.5) * spacing_mm;
  }
  double cell_x_mm(std::size_t cell) const {
    return low.x + (static_cast<double>(cell) + 0.5) * cell_mm;
  }
  /// The first cell (row) whose middle is at x (y) or beyond.
  std::size_t cell_from(double x) const { return index((x - low.x) / cell_mm, cell_count); }
  std::size_t row_from(double y) const { return index((y - low.y) / spacing_mm, row_count); }

 private:
  static std::size_t index(double at, std::size_t count) {
    return static_cast<std::size_t>(
        std::clamp(std::ceil(at - 0.5), 0.0, static_cast<double>(count)));
  }
};

Grid make_grid(const Box3& box, const PrintSettings& print) {
  Grid grid;
  grid.low = {box.low.x, box.low.y};
  grid.spacing_mm = print.line_width_mm / print.support_ratio;
  grid.cell_mm = print.line_width_mm / 2;
  grid.row_count = static_cast<std::size_t>(std::ceil(box.size().y / grid.spacing_mm)) + 1;
  grid.cell_count = static_cast<std::size_t>(std::ceil(box.size().x / grid.cell_mm)) + 1;
  return grid;
}

/// A cell under a face that needs support; it holds from `layer` downward.
struct Overhang {
  std::uint32_t layer, cell;
};
using RowOverhangs = std::vector<std::vector<Overhang>>;

/// The last layer wholly below z, counted from 1; 0: none.
std::size_t layers_below(std::span<const LayerSlab> slabs, double z_mm) {
  const auto above = std::partition_point(
      slabs.begin(), slabs.end(), [&](const LayerSlab& slab) { return slab.middle_mm() < z_mm; });
  return static_cast<std::size_t>(above - slabs.begin());
}

/// Marks the cells of the grid's rows whose middles lie under the triangle.
void mark_face(const std::array<Vec3, 3>& corners, const Grid& grid,
               std::span<const LayerSlab> slabs, RowOverhangs& rows) {
  const Vec3 normal = cross(corners[1] - corners[0], corners[2] - corners[0]);
  const double low_y = std::min({corners[0].y, corners[1].y, corners[2].y});
  const double high_y = std::max({corners[0].y, corners[1].y, corners[2].y});
  for (std::size_t row = grid.row_from(low_y); row < grid.row_from(high_y); ++row) {
    const double y = grid.row_y_mm(row);
    double x[2] = {0, 0};
    std::size_t found = 0;
    for (std::size_t k = 0; k < 3 && found < 2; ++k) {
      const Vec3 a = corners[k], b = corners[(k + 1) % 3];
      if ((a.y >= y) == (b.y >= y)) continue;
      // From the lower end, so that neighbouring faces share the bits of their common edge.
      const Vec3 from = a.y < b.y ? a : b, to = a.y < b.y ? b : a;
      x[found++] = from.x + (to.x - from.x) * ((y - from.y) / (to.y - from.y));
    }
    if (found < 2) continue;
    const auto [left, right] = std::minmax(x[0], x[1]);
    for (std::size_t cell = grid.cell_from(left); cell < grid.cell_from(right); ++cell) {
      const double dx = grid.cell_x_mm(cell) - corners[0].x, dy = y - corners[0].y;
      const double z_mm = corners[0].z - (normal.x * dx + normal.y * dy) / normal.z;
      // One layer is left free, so that the support comes off.
      const std::size_t below = layers_below(slabs, z_mm);
      if (below < 2) continue;
      rows[row].push_back(
          {static_cast<std::uint32_t>(below - 2), static_cast<std::uint32_t>(cell)});
    }
  }
}

RowOverhangs find_overhangs(const Solid& solid, const Transform& bed_from_part, const Grid& grid,
                            std::span<const LayerSlab> slabs, double angle_deg) {
  RowOverhangs rows(grid.row_count);
  const double steepest = std::cos(Angle::degrees(angle_deg).radians());
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    std::array<Vec3, 3> corners = solid.corners(to_id<FaceId>(f));
    for (Vec3& p : corners) p = bed_from_part.apply(p);
    const Vec3 normal = cross(corners[1] - corners[0], corners[2] - corners[0]);
    if (normal.z < -steepest * norm(normal) && normal.z < 0) mark_face(corners, grid, slabs, rows);
  }
  for (auto& row : rows) {
    std::sort(row.begin(), row.end(), [](const Overhang& a, const Overhang& b) {
      return std::tie(a.layer, a.cell) < std::tie(b.layer, b.cell);
    });
  }
  return rows;
}

struct Stretch {
  std::uint32_t begin = 0, end = 0;  // cells
};

/// Stretches of part on each row of one layer.
std::vector<std::vector<Stretch>> part_stretches(const flat::Paths& outline, const Grid& grid) {
  std::vector<std::vector<double>> hits(grid.row_count);
  for (const flat::Path& path : outline) {
    for (std::size_t i = 0; i < path.size(); ++i) {
      const Vec2 a = flat::to_mm(path[i]), b = flat::to_mm(path[(i + 1) % path.size()]);
      const std::size_t end = grid.row_from(std::max(a.y, b.y));
      for (std::size_t row = grid.row_from(std::min(a.y, b.y)); row < end; ++row) {
        hits[row].push_back(a.x + (b.x - a.x) * ((grid.row_y_mm(row) - a.y) / (b.y - a.y)));
      }
    }
  }
  std::vector<std::vector<Stretch>> rows(grid.row_count);
  for (std::size_t row = 0; row < grid.row_count; ++row) {
    std::sort(hits[row].begin(), hits[row].end());
    for (std::size_t i = 0; i + 1 < hits[row].size(); i += 2) {
      rows[row].push_back({static_cast<std::uint32_t>(grid.cell_from(hits[row][i])),
                           static_cast<std::uint32_t>(grid.cell_from(hits[row][i + 1]))});
    }
  }
  return rows;
}

/// Support stretches by layer of one row, from the top down.
using RowSupport = std::vector<std::vector<Stretch>>;

std::vector<Stretch> stretches_of(const std::vector<char>& cells, std::size_t least) {
  std::vector<Stretch> out;
  for (std::size_t i = 0; i < cells.size();) {
    std::size_t j = i;
    while (j < cells.size() && cells[j] == cells[i]) ++j;
    if (cells[i] != 0 && j - i >= least) {
      out.push_back({static_cast<std::uint32_t>(i), static_cast<std::uint32_t>(j)});
    }
    i = j;
  }
  return out;
}

/// Columns end where the part is; beside it they go on, but are not laid within a cell of it.
RowSupport drop_columns(const std::vector<Overhang>& overhangs, std::size_t row, const Grid& grid,
                        const std::vector<std::vector<std::vector<Stretch>>>& parts,
                        double line_width_mm) {
  RowSupport out(parts.size());
  if (overhangs.empty()) return out;
  const auto least =
      static_cast<std::size_t>(std::ceil(kShortestLines * line_width_mm / grid.cell_mm));
  std::vector<char> cells(grid.cell_count, 0), laid;
  std::size_t next = overhangs.size();
  for (std::size_t layer = overhangs.back().layer + 1; layer-- > 0;) {
    for (; next > 0 && overhangs[next - 1].layer == layer; --next) {
      cells[overhangs[next - 1].cell] = 1;
    }
    for (const Stretch& part : parts[layer][row]) {
      std::fill(cells.begin() + part.begin, cells.begin() + part.end, 0);
    }
    laid = cells;
    for (const Stretch& part : parts[layer][row]) {
      if (part.begin > 0) laid[part.begin - 1] = 0;
      if (part.end < laid.size()) laid[part.end] = 0;
    }
    out[layer] = stretches_of(laid, least);
  }
  return out;
}

/// Rows of one layer as zigzag lines: a row's end goes on to the nearest end in the next row.
std::vector<Strand> zigzags(const std::vector<std::vector<Stretch>>& rows, const Grid& grid,
                            double width_mm) {
  struct Open {
    std::size_t row;
    double end_x_mm;
    std::size_t strand;
  };
  std::vector<Strand> strands;
  std::vector<Open> open, still;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    still.clear();
    for (const Stretch& stretch : rows[row]) {
      double x[2] = {grid.low.x + stretch.begin * grid.cell_mm,
                     grid.low.x + stretch.end * grid.cell_mm};
      const double y = grid.row_y_mm(row);
      auto best = open.end();
      double best_mm = kLinkSpacings * grid.spacing_mm;
      for (auto it = open.begin(); it != open.end(); ++it) {
        const double away_mm =
            std::min(std::abs(it->end_x_mm - x[0]), std::abs(it->end_x_mm - x[1]));
        if (it->row + 1 == row && away_mm < best_mm) {
          best_mm = away_mm;
          best = it;
        }
      }
      std::size_t strand = strands.size();
      if (best != open.end()) {
        strand = best->strand;
        if (std::abs(best->end_x_mm - x[1]) < std::abs(best->end_x_mm - x[0]))
          std::swap(x[0], x[1]);
        open.erase(best);
      } else {
        strands.push_back({LineKind::support, false, width_mm, {}, 0});
      }
      strands[strand].points.push_back({x[0], y});
      strands[strand].points.push_back({x[1], y});
      still.push_back({row, x[1], strand});
    }
    open = still;
  }
  return strands;
}

}  // namespace

std::vector<std::vector<Strand>> lay_support(const Solid& solid, const Transform& bed_from_part,
                                             std::span<const LayerSlab> slabs,
                                             const std::vector<flat::Paths>& outlines,
                                             const PrintSettings& print, const Run& run) {
  std::vector<std::vector<Strand>> out(slabs.size());
  Box3 box;
  for (const Vec3 p : solid.points()) box.extend(bed_from_part.apply(p));
  const Grid grid = make_grid(box, print);
  const RowOverhangs overhangs =
      find_overhangs(solid, bed_from_part, grid, slabs, print.support_angle_deg);
  if (std::all_of(overhangs.begin(), overhangs.end(),
                  [](const auto& row) { return row.empty(); })) {
    return out;
  }
  const auto parts = map_index(slabs.size(), run,
                               [&](std::size_t i) { return part_stretches(outlines[i], grid); });
  const auto columns = map_index(grid.row_count, run, [&](std::size_t row) {
    return drop_columns(overhangs[row], row, grid, parts, print.line_width_mm);
  });
  for_each_index(slabs.size(), run, [&](std::size_t i) {
    std::vector<std::vector<Stretch>> rows(grid.row_count);
    for (std::size_t row = 0; row < grid.row_count; ++row) rows[row] = columns[row][i];
    out[i] = zigzags(rows, grid, print.line_width_mm);
  });
  return out;
}

}  // namespace seamwright
