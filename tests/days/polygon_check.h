#pragma once

#include <gtest/gtest.h>

#include <polyclipping/clipper.hpp>

#include "seamwright/days/nest.h"

namespace seamwright::testing {

/// An item as it lies, for the exact polygon test: Clipper's integers at 1e-5 mm.
inline ClipperLib::Paths laid_paths(const NestItem& item, const NestPlace& place) {
  ClipperLib::Paths paths;
  const auto add = [&](const Loop2& loop) {
    ClipperLib::Path path;
    for (const Vec2 p : loop) {
      const Vec2 q = place.apply(p);
      path.emplace_back(std::llround(q.x * 1e5), std::llround(q.y * 1e5));
    }
    paths.push_back(path);
  };
  for (const Region2& region : item.outline) {
    add(region.outer);
    for (const Loop2& hole : region.holes) add(hole);
  }
  return paths;
}

inline double common_mm2(const ClipperLib::Paths& a, const ClipperLib::Paths& b,
                         ClipperLib::ClipType type = ClipperLib::ctIntersection) {
  ClipperLib::Clipper clipper;
  clipper.AddPaths(a, ClipperLib::ptSubject, true);
  clipper.AddPaths(b, ClipperLib::ptClip, true);
  ClipperLib::Paths out;
  clipper.Execute(type, out, ClipperLib::pftEvenOdd, ClipperLib::pftEvenOdd);
  double area = 0;
  for (const ClipperLib::Path& path : out) area += ClipperLib::Area(path);
  return std::abs(area) / 1e10;
}

/// No two items overlap, all keep the clearance, all lie on the bed and off what is blocked.
inline void expect_lies_well(std::span<const NestItem> items, const BedArea& bed,
                             const Nesting& nesting, double clearance_mm) {
  const NestPlace still{};
  const ClipperLib::Paths on = laid_paths({{Region2{bed.outline, {}}}}, still);
  std::vector<ClipperLib::Paths> laid;
  for (const NestPlace& place : nesting.places) {
    laid.push_back(laid_paths(items[place.item], place));
    // A cell's width of 1e-6 is what borders may share.
    EXPECT_LT(common_mm2(laid.back(), on, ClipperLib::ctDifference), 1e-2) << "item " << place.item;
    for (const Loop2& loop : bed.blocked)
      EXPECT_EQ(common_mm2(laid.back(), laid_paths({{Region2{loop, {}}}}, still)), 0);
  }
  for (std::size_t i = 0; i < laid.size(); ++i) {
    ClipperLib::ClipperOffset offset(2, 500);
    ClipperLib::Paths grown = laid[i];
    if (clearance_mm > 0) {
      offset.AddPaths(laid[i], ClipperLib::jtRound, ClipperLib::etClosedPolygon);
      offset.Execute(grown, (clearance_mm - 1e-3) * 1e5);
    }
    for (std::size_t k = i + 1; k < laid.size(); ++k)
      EXPECT_LT(common_mm2(grown, laid[k]), 1e-3 + (clearance_mm > 0 ? 1e-2 : 0))
          << "items " << nesting.places[i].item << " and " << nesting.places[k].item;
  }
}

}  // namespace seamwright::testing
