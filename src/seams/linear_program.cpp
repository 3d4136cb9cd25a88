#include "seams/linear_program.h"

#include <ClpSimplex.hpp>
#include <CoinPackedMatrix.hpp>
#include <map>

namespace seamwright::search {

LinearProgram::Column LinearProgram::add_column(double low, double high, double cost) {
  low_.push_back(low);
  high_.push_back(high);
  cost_.push_back(cost);
  return low_.size() - 1;
}

std::optional<std::vector<double>> LinearProgram::solve() const {
  std::vector<int> rows, columns;
  std::vector<double> factors, row_low, row_high;
  for (const Row& row : rows_) {
    std::map<Column, double> sums;
    for (const Term& term : row.terms) sums[term.column] += term.factor;
    for (const auto& [column, factor] : sums) {
      rows.push_back(static_cast<int>(row_low.size()));
      columns.push_back(static_cast<int>(column));
      factors.push_back(factor);
    }
    row_low.push_back(row.low);
    row_high.push_back(row.high);
  }
  CoinPackedMatrix matrix(true, rows.data(), columns.data(), factors.data(),
                          static_cast<CoinBigIndex>(factors.size()));
  matrix.setDimensions(static_cast<int>(rows_.size()), static_cast<int>(cost_.size()));
  ClpSimplex simplex;
  simplex.setLogLevel(0);
  simplex.loadProblem(matrix, low_.data(), high_.data(), cost_.data(), row_low.data(),
                      row_high.data());
  simplex.dual();
  if (!simplex.isProvenOptimal()) return std::nullopt;
  const double* found = simplex.getColSolution();
  return std::vector<double>(found, found + cost_.size());
}

}  // namespace seamwright::search
