#include "seamwright/days/calendar.h"

#include <gtest/gtest.h>

#include <numeric>

#include "days/calendar_check.h"
#include "days/maker_loads.h"
#include "seamwright/core/random.h"

namespace seamwright {
namespace {

using testing::kDay;
using testing::kHour;
using testing::load_of;
using testing::maker_hours;
using testing::two_hundred_loads;

CalendarPrinter always_open() {
  CalendarPrinter printer{.name = "open"};
  printer.awake = printer.home = {{0, 1000 * kDay}};
  printer.swap_min = printer.spool_change_min = 0;
  return printer;
}

// Graham, SIAM J. Appl. Math. 17 (1969) (bound seen): longest-first gives the second figure here;
// the planner must reach the first.
TEST(Calendar, ReachesTheOptimumOnGrahamsRows) {
  struct Row {
    std::vector<Minute> hours;
    std::size_t printers;
    Minute best_h;
  };
  const std::vector<Row> rows{{{3, 3, 2, 2, 2}, 2, 6},
                              {{5, 5, 4, 4, 3, 3, 3}, 3, 9},
                              {{7, 7, 6, 6, 5, 5, 4, 4, 4}, 4, 12},
                              {{9, 9, 8, 8, 7, 7, 6, 6, 5, 5, 5}, 5, 15}};
  for (const Row& row : rows) {
    SCOPED_TRACE(row.printers);
    const std::vector<CalendarPrinter> printers(row.printers, always_open());
    std::vector<CalendarLoad> loads;
    for (const Minute h : row.hours) loads.push_back(load_of(h * kHour, row.printers));
    const auto calendar = plan_calendar(loads, printers);
    ASSERT_TRUE(calendar.has_value());
    EXPECT_EQ(calendar->done_min, row.best_h * kHour);
    EXPECT_TRUE(calendar->is_proved_best);
    testing::expect_keeps_rules(*calendar, loads, printers);
  }
}

/// The best end over all orders and shares between printers, by trying them all.
Minute best_by_trying_all(std::span<const CalendarLoad> loads, const CalendarPrinter& printer,
                          std::size_t printer_count) {
  const auto end_of = [&](const std::vector<std::size_t>& order) {
    Minute free = 0;
    for (const std::size_t load : order) {
      const Minute print = *loads[load].print_min[0];
      Minute best = 1'000'000'000;
      for (const MinuteSpan& awake : printer.awake) {
        for (const MinuteSpan& home : printer.home) {
          const Minute begin = std::max({free, awake.begin, home.begin});
          const bool fits =
              begin + printer.swap_min <= awake.end && begin + printer.swap_min + print <= home.end;
          if (fits) best = std::min(best, begin + printer.swap_min + print);
        }
      }
      free = best;
    }
    return free;
  };
  std::vector<std::size_t> order(loads.size());
  std::iota(order.begin(), order.end(), 0);
  Minute best = 1'000'000'000;
  do {
    for (std::size_t cut = 0; cut <= (printer_count > 1 ? order.size() : 0); ++cut) {
      const std::vector<std::size_t> a(order.begin(),
                                       order.end() - static_cast<std::ptrdiff_t>(cut)),
          b(order.end() - static_cast<std::ptrdiff_t>(cut), order.end());
      best = std::min(best, std::max(end_of(a), end_of(b)));
    }
  } while (std::next_permutation(order.begin(), order.end()));
  return best;
}

TEST(Calendar, IsTheBestOfAllOrdersOnSmallRandomCases) {
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    SCOPED_TRACE(seed);
    Random random(seed);
    CalendarPrinter printer = maker_hours(40);
    printer.spool_change_min = 0;
    const std::size_t printer_count = 1 + random.below(2);
    const std::vector<CalendarPrinter> printers(printer_count, printer);
    std::vector<CalendarLoad> loads;
    for (int i = 0; i < 6; ++i)
      loads.push_back(load_of(30 + static_cast<Minute>(random.below(12 * kHour)), printer_count));
    const auto calendar = plan_calendar(loads, printers);
    ASSERT_TRUE(calendar.has_value());
    EXPECT_TRUE(calendar->is_proved_best);
    const Minute best = best_by_trying_all(loads, printer, printer_count);
    EXPECT_EQ(calendar->done_min, best);
    const auto searched = plan_calendar(loads, printers, {.most_exact = 0, .move_count = 5000});
    EXPECT_LE(searched->bound_min, best) << "the bound holds for every plan";
    EXPECT_GE(searched->done_min, best);
    testing::expect_keeps_rules(*searched, loads, printers);
    testing::expect_keeps_rules(*calendar, loads, printers);
  }
}

TEST(Calendar, BreaksNoRuleOnRandomWorkshops) {
  for (std::uint64_t seed = 1; seed <= 14; ++seed) {
    SCOPED_TRACE(seed);
    Random random(seed);
    std::vector<CalendarPrinter> printers(1 + random.below(4));
    for (CalendarPrinter& printer : printers) {
      printer = random.below(3) == 0 ? always_open() : maker_hours();
      printer.swap_min = static_cast<Minute>(random.below(40));
      printer.spool_change_min = static_cast<Minute>(random.below(20));
      printer.spool_g = 600 + static_cast<double>(random.below(600));
    }
    std::vector<CalendarLoad> loads;
    const std::size_t count = 1 + random.below(22);
    for (std::size_t i = 0; i < count; ++i) {
      CalendarLoad load =
          load_of(20 + static_cast<Minute>(random.below(12 * kHour)), printers.size());
      if (random.below(4) == 0 && printers.size() > 1)
        load.print_min[random.below(printers.size())].reset();
      load.mass_g = static_cast<double>(random.below(200));
      load.material = random.below(2);
      load.is_trial = random.below(6) == 0;
      if (load.print_min ==
              std::vector<std::optional<Minute>>(printers.size(), load.print_min[0]) &&
          random.below(5) == 0) {
        load.spool_group = 7;
        load.material = 0;
        load.mass_g /= 10;
      }
      load.expected_loss_min = static_cast<Minute>(random.below(30));
      loads.push_back(load);
    }
    const Minute from = static_cast<Minute>(random.below(3 * kDay));
    const auto calendar =
        plan_calendar(loads, printers, {.from_min = from, .move_count = 20'000, .seed = seed});
    ASSERT_TRUE(calendar.has_value()) << calendar.error().message;
    testing::expect_keeps_rules(*calendar, loads, printers, from);
  }
}

// The project's own aim (issue 7): within 3 % of the bound. Of twenty seeds in a maker's hours two
// stay above it (4: 3.7 %, 9: 5.2 %): their bound lies in a Friday night, their plan ends on the
// Saturday after the next swap. The time is calendar_perf's.
TEST(Calendar, PlansTwoHundredLoadsOnEightPrintersWithinThreePercentOfTheBound) {
#ifdef SEAMWRIGHT_SANITIZED
  constexpr std::uint64_t kSeeds = 1;
#else
  constexpr std::uint64_t kSeeds = 3;
#endif
  for (const bool is_open : {true, false}) {
    for (std::uint64_t seed = 1; seed <= kSeeds; ++seed) {
      SCOPED_TRACE(is_open ? "always open" : "a maker's hours");
      CalendarPrinter printer = is_open ? always_open() : maker_hours();
      printer.swap_min = 15;
      const std::vector<CalendarPrinter> printers(8, printer);
      const std::vector<CalendarLoad> loads = two_hundred_loads(seed);
      const auto calendar = plan_calendar(loads, printers);
      ASSERT_TRUE(calendar.has_value());
      const double over =
          static_cast<double>(calendar->done_min) / static_cast<double>(calendar->bound_min);
      std::printf("200 loads, %s, seed %d: done %.2f d, bound %.2f d, %.2f %% over\n",
                  is_open ? "always open" : "a maker's hours", static_cast<int>(seed),
                  static_cast<double>(calendar->done_min) / kDay,
                  static_cast<double>(calendar->bound_min) / kDay, 100 * (over - 1));
      EXPECT_LE(over, 1.03);
      testing::expect_keeps_rules(*calendar, loads, printers);
    }
  }
}

TEST(Calendar, GivesTheSamePlanOnAnyThreadCount) {
  const std::vector<CalendarPrinter> printers(3, maker_hours());
  std::vector<CalendarLoad> loads = two_hundred_loads(9);
  loads.resize(30);
  for (CalendarLoad& load : loads) load.print_min.resize(3);
  const auto one = plan_calendar(loads, printers, {.move_count = 5000}, seamwright::Run{1});
  for (const int threads : {2, 7}) {
    const auto many =
        plan_calendar(loads, printers, {.move_count = 5000}, seamwright::Run{threads});
    EXPECT_EQ(one->entries, many->entries);
  }
}

TEST(Calendar, RefusesALoadThatNoStretchHolds) {
  const std::vector<CalendarPrinter> printers{maker_hours()};
  // Friday 18:00 to Monday 07:30 is the longest stretch at home: 61.5 h, less the swap.
  EXPECT_EQ(longest_print_min(printers[0]), 61 * kHour + 30 - 15);
  const std::vector<CalendarLoad> loads{load_of(62 * kHour, 1, "the load of A1")};
  const auto calendar = plan_calendar(loads, printers);
  ASSERT_FALSE(calendar.has_value());
  EXPECT_EQ(calendar.error().code, "no-window");
  EXPECT_NE(calendar.error().message.find("the load of A1"), std::string::npos);
  EXPECT_NE(calendar.error().message.find("61:15"), std::string::npos);
}

TEST(Calendar, RefusesASpoolGroupHeavierThanASpool) {
  const std::vector<CalendarPrinter> printers{maker_hours()};
  std::vector<CalendarLoad> loads{load_of(60, 1, "A1"), load_of(60, 1, "A2")};
  for (CalendarLoad& load : loads) {
    load.mass_g = 600;
    load.spool_group = 0;
  }
  EXPECT_EQ(plan_calendar(loads, printers).error().code, "group-over-spool");
}

TEST(Calendar, LossOfFailuresAgreesWithThrowingDice) {
  Random random(2);
  const double first = 0.03, rate = 0.02, hours = 12;
  double lost = 0;
  const int rounds = 200'000;
  for (int i = 0; i < rounds; ++i) {
    while (true) {
      if (random.uniform() < first) {
        lost += 1.0 / 6;
        continue;
      }
      const double dies_at = -std::log(1 - random.uniform()) / rate;
      if (dies_at >= hours) break;
      lost += dies_at;
    }
  }
  EXPECT_NEAR(failure_loss_h(hours, first, rate), lost / rounds, 0.02 * lost / rounds);
  EXPECT_EQ(failure_loss_h(5, 0, 0), 0);
}

TEST(Calendar, KeepsTheExpectedLossesInReserve) {
  CalendarPrinter printer = always_open();
  printer.swap_min = 10;
  const std::vector<CalendarPrinter> printers{printer};
  std::vector<CalendarLoad> loads{load_of(100, 1), load_of(50, 1)};
  loads[0].expected_loss_min = 120;
  loads[0].expected_loss_g = 30;
  const auto calendar = plan_calendar(loads, printers);
  EXPECT_EQ(calendar->reserve_min, 120);
  EXPECT_EQ(calendar->reserve_g, 30);
  // 120 minutes lost are two prints of at most 100, each with its swap.
  EXPECT_EQ(calendar->done_with_reserve_min, calendar->done_min + 120 + 2 * 10);
}

}  // namespace
}  // namespace seamwright
