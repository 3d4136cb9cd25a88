#include "seamwright/joints/inserts.h"

#include <algorithm>
#include <array>
#include <stdexcept>

namespace seamwright {
namespace {

constexpr std::array kScrews_mm{4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 30.0, 40.0};
constexpr double kOverFloor_mm = 0.5;
constexpr double kOutOfNut_mm = 1;

}  // namespace

InsertSize insert_size(InsertThread thread) {
  switch (thread) {
    case InsertThread::m2:
      return {3.2, 4.0, 2.4, 3.8, 1.6, 2.07};
    case InsertThread::m2_5:
      return {3.6, 5.0, 2.9, 4.5, 2.0, 3.39};
    case InsertThread::none:
    case InsertThread::m3:
      return {4.0, 5.7, 3.4, 5.5, 2.4, 5.03};
    case InsertThread::m4:
      return {5.6, 8.1, 4.5, 7.0, 3.2, 8.78};
  }
  throw std::logic_error("broken contract: no such InsertThread");
}

double insert_screw_mm(const InsertSize& size, double grip_mm) {
  const double most_mm = grip_mm + size.depth_mm() - kOverFloor_mm;
  double best_mm = kScrews_mm.front();
  for (const double length_mm : kScrews_mm)
    if (length_mm <= most_mm) best_mm = length_mm;
  return best_mm;
}

double nut_screw_mm(const InsertSize& size, double grip_mm) {
  const double least_mm = grip_mm + size.nut_mm + kOutOfNut_mm;
  const auto found = std::lower_bound(kScrews_mm.begin(), kScrews_mm.end(), least_mm);
  return found == kScrews_mm.end() ? kScrews_mm.back() : *found;
}

}  // namespace seamwright
