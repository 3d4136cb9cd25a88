#pragma once

#include <gtest/gtest.h>

#include <map>
#include <set>

#include "seamwright/days/calendar.h"

namespace seamwright::testing {

/// Judges a calendar by counting minutes and grams anew; shares nothing with the planner.
inline void expect_keeps_rules(const Calendar& calendar, std::span<const CalendarLoad> loads,
                               std::span<const CalendarPrinter> printers, Minute from_min = 0) {
  std::set<std::size_t> done, trial_groups;
  for (const CalendarLoad& load : loads) {
    if (load.is_trial && load.spool_group) trial_groups.insert(*load.spool_group);
  }
  // A spool group that holds a trial goes first as a whole.
  const auto goes_first = [&](const CalendarLoad& load) {
    return load.is_trial || (load.spool_group && trial_groups.contains(*load.spool_group));
  };
  std::map<std::size_t, std::vector<CalendarEntry>> by_printer;
  Minute last = 0;
  const auto lies_in = [](const std::vector<MinuteSpan>& spans, Minute begin, Minute end) {
    for (const MinuteSpan& span : spans) {
      if (span.begin <= begin && end <= span.end) return true;
    }
    return false;
  };
  for (const CalendarEntry& entry : calendar.entries) {
    ASSERT_LT(entry.printer, printers.size());
    const CalendarPrinter& printer = printers[entry.printer];
    EXPECT_TRUE(done.insert(entry.load).second) << "load " << entry.load << " is printed twice";
    ASSERT_TRUE(loads[entry.load].print_min[entry.printer].has_value());
    EXPECT_EQ(entry.end_min - entry.start_min, *loads[entry.load].print_min[entry.printer]);
    EXPECT_EQ(entry.start_min - entry.swap_min,
              printer.swap_min + (entry.is_new_spool ? printer.spool_change_min : 0));
    EXPECT_GE(entry.swap_min, from_min);
    EXPECT_TRUE(lies_in(printer.awake, entry.swap_min, entry.start_min)) << "swap while asleep";
    EXPECT_TRUE(lies_in(printer.home, entry.swap_min, entry.end_min)) << "prints in an empty house";
    by_printer[entry.printer].push_back(entry);
    last = std::max(last, entry.end_min);
  }
  EXPECT_EQ(done.size(), loads.size());
  EXPECT_EQ(calendar.done_min, last);
  EXPECT_LE(calendar.bound_min, calendar.done_min);
  EXPECT_GE(calendar.done_with_reserve_min, calendar.done_min);
  for (auto& [printer, entries] : by_printer) {
    double left_g = 0;
    std::size_t material = ~std::size_t{0};
    bool has_plain = false;
    for (std::size_t i = 0; i < entries.size(); ++i) {
      const CalendarLoad& load = loads[entries[i].load];
      if (i > 0) {
        EXPECT_LE(entries[i - 1].end_min, entries[i].swap_min) << "two loads at once";
      }
      if (entries[i].is_new_spool) {
        left_g = std::max(printers[printer].spool_g, load.mass_g);
        material = load.material;
      }
      EXPECT_EQ(material, load.material) << "the wrong filament is on";
      left_g -= load.mass_g;
      EXPECT_GE(left_g, -1e-9) << "the spool runs out";
      EXPECT_FALSE(load.is_trial && has_plain) << "a trial comes late";
      has_plain = has_plain || !goes_first(load);
    }
  }
  std::map<std::size_t, std::set<std::size_t>> group_printers;
  for (const auto& [printer, entries] : by_printer) {
    for (std::size_t i = 0; i < entries.size(); ++i) {
      const auto group = loads[entries[i].load].spool_group;
      if (!group) continue;
      group_printers[*group].insert(printer);
      const bool follows = i > 0 && loads[entries[i - 1].load].spool_group == group;
      EXPECT_FALSE(follows && entries[i].is_new_spool) << "a group on two spools";
      for (std::size_t k = 0; !follows && k < i; ++k)
        EXPECT_NE(loads[entries[k].load].spool_group, group) << "a group is torn apart";
    }
  }
  for (const auto& [group, on] : group_printers)
    EXPECT_EQ(on.size(), 1u) << "a group on two printers";
}

}  // namespace seamwright::testing
