#include "printing/support.h"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "seamwright/core/parallel.h"
#include "seamwright/query/cell_raster.h"

namespace seamwright {
namespace {

constexpr double kLinkSpacings = 2;   // longest way from one row's end to the next row
constexpr double kShortestLines = 2;  // shorter stretches, in line widths, can't stand

/// The rows on which support is laid, cut into cells of half a line's width.
CellRaster make_raster(const Box3& box, const PrintSettings& print) {
  const double row_mm = print.line_width_mm / print.support_ratio;
  const double cell_mm = print.line_width_mm / 2;
  return {{box.low.x, box.low.y},
          cell_mm,
          row_mm,
          static_cast<std::size_t>(std::ceil(box.size().x / cell_mm)) + 1,
          static_cast<std::size_t>(std::ceil(box.size().y / row_mm)) + 1};
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

/// Marks the cells under a face that looks down.
void mark_face(const std::array<Vec3, 3>& corners, const CellRaster& grid,
               std::span<const LayerSlab> slabs, RowOverhangs& rows) {
  for_each_covered_cell(grid, corners, [&](std::size_t row, std::size_t cell, double z_mm) {
    // One layer is left free, so that the support comes off.
    const std::size_t below = layers_below(slabs, z_mm);
    if (below < 2) return;
    rows[row].push_back({static_cast<std::uint32_t>(below - 2), static_cast<std::uint32_t>(cell)});
  });
}

RowOverhangs find_overhangs(const Solid& solid, const Transform& bed_from_part,
                            const CellRaster& grid, std::span<const LayerSlab> slabs,
                            double angle_deg) {
  RowOverhangs rows(grid.row_count);
  const double steepest = std::cos(Angle::degrees(angle_deg).radians());
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    std::array<Vec3, 3> corners = solid.corners(to_id<FaceId>(f));
    for (Vec3& p : corners) p = bed_from_part.apply(p);
    const Vec3 normal = cross(corners[1] - corners[0], corners[2] - corners[0]);
    if (looks_down(normal, steepest)) mark_face(corners, grid, slabs, rows);
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
std::vector<std::vector<Stretch>> part_stretches(const flat::Paths& outline,
                                                 const CellRaster& grid) {
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
RowSupport drop_columns(const std::vector<Overhang>& overhangs, std::size_t row,
                        const CellRaster& grid,
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
std::vector<Strand> zigzags(const std::vector<std::vector<Stretch>>& rows, const CellRaster& grid,
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
      double best_mm = kLinkSpacings * grid.row_mm;
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
  const CellRaster grid = make_raster(box, print);
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
