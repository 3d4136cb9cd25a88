#include "seamwright/query/details.h"

#include <gtest/gtest.h>

#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

/// A slab of 80 × 60 × 10 mm as a height field over its base: `height_mm(x, y)` is its top, steps
/// are one cell of the grid wide.
template <class Height>
Solid slab(double step_mm, const Height& height_mm) {
  const std::size_t nx = static_cast<std::size_t>(80 / step_mm),
                    ny = static_cast<std::size_t>(60 / step_mm);
  std::vector<Vec3> points;
  std::vector<std::array<std::size_t, 3>> faces;
  const auto top = [&](std::size_t i, std::size_t j) { return 2 * (j * (nx + 1) + i); };
  for (std::size_t j = 0; j <= ny; ++j) {
    for (std::size_t i = 0; i <= nx; ++i) {
      const double x = static_cast<double>(i) * step_mm, y = static_cast<double>(j) * step_mm;
      points.push_back({x, y, height_mm(x, y)});
      points.push_back({x, y, 0});
    }
  }
  const auto quad = [&](std::size_t a, std::size_t b, std::size_t c, std::size_t d) {
    faces.push_back({a, b, c});
    faces.push_back({a, c, d});
  };
  for (std::size_t j = 0; j < ny; ++j) {
    for (std::size_t i = 0; i < nx; ++i) {
      quad(top(i, j), top(i + 1, j), top(i + 1, j + 1), top(i, j + 1));
      quad(top(i, j) + 1, top(i, j + 1) + 1, top(i + 1, j + 1) + 1, top(i + 1, j) + 1);
    }
  }
  for (std::size_t i = 0; i < nx; ++i) {
    quad(top(i, 0) + 1, top(i + 1, 0) + 1, top(i + 1, 0), top(i, 0));
    quad(top(i + 1, ny) + 1, top(i, ny) + 1, top(i, ny), top(i + 1, ny));
  }
  for (std::size_t j = 0; j < ny; ++j) {
    quad(top(0, j + 1) + 1, top(0, j) + 1, top(0, j), top(0, j + 1));
    quad(top(nx, j) + 1, top(nx, j + 1) + 1, top(nx, j + 1), top(nx, j));
  }
  return testing::shapes_detail::solid_of(std::move(points), faces);
}

/// The letter E, strokes 2 mm wide, engraved 1 mm deep at (30, 20)–(42, 40).
bool is_in_letter(double x, double y) {
  if (x < 30 || x > 42 || y < 20 || y > 40) return false;
  return x <= 32 || y <= 22 || y >= 38 || std::abs(y - 30) <= 1;
}
double engraved_top_mm(double x, double y) {
  return is_in_letter(x, y) ? 9 : 10;
}

struct Shares {
  double detail_in = 0, detail_out = 0, line_in = 0, line_out = 0;
};

/// Shares of the top's samples that are told to be details and lines, in and away from a pattern.
template <class In, class Away>
Shares shares_of(const DetailMap& map, const In& is_in, const Away& is_away) {
  Shares shares;
  double in = 0, out = 0;
  for (const DetailSample& s : map.samples()) {
    const Vec3 p = s.point;
    if (s.normal.z < 0.9 || p.x < 11 || p.x > 69 || p.y < 11 || p.y > 49) continue;
    if (is_in(p)) {
      ++in;
      shares.detail_in += s.is_detail();
      shares.line_in += s.is_line();
    } else if (is_away(p)) {
      ++out;
      shares.detail_out += s.is_detail();
      shares.line_out += s.is_line();
    }
  }
  EXPECT_GT(in, 50);
  EXPECT_GT(out, 500);
  return {shares.detail_in / in, shares.detail_out / out, shares.line_in / in,
          shares.line_out / out};
}

TEST(Details, AHalfShellHasNoRelief) {
  // SIGHT, "Values to test": share over 0.1 mm at most 0.001.
  const DetailMap map =
      find_details(testing::reference_part("shell"), {.rays_per_sample = 1}).value();
  std::size_t found = 0;
  for (const DetailSample& s : map.samples()) found += s.is_detail() ? 1 : 0;
  EXPECT_GT(map.samples().size(), 300'000U);
  EXPECT_LE(static_cast<double>(found) / static_cast<double>(map.samples().size()), 0.001);
}

TEST(Details, AnEngravedLetterIsFoundAndThePlainAroundItIsNot) {
  const DetailMap map = find_details(slab(0.5, engraved_top_mm)).value();
  const Shares shares = shares_of(
      map, [](Vec3 p) { return is_in_letter(p.x, p.y) && p.z < 9.01; },
      [](Vec3 p) { return p.x < 19 || p.x > 53 || p.y < 9 || p.y > 51; });
  EXPECT_GE(shares.detail_in, 0.9);
  EXPECT_LE(shares.detail_out, 0.01);
}

TEST(Details, AGrooveIsALineAndThePlainBesideItIsNot) {
  // A panel line 1.5 mm wide and 1 mm deep along x at y = 30.
  const DetailMap map = find_details(slab(0.5, [](double, double y) {
                          return std::abs(y - 30) <= 0.5 ? 9.0 : 10.0;
                        })).value();
  const Shares shares = shares_of(
      map, [](Vec3 p) { return p.z < 9.01; }, [](Vec3 p) { return std::abs(p.y - 30) > 4; });
  EXPECT_GE(shares.line_in, 0.95);
  EXPECT_EQ(shares.line_out, 0);
}

TEST(Details, AConcaveCreaseIsALineAndARidgeIsNot) {
  const auto roof = [](double sign) {
    return find_details(
               slab(1, [sign](double, double y) { return 20 + sign * (std::abs(y - 30) - 15); }))
        .value();
  };
  const auto share_at_fold = [](const DetailMap& map) {
    double lines = 0, all = 0;
    for (const DetailSample& s : map.samples()) {
      if (s.normal.z < 0.5 || std::abs(s.point.y - 30) > 1) continue;
      ++all;
      lines += s.is_line() ? 1 : 0;
    }
    return lines / all;
  };
  EXPECT_GE(share_at_fold(roof(1)), 0.9);   // a valley of 90°
  EXPECT_EQ(share_at_fold(roof(-1)), 0.0);  // a ridge
}

TEST(Details, ShareOfRaysInAValleyIsItsViewFactor) {
  // Derived: from a face, d from the crease of a 90° valley, cosine rays meet the other side within
  // r when they start towards it at all and it is near; at the crease itself half of them do.
  const DetailMap map = find_details(slab(1, [](double, double y) { return 5 + std::abs(y - 30); }),
                                     {.rays_per_sample = 256})
                            .value();
  double sum = 0, count = 0;
  for (const DetailSample& s : map.samples()) {
    if (s.normal.z < 0.5 || std::abs(s.point.y - 30) > 0.03) continue;
    sum += s.line_ratio;
    ++count;
  }
  ASSERT_GT(count, 3);
  EXPECT_NEAR(sum / count, 0.5, 0.03);
}

TEST(Details, LookUpTakesTheNearestSampleThatAgrees) {
  const DetailMap map({{{0, 0, 0}, {0, 0, 1}, FaceId{0}, 0.1, 0},
                       {{0, 0, 1}, {0, 0, -1}, FaceId{1}, 0.2, 0},
                       {{1, 0, 0}, {0, 0, 1}, FaceId{2}, 0.3, 0}},
                      5);
  EXPECT_EQ(map.at({0.2, 0, 0.9}, {0, 0, 1})->face, FaceId{0});
  EXPECT_EQ(map.at({0.2, 0, 0.9}, {0, 0, -1})->face, FaceId{1});
  EXPECT_EQ(map.at({0.8, 0, 0}, {0, 0, 1})->face, FaceId{2});
  EXPECT_FALSE(map.at({9, 0, 0}, {0, 0, 1}).has_value());
  EXPECT_FALSE(map.at({0, 0, 0}, {1, 0, 0}).has_value());
}

TEST(Details, FacesTakeTheMeanOfTheirSamples) {
  const Solid part = slab(0.5, engraved_top_mm);
  const FaceDetails details = face_details(part, find_details(part).value());
  double in = 0, out = 0, in_count = 0, out_count = 0;
  for (std::size_t f = 0; f < part.face_count(); ++f) {
    const auto [a, b, c] = part.corners(to_id<FaceId>(f));
    const Vec3 p = (a + b + c) / 3;
    if (a.z == 9 && b.z == 9 && c.z == 9) in += details.relief_mm[f], ++in_count;
    if (a.z == 10 && b.z == 10 && c.z == 10 && p.x > 12 && p.x < 18 && p.y > 12 && p.y < 48)
      out += details.relief_mm[f], ++out_count;
  }
  EXPECT_GT(in / in_count, 0.1);
  EXPECT_LT(out / out_count, 0.01);
}

TEST(Details, TheSameBitsOnAnyThreadCount) {
  const Solid part = slab(1, engraved_top_mm);
  const auto at = [&](int threads) {
    const DetailMap map = find_details(part, {}, seamwright::Run{.thread_count = threads}).value();
    std::vector<double> values;
    for (const DetailSample& s : map.samples())
      values.insert(values.end(), {s.point.x, s.relief_mm, s.line_ratio});
    return values;
  };
  const std::vector<double> one = at(1);
  EXPECT_EQ(one, at(2));
  EXPECT_EQ(one, at(7));
}

TEST(Details, StopsWhenTold) {
  const std::atomic<Cancel> stop{Cancel::stop};
  const auto details =
      find_details(testing::make_box({10, 10, 10}), {}, seamwright::Run{.cancel = &stop});
  ASSERT_FALSE(details);
  EXPECT_EQ(details.error().code, "cancelled");
}

}  // namespace
}  // namespace seamwright
