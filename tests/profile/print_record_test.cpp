#include "seamwright/profile/print_record.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "seamwright/core/random.h"

namespace seamwright {
namespace {

using ::testing::HasSubstr;

/// A machine that takes 18 % longer and lays 4 % more than the model says, with noise.
RecordedPrint distorted_print(Random& random, double noise) {
  RecordedPrint print;
  print.what = "A1";
  print.estimated_s = 3600 * (1 + 9 * random.uniform());
  print.estimated_g = 20 + 180 * random.uniform();
  print.printed_s = print.estimated_s * 1.18 * std::exp(noise * random.normal());
  print.weighed_g = print.estimated_g * 1.04 * std::exp(noise * random.normal());
  return print;
}

PrinterRecord distorted_record(std::uint64_t stream, std::size_t count, double noise) {
  Random random(7, stream);
  PrinterRecord record{"cube", {}, {}};
  for (std::size_t i = 0; i < count; ++i)
    EXPECT_TRUE(add_print(record, distorted_print(random, noise)));
  return record;
}

// The check: +18 % time, +4 % mass and noise, at most 5 % off after three entries.
TEST(PrintRecord, ThreePrintsOfADistortedMachineBringTheErrorUnderFivePercent) {
  for (std::uint64_t stream = 0; stream < 200; ++stream) {
    const PrinterFit fit = fit_record(distorted_record(stream, 3, 0.02));
    EXPECT_NEAR(fit.time_factor_ratio / 1.18, 1, 0.05) << stream;
    EXPECT_NEAR(fit.mass_factor_ratio / 1.04, 1, 0.05) << stream;
  }
}

TEST(PrintRecord, OneWrongEntryOfFiveMovesTheFactorLittle) {
  PrinterRecord record = distorted_record(1, 4, 0.01);
  RecordedPrint slip = record.prints.front();
  *slip.printed_s *= 3;
  *slip.weighed_g /= 2;
  ASSERT_TRUE(add_print(record, slip));
  const PrinterFit fit = fit_record(record);
  EXPECT_NEAR(fit.time_factor_ratio / 1.18, 1, 0.05);
  EXPECT_NEAR(fit.mass_factor_ratio / 1.04, 1, 0.05);
}

TEST(PrintRecord, TheBandIsFifteenPercentBeforeAndNeverUnderFive) {
  EXPECT_EQ(fit_record({}).time_band_ratio, 0.15);
  EXPECT_EQ(fit_record({}).time_factor_ratio, 1);
  EXPECT_EQ(fit_record(distorted_record(1, 1, 0)).time_band_ratio, 0.15);
  const PrinterFit sure = fit_record(distorted_record(1, 60, 0));
  EXPECT_EQ(sure.time_band_ratio, 0.05);
  EXPECT_EQ(sure.mass_band_ratio, 0.05);
}

TEST(PrintRecord, TheBandGrowsWithTheResidualsAndHoldsNineOfTen) {
  EXPECT_GT(fit_record(distorted_record(2, 8, 0.12)).time_band_ratio,
            1.5 * fit_record(distorted_record(2, 8, 0.03)).time_band_ratio);
  for (const std::size_t count : {2U, 3U, 5U, 10U}) {
    int held = 0;
    constexpr int kTries = 400;
    for (std::uint64_t stream = 0; stream < kTries; ++stream) {
      PrinterRecord record = distorted_record(stream, count + 1, 0.06);
      const RecordedPrint next = record.prints.back();
      record.prints.pop_back();
      const PrinterFit fit = fit_record(record);
      const double ratio = *next.printed_s / (next.estimated_s * fit.time_factor_ratio);
      held += std::abs(ratio - 1) <= fit.time_band_ratio ? 1 : 0;
    }
    EXPECT_GE(held, 0.88 * kTries) << count;
  }
}

TEST(PrintRecord, TheFitDoesNotDependOnTheOrderOfPrints) {
  PrinterRecord record = distorted_record(3, 9, 0.08);
  const PrinterFit fit = fit_record(record);
  std::reverse(record.prints.begin(), record.prints.end());
  EXPECT_EQ(fit_record(record).time_factor_ratio, fit.time_factor_ratio);
  EXPECT_EQ(fit_record(record).time_band_ratio, fit.time_band_ratio);
}

TEST(PrintRecord, TimeOrMassAloneWillDo) {
  PrinterRecord record{"cube", {}, {}};
  ASSERT_TRUE(add_print(record, {"A1", 1000, 10, 1200.0, {}}));
  const PrinterFit fit = fit_record(record);
  EXPECT_NEAR(fit.time_factor_ratio, 1.2, 1e-12);
  EXPECT_EQ(fit.mass_factor_ratio, 1);
  EXPECT_EQ(fit.weighed_count, 0U);
  Printer given;
  given.mass_factor_ratio = 1.02;
  EXPECT_EQ(with_fit(given, fit).mass_factor_ratio, 1.02);
  EXPECT_NEAR(with_fit(given, fit).time_factor_ratio, 1.2, 1e-12);
}

TEST(PrintRecord, SlipsOfThePenAreRefused) {
  PrinterRecord record{"cube", {}, {}};
  const auto refused = [&](RecordedPrint print) {
    const Status status = add_print(record, std::move(print));
    EXPECT_FALSE(status);
    return status ? "" : status.error().message;
  };
  EXPECT_THAT(refused({"A1", 1000, 10, {}, {}}), HasSubstr("give the time"));
  EXPECT_THAT(refused({"A1", 1000, 10, 6000.0, {}}), HasSubstr("fivefold"));
  EXPECT_THAT(refused({"A1", 1000, 10, 1000.0, 1.0}), HasSubstr("mass"));
  EXPECT_THAT(refused({"A1", 1000, 10, -5.0, {}}), HasSubstr("-5"));
  EXPECT_THAT(refused({"A1", 0, 10, 5.0, {}}), HasSubstr("estimated time"));
  EXPECT_TRUE(record.prints.empty());
}

TEST(PrintRecord, ReadingWhatWasWrittenGivesTheSameRecord) {
  PrinterRecord record = distorted_record(4, 3, 0.05);
  record.printer = "left \"cube\" = 1";
  record.slide_clearance_mm = 0.2;
  record.prints[1].weighed_g.reset();
  const std::string text = write_record(record);
  const PrinterRecord back = read_record(text, "x").value();
  EXPECT_EQ(back.printer, record.printer);
  EXPECT_EQ(back.slide_clearance_mm, record.slide_clearance_mm);
  ASSERT_EQ(back.prints.size(), 3U);
  EXPECT_EQ(back.prints[2].printed_s, record.prints[2].printed_s);
  EXPECT_EQ(back.prints[1].weighed_g, std::nullopt);
  EXPECT_EQ(write_record(back), text);
  const std::array<PrinterRecord, 1> all{back};
  EXPECT_EQ(find_record(all, record.printer), all.data());
  EXPECT_EQ(find_record(all, "other"), nullptr);
}

TEST(PrintRecord, ADamagedFileIsAnErrorWithItsLine) {
  const auto message = [](const char* text) {
    const auto read = read_record(text, "cube.toml");
    EXPECT_FALSE(read);
    return read ? std::string() : read.error().message;
  };
  EXPECT_THAT(message("printer = "), HasSubstr("cube.toml:1"));
  EXPECT_THAT(message("x = 1"), HasSubstr("name is missing"));
  EXPECT_THAT(message("printer = \"a\"\n[[print]]\nwhat = \"A1\"\n"), HasSubstr("cube.toml:2"));
}

}  // namespace
}  // namespace seamwright
