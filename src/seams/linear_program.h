#pragma once

#include <limits>
#include <optional>
#include <vector>

namespace seamwright::search {

/// The least of a linear cost within linear bounds; solved by the dual simplex of COIN-OR's Clp.
class LinearProgram {
 public:
  static constexpr double kNoBound = std::numeric_limits<double>::max();

  using Column = std::size_t;
  struct Term {
    Column column;
    double factor;
  };
  /// The terms' sum is to lie between the two; a column may stand in several of them.
  struct Row {
    std::vector<Term> terms;
    double low = -kNoBound, high = kNoBound;
  };

  Column add_column(double low, double high, double cost);
  void add_row(Row row) { rows_.push_back(std::move(row)); }
  /// A value for each column; nothing when the rows contradict each other. The same on any machine
  /// of one kind; safe on several threads.
  std::optional<std::vector<double>> solve() const;

 private:
  std::vector<double> low_, high_, cost_;
  std::vector<Row> rows_;
};

}  // namespace seamwright::search
