#include "seamwright/handoff/pieces_csv.h"

#include <gtest/gtest.h>

#include "handoff/sample_hand_off.h"

namespace seamwright {
namespace {

using testing::sample_hand_off;

/// A strict reader of RFC 4180, written for this test: lines end in CRLF, quotes are doubled inside
/// a quoted field.
std::vector<std::vector<std::string>> read_csv(const std::string& text) {
  std::vector<std::vector<std::string>> rows(1, {""});
  bool is_quoted = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    std::string& field = rows.back().back();
    if (is_quoted && c == '"' && i + 1 < text.size() && text[i + 1] == '"') {
      field += '"', ++i;
    } else if (c == '"') {
      EXPECT_TRUE(is_quoted || field.empty()) << "a quote inside a plain field";
      is_quoted = !is_quoted;
    } else if (!is_quoted && c == ',') {
      rows.back().push_back("");
    } else if (!is_quoted && c == '\r') {
      EXPECT_EQ(text.at(++i), '\n');
      rows.push_back({""});
    } else {
      EXPECT_TRUE(is_quoted || c != '\n') << "a bare line feed";
      field += c;
    }
  }
  EXPECT_EQ(rows.back(), std::vector<std::string>{""}) << "the last line ends too";
  rows.pop_back();
  return rows;
}

TEST(PiecesCsv, ReadsBackAsOneLineAPiece) {
  const auto rows = read_csv(pieces_csv(sample_hand_off()));
  ASSERT_EQ(rows.size(), 3u);
  for (const auto& row : rows) EXPECT_EQ(row.size(), rows[0].size());
  EXPECT_EQ(rows[0][0], "mark");
  EXPECT_EQ(rows[1][0], "A1");
  EXPECT_EQ(rows[2][1], "S1-");
  EXPECT_EQ(std::stod(rows[1][9]), 120000);
  EXPECT_EQ(rows[1][10], "30000.500");
}

TEST(PiecesCsv, NamesTheCalendarsPrinterAndTheTimeOnIt) {
  const auto rows = read_csv(pieces_csv(testing::hand_off_on_two_printers()));
  EXPECT_EQ(rows[1][3], "left one");
  EXPECT_EQ(rows[2][3], "right one");
  EXPECT_EQ(rows[1][10], "30000.500");
  EXPECT_EQ(rows[2][10], "10000.125");
}

TEST(PiecesCsv, QuotesCommasQuotesAndLineBreaks) {
  HandOff hand_off = sample_hand_off();
  hand_off.printers[0].name = "big \"one\", attic\r\nleft";
  EXPECT_EQ(read_csv(pieces_csv(hand_off))[1][3], hand_off.printers[0].name);
}

TEST(PiecesCsv, TextIsNeverAFormula) {
  HandOff hand_off = sample_hand_off();
  hand_off.printers[0].name = "=1+1";
  EXPECT_EQ(read_csv(pieces_csv(hand_off))[1][3], "'=1+1");
}

}  // namespace
}  // namespace seamwright
