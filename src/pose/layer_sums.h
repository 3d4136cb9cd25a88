#pragma once

#include <array>
#include <vector>

#include "seamwright/mesh/solid.h"
#include "seamwright/profile/print_settings.h"
#include "seamwright/profile/printer.h"

namespace seamwright::pose_detail {

/// The heights at which layers are looked at: their middles. A layer exists when its middle is
/// inside.
class LayerGrid {
 public:
  LayerGrid(double height_mm, const PrintSettings& print);
  std::size_t count() const { return count_; }
  double middle_mm(std::size_t layer) const;
  double thickness_mm(std::size_t layer) const { return layer == 0 ? first_mm_ : layer_mm_; }
  /// The first layer whose middle is at z or above; count() when there is none.
  std::size_t first_at(double z_mm) const;

 private:
  double first_mm_, layer_mm_;
  std::size_t count_ = 1;
};

/// The scale of sharpness: 2^(k/4), from gentle to turning back (2).
inline constexpr std::size_t kSharpnessCount = 28;
double sharpness_ratio(std::size_t node);

/// What the faces say of one layer's section, without chaining it.
struct LayerSums {
  double area_mm2 = 0;
  double edge_mm = 0;       ///< perimeter
  double shrink_ratio = 0;  ///< perimeter lost per mm of inward offset: Σ 2 tan(corner / 2)
  double turn_n = 0;        ///< Σ corners / 2π: outer loops less holes
  /// Corners of one loop by sharpness (how much the direction changes along an axis): of each node
  /// of a scale, how many count as that sharp. Holds for any speed.
  std::array<double, kSharpnessCount> corner_n{};
  double bare_top_mm2 = 0;     ///< not covered by the layer above
  double bare_bottom_mm2 = 0;  ///< not carried by the layer below
  double skin_mm2 = 0;         ///< solid for the tops and bottoms near it; spread_skins fills it
  double support_mm2 = 0;      ///< area of support columns beside the part
};

/// One pass over the faces, one over the edges, one over a 64-cell grid for the support. O(faces ×
/// the layers each spans).
std::vector<LayerSums> sum_layers(const Solid& solid, const Transform& bed_from_part,
                                  const LayerGrid& grid, const PrintSettings& print);

/// Spreads bare tops and bottoms to the solid layers behind them. O(layers).
void spread_skins(std::vector<LayerSums>& layers, int top_layers, int bottom_layers);

/// Adds the support columns to the layers: on a grid, from each face that needs support down to the
/// next face below it, or the bed. `points` on the bed.
void add_support_columns(std::span<const Vec3> points, std::span<const Triangle> triangles,
                         double support_angle_deg, const LayerGrid& grid,
                         std::vector<LayerSums>& layers);

}  // namespace seamwright::pose_detail
